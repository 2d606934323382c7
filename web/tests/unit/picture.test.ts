import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { JobDoc, Pt } from '../../src/api/types'
import { eyeAt, front, held, moved } from '../../src/areas/siding/picture/orbit'
import {
  known,
  less,
  marked,
  more,
  photoOf,
  photosOf,
  spread,
  sunTo,
  thinned,
} from '../../src/areas/siding/picture/photos'
import { alone } from '../../src/areas/siding/picture/zones'
import { applied } from '../../src/house/patch'

const alder = JSON.parse(
  readFileSync(new URL('../../../examples/alder.json', import.meta.url), 'utf8'),
) as JobDoc
const withPhoto: JobDoc = {
  ...alder,
  house: {
    ...alder.house,
    photos: [
      { id: 'P1', file: 'a.jpg', marks: {} },
      { id: 'P2', file: 'b.jpg' },
    ],
  },
}

describe('a photo’s entry', () => {
  it('is found by its id, marked or not', () => {
    expect(photosOf(alder)).toEqual([])
    expect(marked(photoOf(withPhoto, 'P1'))).toBe(true)
    expect(marked(photoOf(withPhoto, 'P2'))).toBe(false)
    expect(marked(photoOf(withPhoto, 'P3'))).toBe(false)
  })
  it('takes a first stroke and a second, and gives one back', () => {
    const stroke = (n: number) => ({ kind: 'front' as const, width_px: n, points: [[1, 2]] as Pt[] })
    let doc = applied(withPhoto, more(withPhoto, 'P2', 'strokes', stroke(4)))
    doc = applied(doc, more(doc, 'P2', 'strokes', stroke(9)))
    expect(photoOf(doc, 'P2')?.strokes?.map((s) => s.width_px)).toEqual([4, 9])
    doc = applied(doc, less(doc, 'P2', 'strokes', 0))
    expect(photoOf(doc, 'P2')?.strokes?.map((s) => s.width_px)).toEqual([9])
    expect(photoOf(doc, 'P1')).toEqual(photoOf(withPhoto, 'P1'))
  })
  it('takes a sun', () => {
    expect(photoOf(applied(withPhoto, sunTo(withPhoto, 'P1', 'overcast')), 'P1')?.sun).toBe('overcast')
    expect(() => sunTo(alder, 'P1', 'overcast')).toThrow('gone')
  })
  it('has references that a real surface can have', () => {
    for (const linear of Object.values(known)) for (const v of linear) expect(v > 0 && v < 1).toBe(true)
  })
})

const share = fc.double({ min: 0, max: 4000, noNaN: true })
const place = fc.tuple(share, share) as fc.Arbitrary<Pt>

describe('what is drawn', () => {
  it('keeps both ends and nothing nearer than asked', () => {
    fc.assert(
      fc.property(
        fc.array(place, { minLength: 1, maxLength: 60 }),
        fc.double({ min: 1, max: 50, noNaN: true }),
        (line, least) => {
          const out = thinned(line, least)
          expect(out[0]).toEqual(line[0])
          expect(out[out.length - 1]).toEqual(line[line.length - 1])
          for (let i = 1; i < out.length - 1; i++)
            expect(
              Math.hypot(out[i]![0] - out[i - 1]![0], out[i]![1] - out[i - 1]![1]),
            ).toBeGreaterThanOrEqual(least)
        },
      ),
    )
  })
  it('spreads places over a box, whichever corner it was begun at', () => {
    fc.assert(
      fc.property(place, place, (a, b) => {
        const one = spread(a, b)
        const other = spread(b, a)
        const sorted = (l: Pt[]) => l.map(String).sort()
        expect(one).toHaveLength(49)
        for (const [x, y] of one) {
          expect(x).toBeGreaterThanOrEqual(Math.min(a[0], b[0]) - 0.06)
          expect(x).toBeLessThanOrEqual(Math.max(a[0], b[0]) + 0.06)
          expect(y).toBeGreaterThanOrEqual(Math.min(a[1], b[1]) - 0.06)
          expect(y).toBeLessThanOrEqual(Math.max(a[1], b[1]) + 0.06)
        }
        expect(sorted(one).length).toBe(sorted(other).length)
      }),
    )
  })
})

describe('a zone of one wall', () => {
  it('stands in front of the zone it came from, alike but for the wall', () => {
    const doc = applied(alder, alone(alder, 0, 'field', 'south'))
    const [gable, own, field] = doc.schemes[0]!.zones
    expect(gable!.id).toBe('gable')
    expect(own).toEqual({ ...field, id: 'field-south', walls: ['south'] })
    const twice = applied(doc, alone(doc, 0, 'field', 'south'))
    expect(new Set(twice.schemes[0]!.zones.map((z) => z.id)).size).toBe(4)
    expect(alone(alder, 0, 'none', 'south')).toEqual([])
  })
})

describe('the eye around the house', () => {
  const eye = fc.record({
    around: fc.double({ min: -50, max: 50, noNaN: true }),
    over: fc.double({ min: -9, max: 9, noNaN: true }),
    off: fc.double({ min: 0.01, max: 99, noNaN: true }),
  })
  it('stays at length 1, above the ground and in sight', () => {
    fc.assert(
      fc.property(eye, (e) => {
        const at = held(e)
        expect(Math.hypot(...eyeAt(at))).toBeCloseTo(1, 9)
        expect(at.over).toBeGreaterThanOrEqual(-0.05)
        expect(at.off).toBeLessThanOrEqual(6)
      }),
    )
  })
  it('goes around by keys and comes back', () => {
    const start = front
    const there = moved(start, 'ArrowRight')!
    expect(there.around).toBeGreaterThan(0)
    expect(moved(there, 'ArrowLeft')!.around).toBeCloseTo(0, 12)
    expect(moved(there, 'Home')).toEqual(start)
    expect(moved(start, '+')!.off).toBeLessThan(start.off)
    expect(moved(start, 'x')).toBeUndefined()
    expect(moved(start, 'constructor')).toBeUndefined()
  })
})
