import fc from 'fast-check'
import { expect, test } from 'vitest'
import type { JobDoc, Pt, PtText, WallView } from '../../src/api/types'
import type { Term } from '../../src/house/edits'
import { applied } from '../../src/house/patch'
import {
  boxOutline,
  boxSums,
  isBox,
  pullCorner,
  pulled,
  pulledRing,
  retypedBox,
  written,
} from '../../src/house/pull'

// Judge: lengths as plain inches, sharing no code with the page or the server.
const inches = (text: string | number | object): number => {
  const t = String(typeof text === 'object' ? (text as { length: string }).length : text)
  return t === '0' ? 0 : t.endsWith('mm') ? Number.parseFloat(t) / 25.4 : Number.parseFloat(t)
}
const of = { '1': 1, '-1': -1, '1/2': 0.5, '-1/2': -0.5 }
const sums = async (asked: Term[][]) =>
  asked.map((terms) => `${terms.reduce((s, t) => s + of[t.times] * inches(t.text), 0)} in`)

const gable: Pt[] = [
  [0, 0],
  [384, 0],
  [384, 108],
  [192, 204],
  [0, 108],
]
const text = (ring: Pt[]): PtText[] => ring.map((p): PtText => [`${p[0]} in`, `${p[1]} in`])
const wall = {
  id: 'south',
  outline_in: gable,
  outline: text(gable),
  edges: ['base', 'outside-corner', 'rake', 'rake', 'outside-corner'],
  openings: [],
} as unknown as WallView
const doc = {
  units: 'imperial',
  house: { walls: [{ id: 'south', outline: text(gable), edges: wall.edges, measured: { by: 'tape' } }] },
  schemes: [],
} as unknown as JobDoc

test('a pulled eave corner takes the width and both eaves along, and the ridge its middle', async () => {
  expect(pulled(wall, 2, [400, 110])).toEqual([
    [0, 0],
    [400, 0],
    [400, 110],
    [192, 204],
    [0, 110],
  ])
  const ops = await pullCorner(doc, wall, 0, 2, [400, 110], sums)
  const kept = applied(doc, ops).house.walls[0]!
  expect(kept.outline.map((p) => [inches(p[0]), inches(p[1])])).toEqual([
    [0, 0],
    [400, 0],
    [400, 110],
    [200, 204],
    [0, 110],
  ])
  expect(JSON.stringify(kept)).toContain('assumed')
})

test('the left end stays, whatever is pulled', () => {
  fc.assert(
    fc.property(
      fc.nat(4),
      fc.integer({ min: -50, max: 500 }),
      fc.integer({ min: 1, max: 300 }),
      (i, x, y) => {
        const ring = pulled(wall, i, [x, y])
        expect(ring[0]![0]).toBe(0)
        expect(ring[4]![0]).toBe(0)
      },
    ),
  )
})

test('a box stays a box, and only the pulled corner of another outline moves', () => {
  const box: Pt[] = [
    [10, 20],
    [50, 20],
    [50, 80],
    [10, 80],
  ]
  fc.assert(
    fc.property(
      fc.nat(3),
      fc.integer({ min: 100, max: 200 }),
      fc.integer({ min: 100, max: 200 }),
      (i, x, y) => {
        const ring = pulledRing(box, i, [x, y])
        expect(isBox(ring)).toBe(true)
        expect(ring[i]).toEqual([x, y])
        expect(ring[(i + 2) % 4]).toEqual(box[(i + 2) % 4])
      },
    ),
  )
  expect(pulledRing(gable, 3, [190, 210]).filter((p, i) => p !== gable[i]).length).toBe(1)
})

test('a box is retyped from its lower left corner', async () => {
  const outline = boxOutline('10 in', '20 in', '50 in', '80 in')
  expect(await sums(boxSums(outline))).toEqual(['10 in', '20 in', '40 in', '60 in'])
  const wider = await retypedBox(outline, 2, '44 in', sums)
  expect(wider.map((p) => p.map(inches))).toEqual([
    [10, 20],
    [54, 20],
    [54, 80],
    [10, 80],
  ])
})

test('a place is written as a tape reads it', () => {
  expect(written(10.03)).toBe('10 in')
  expect(written(10.0625)).toBe('10.0625 in')
  expect(written(1, 'metric')).toBe('25 mm')
})
