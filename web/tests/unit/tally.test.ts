import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  added,
  byBytes,
  compare,
  countOf,
  kinds,
  type Mark,
  merge,
  nextCount,
  stateOf,
} from '../../src/site/tally'

const mark = (id: string, count: number, kind: Mark['kind'], piece: string): Mark => ({
  id,
  count,
  device: `d${id[0]}`,
  by: '',
  at: '',
  kind,
  piece,
})

describe('a piece on its way', () => {
  test('spoiled waits again, hung hangs, a formed one without a place is not forgotten', () => {
    const s = stateOf(
      ['p', 'q', 'r'],
      [
        mark('a1', 1, 'formed', 'p'),
        mark('a2', 2, 'spoiled', 'p'),
        mark('a3', 3, 'formed', 'p'),
        mark('b4', 4, 'hung', 'p'),
        mark('a5', 5, 'formed', 'q'),
        mark('a6', 6, 'formed', 'gone'),
      ],
    )
    expect(s.pieces.get('p')).toMatchObject({ place: 'hung', formed: 2, spoiled: 1, last: { id: 'b4' } })
    expect(s.pieces.get('q')?.place).toBe('ready')
    expect(s.pieces.get('r')?.place).toBe('waiting')
    expect(s.homeless.get('gone')?.formed).toBe(1)
    expect(countOf(s)).toEqual({ pieces: 3, formed: 2, hung: 1, spoiled: 1 })
  })
  test('a mark taken back does not count, unless that was taken back too', () => {
    const marks = [mark('a1', 1, 'formed', 'p'), mark('a2', 2, 'hung', 'p'), mark('b3', 3, 'withdrawn', 'a2')]
    expect(stateOf(['p'], marks).pieces.get('p')?.place).toBe('ready')
    expect(stateOf(['p'], marks).withdrawn).toEqual(['a2'])
    const again = [...marks, mark('a4', 4, 'withdrawn', 'b3')]
    expect(stateOf(['p'], again).pieces.get('p')?.place).toBe('hung')
  })
  test('a clock that is a day off changes nothing', () => {
    const late = { ...mark('a1', 1, 'formed', 'p'), at: '2031-01-02T00:00:00Z' }
    const early = { ...mark('b2', 2, 'hung', 'p'), at: '2031-01-01T00:00:00Z' }
    expect(stateOf(['p'], [early, late]).pieces.get('p')?.place).toBe('hung')
  })
  test('of two marks with one id the greater stands, whichever comes first', () => {
    const a = mark('a1', 1, 'formed', 'p')
    const b = { ...mark('a1', 1, 'hung', 'q'), device: 'da' }
    expect(merge([a], [b])).toEqual(merge([b], [a]))
    expect(merge([a], [b])).toEqual([b])
  })
})

test('texts stand in the order of their UTF-8 bytes', () => {
  const utf8 = (t: string) => Buffer.from(t, 'utf8')
  fc.assert(
    fc.property(fc.string({ unit: 'grapheme' }), fc.string({ unit: 'grapheme' }), (a, b) => {
      expect(Math.sign(byBytes(a, b))).toBe(Math.sign(Buffer.compare(utf8(a), utf8(b))))
    }),
  )
  expect(byBytes('\u{1F600}', '\uff5e')).toBeGreaterThan(0)
})

/** Ten phones: each marks on its own, now and then two of them meet. */
interface Phone {
  name: string
  marks: Mark[]
  made: number
}
const pieces = ['1', '2', '3', '4']
const step = fc.record({
  phone: fc.nat(9),
  other: fc.nat(9),
  meets: fc.nat(3),
  kind: fc.constantFrom(...kinds),
  piece: fc.constantFrom(...pieces, 'gone'),
  which: fc.nat(1000),
})
function play(steps: (typeof step extends fc.Arbitrary<infer T> ? T : never)[]): Phone[] {
  const phones = Array.from({ length: 10 }, (_, i): Phone => ({ name: `d${i}`, marks: [], made: 0 }))
  for (const s of steps) {
    const p = phones[s.phone]!
    if (s.meets === 0) {
      p.marks = merge(p.marks, phones[s.other]!.marks)
      continue
    }
    const about = s.kind === 'withdrawn' ? p.marks[s.which % (p.marks.length || 1)]?.id : undefined
    p.marks.push({
      ...mark(`${p.name}-${p.made++}`, nextCount(p.marks), s.kind, about ?? s.piece),
      device: p.name,
    })
  }
  return phones
}

test('in every order and however often: one state, and no mark is lost', () => {
  const story = fc.array(step, { maxLength: 90 })
  fc.assert(
    fc.property(story, fc.infiniteStream(fc.nat(1_000_000)), (steps, chance) => {
      const phones = play(steps)
      const all = phones.flatMap((p) => p.marks)
      const made = phones.reduce((n, p) => n + p.made, 0)
      expect(merge(all)).toHaveLength(made)
      const shuffled = [...all, ...all]
        .map((m) => ({ m, at: chance.next().value as number }))
        .sort((a, b) => a.at - b.at)
        .map((x) => x.m)
      expect(stateOf(pieces, shuffled)).toEqual(stateOf(pieces, all))
    }),
  )
})

test('one more mark on top gives what going through all again gives', () => {
  const story = fc.array(step, { minLength: 1, maxLength: 40 })
  fc.assert(
    fc.property(story, (steps) => {
      const all = merge(play(steps).flatMap((p) => p.marks))
      const top = all.at(-1)
      fc.pre(top !== undefined && top.kind !== 'withdrawn')
      const now = added(stateOf(pieces, all.slice(0, -1)), top)
      expect(now).toEqual(stateOf(pieces, all))
      expect(all.every((m) => compare(m, top) <= 0)).toBe(true)
    }),
  )
})
