import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Drawn, Pt, WallView } from '../../src/api/types'
import { fitScale, Place, scaleBeside, snap } from '../../src/draw/fit'
import { inkOn, inside, ringPath, roomiest } from '../../src/draw/paths'

const wall = {
  outline_in: [
    [0, 0],
    [312, 0],
    [312, 109],
    [156, 187],
    [0, 109],
  ],
} as unknown as WallView
const place = new Place(wall, { scale: 1.5, low: 0, high: 187 }, { top: 30, bottom: 44, left: 12, right: 60 })

describe('inches and pixels', () => {
  it('a pixel leads back to its inches', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -50, max: 400, noNaN: true }),
        fc.double({ min: -20, max: 200, noNaN: true }),
        (x, y) => {
          const [bx, by] = place.inches(place.x(x), place.y(y))
          expect(bx).toBeCloseTo(x, 6)
          expect(by).toBeCloseTo(y, 6)
        },
      ),
    )
  })
  it('up is up, and the level line stands above the bottom margin', () => {
    expect(place.y(10)).toBeLessThan(place.y(0))
    expect(place.height - place.y(0)).toBe(44)
  })
  it('the scale lets the larger side fit', () => {
    expect(fitScale(100, 10, 200, 200)).toBe(2)
    expect(fitScale(10, 100, 200, 200)).toBe(2)
  })
})

describe('a dragged opening stops', () => {
  it('at a line within reach, else on the grid', () => {
    expect(snap(31.8, [32.125, 44], 1, 0.5)).toBe(32.125)
    expect(snap(38.2, [32.125, 44], 1, 0.5)).toBe(38)
  })
})

describe('shapes', () => {
  const notched: Drawn = {
    id: 'n',
    wall: 'w',
    outline_in: [
      [0, 0],
      [100, 0],
      [100, 10],
      [40, 10],
      [40, 2],
      [20, 2],
      [20, 10],
      [0, 10],
    ],
    holes_in: [],
  }
  it('the number of a notched piece stands on steel, not in the notch', () => {
    const { at, long } = roomiest(notched, 0)
    expect(inside(notched.outline_in, at)).toBe(true)
    expect(at[0]).toBe(70)
    expect(long).toBe(60)
  })
  it('a number never stands outside of its piece', () => {
    const point = fc.tuple(fc.integer({ min: 1, max: 99 }), fc.integer({ min: 1, max: 9 }))
    fc.assert(
      fc.property(point, fc.constantFrom(0 as const, 1 as const), ([x, y], along) => {
        const bite: Pt[] = [
          [0, 0],
          [100, 0],
          [100, 10],
          [x, 10],
          [x, y],
          [0, y],
        ]
        expect(inside(bite, roomiest({ id: '', wall: '', outline_in: bite, holes_in: [] }, along).at)).toBe(
          true,
        )
      }),
    )
  })
  it('a ring is closed', () =>
    expect(
      ringPath([
        [0, 0],
        [1, 0],
        [1, 1],
      ]),
    ).toBe('M0 0L1 0L1 1Z'))
})

describe('ink on a painted panel keeps 4.5 to 1 (WCAG 2.2, 1.4.3)', () => {
  const light = ([r, g, b]: number[]) => {
    const f = (c: number) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4)
    return 0.2126 * f(r!) + 0.7152 * f(g!) + 0.0722 * f(b!)
  }
  it('on any colour', () => {
    const c = fc.integer({ min: 0, max: 255 })
    fc.assert(
      fc.property(fc.tuple(c, c, c), (rgb) => {
        const ink = light(inkOn(rgb) === '#ffffff' ? [255, 255, 255] : [0, 0, 0])
        const [a, b] = [light(rgb), ink].sort((p, q) => q - p) as [number, number]
        expect((a + 0.05) / (b + 0.05)).toBeGreaterThanOrEqual(4.5)
      }),
    )
  })
})

describe('walls side by side', () => {
  it('fill their room, and a small one has what its name needs', () => {
    const wall = fc.record({
      wide: fc.integer({ min: 10, max: 600 }),
      least: fc.integer({ min: 20, max: 120 }),
    })
    fc.assert(
      fc.property(fc.array(wall, { minLength: 1, maxLength: 12 }), (walls) => {
        const scale = scaleBeside(walls, 24, 4000)
        const widths = walls.map((w) => Math.max(w.least, w.wide * scale + 24))
        expect(widths.reduce((a, b) => a + b)).toBeCloseTo(4000, 6)
      }),
    )
    expect(scaleBeside([{ wide: 100, least: 50 }], 24, 124)).toBe(1)
  })
})
