// The phone's reckoning is held to the Go code's: cases that package tally and package site wrote.

import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { feetLeft } from '../../src/site/reels'
import { type Mark, merge, type PieceState, stateOf } from '../../src/site/tally'

interface Known {
  pieces: Record<string, { place: string; formed: number; spoiled: number; lies: number; last: string }>
  homeless: Record<string, { place: string; formed: number; spoiled: number; lies: number; last: string }>
  loaded: string
  reels: Record<string, string>
  covered: Record<string, string>
  sizes: string[]
  checks: string[]
  withdrawn: string[]
  kept: Mark[]
}
const file = (path: string) => new URL(`../../../${path}`, import.meta.url)
const read = <T>(path: string) => JSON.parse(readFileSync(file(path), 'utf8')) as T

const said = (all: Map<string, PieceState>) =>
  Object.fromEntries(
    [...all].map(([k, { last, cut: _, label: __, ...p }]) => [k, { ...p, last: last?.id ?? '' }]),
  )
const ids = (all: Map<string, Mark>) => Object.fromEntries([...all].map(([k, m]) => [k, m.id]))

function known(pieces: string[], marks: Mark[]): Known {
  const s = stateOf(pieces, marks)
  return {
    pieces: said(s.pieces),
    homeless: said(s.homeless),
    loaded: s.loaded,
    reels: ids(s.reels),
    covered: ids(s.covered),
    sizes: s.sizes.map((m) => m.id),
    checks: s.checks.map((m) => m.id),
    withdrawn: s.withdrawn,
    kept: merge(marks),
  }
}

describe('marks', () => {
  const { cases } = read<{ cases: { pieces: string[]; marks: Mark[]; state: Known }[] }>(
    'tally/testdata/merge.json',
  )
  test(`${cases.length} cases of the Go code`, () => {
    expect(cases.length).toBeGreaterThan(10)
    for (const c of cases) {
      expect(known(c.pieces, c.marks)).toEqual(c.state)
      expect(known(c.pieces, [...c.marks].reverse())).toEqual(c.state)
    }
  })
})

interface ReelCase {
  name: string
  threading_scrap_ft: number
  cut_loss_in: number
  coils: Record<string, number>
  lengths: Record<string, number>
  marks: Mark[]
  left_ft: Record<string, number>
}

describe('feet left on coils', () => {
  const { cases } = read<{ cases: ReelCase[] }>('site/testdata/reels.json')
  test(`${cases.length} cases of the Go code`, () => {
    expect(cases.length).toBeGreaterThan(10)
    for (const c of cases) {
      const plan = {
        machine: c,
        coils: Object.entries(c.coils).map(([id, length_ft]) => ({ id, length_ft })),
        pieces: Object.entries(c.lengths).map(([key, length_in]) => ({ key, length_in })),
        blanks: [],
      }
      const left = feetLeft(plan, c.marks)
      for (const [coil, feet] of Object.entries(c.left_ft))
        expect(left.get(coil), c.name).toBeCloseTo(feet, 5)
      expect(left.size).toBe(Object.keys(c.left_ft).length)
    }
  })
})
