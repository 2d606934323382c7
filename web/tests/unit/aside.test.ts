import { describe, expect, it } from 'vitest'
import { less, plus } from '../../src/house/edits'
import { set } from '../../src/house/patch'
import { AsideShelf, asideText, linesOfEdit } from '../../src/state/aside'

const frame = JSON.stringify([[['south', 4, ['S1', 'S2']]], [['A', ['field']]]])
const kept = {
  what: ['S2 pushed', 'Field in bone'],
  base: '7',
  frame,
  patch: [
    set([`\u{e000}0\u{e000}`, "3'"], 'house', 'walls', 0, 'openings', 1, 'at'),
    set('bone', 'schemes', 0, 'zones', 0, 'colour'),
    set(
      { length: "9'", measured: { by: 'tape', plus_minus: '1/8 in' } },
      'house',
      'walls',
      0,
      'outline',
      2,
      1,
    ),
    { op: 'remove' as const, path: '/house/walls/0/openings/0' },
  ],
  sums: [{ key: '\u{e000}0\u{e000}', terms: [plus("30'"), less("4'")] }],
}
const aside = { kept, why: 'Older data.', at: 0 }

describe('edits that were put aside', () => {
  it('say what they write where, so that a person can do them by hand', () => {
    expect(linesOfEdit(kept)).toEqual([
      "South, S2, place: 30' − 4', 3'",
      'Scheme A, zone field, colour: bone',
      "South, its outline: 9'",
      'South, S1: taken away',
    ])
    expect(asideText('Alder', [aside])).toMatch(
      /could not be saved[\s\S]*S2 pushed; Field in bone\nOlder data\.\n {2}South, S2/,
    )
  })

  it('last as long as the page where the browser has no room', () => {
    const full = {
      getItem: () => null,
      setItem: () => {
        throw new Error('full')
      },
      removeItem() {},
      key: () => null,
      length: 0,
    }
    const shelf = new AsideShelf('j', full, 'Ann')
    shelf.add([aside])
    expect([shelf.list(), shelf.safe]).toEqual([[aside], false])
    shelf.take(structuredClone(aside))
    expect([shelf.list(), shelf.safe]).toEqual([[], true])
  })
})
