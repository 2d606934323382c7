import { expect, test } from 'vitest'
import type { HouseView, Layout } from '../../src/api/types'
import { joinedLayout, joinedView, partsOf } from '../../src/state/parts'

const layoutOf = (mark: string, walls: string[]): Layout =>
  ({
    scheme: 'A',
    datum: mark,
    pieces: walls.flatMap((wall) => [0, 1].map((i) => ({ id: `${mark}-${wall}-${i}`, wall }))),
    drawn: walls.map((wall) => ({ id: `${mark}-${wall}`, wall })),
    courses: walls.map((wall) => ({ zone: mark, wall })),
    friezes: [],
    trim: [...walls, ''].map((wall) => ({ kind: mark, wall })),
  }) as unknown as Layout

test('walls that stayed keep the very objects that the page held', () => {
  const held = layoutOf('old', ['a', 'b', 'c'])
  const whole = joinedLayout(held, layoutOf('new', ['b']), ['a', 'c'], ['a', 'b', 'c'])
  expect(whole.pieces.map((p) => p.id)).toEqual([
    'old-a-0',
    'old-a-1',
    'new-b-0',
    'new-b-1',
    'old-c-0',
    'old-c-1',
  ])
  expect(whole.datum).toBe('new')
  expect(partsOf(whole).get('a')).toBe(partsOf(held).get('a'))
  expect(partsOf(whole).get('b')).not.toBe(partsOf(held).get('b'))
  expect(whole.trim.map((t) => t.kind)).toEqual(['old', 'new', 'old', 'new'])
})

test('the walls drawn come in the document’s order, without those taken away', () => {
  const held = { walls: [{ id: 'a' }, { id: 'b' }, { id: 'c' }] } as HouseView
  const brought = { units: 'metric', walls: [{ id: 'b', width: '9' }] } as unknown as HouseView
  const whole = joinedView(held, brought, ['c', 'b'])
  expect(whole.walls.map((w) => w.id)).toEqual(['c', 'b'])
  expect(whole.walls[1]!.width).toBe('9')
  expect(whole.units).toBe('metric')
})
