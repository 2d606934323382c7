// A layout wall by wall. An answer to an edit leaves out what stays as it was; here it is
// joined with what the page holds, and those walls keep the very same objects, so that
// nothing of them is drawn again.

import type { CoursesAnswer, Drawn, HouseView, Layout, Piece, TrimLine } from '../api/types'

export interface WallPart {
  pieces: Piece[]
  drawn: Drawn[]
  courses: CoursesAnswer[]
  friezes: Layout['friezes']
  trim: TrimLine[]
}

const known = new WeakMap<Layout, Map<string, WallPart>>()
const lists = ['pieces', 'drawn', 'courses', 'friezes', 'trim'] as const
const nothing = (): WallPart => ({ pieces: [], drawn: [], courses: [], friezes: [], trim: [] })

/** What a layout has on each wall. */
export function partsOf(layout: Layout): Map<string, WallPart> {
  let parts = known.get(layout)
  if (!parts) {
    parts = new Map()
    for (const list of lists) {
      for (const one of layout[list] ?? []) {
        const wall = one.wall ?? ''
        const part = parts.get(wall) ?? nothing()
        parts.set(wall, part)
        ;(part[list] as unknown[]).push(one)
      }
    }
    known.set(layout, parts)
  }
  return parts
}

/** The whole layout: what an answer brings, and what is held of the walls that stayed. */
export function joinedLayout(held: Layout, brought: Layout, same: string[], order: string[]): Layout {
  const stayed = new Set(same)
  const [old, fresh] = [partsOf(held), partsOf(brought)]
  const parts = new Map<string, WallPart>()
  for (const wall of [...order, '']) {
    const part = (stayed.has(wall) ? old : fresh).get(wall)
    if (part) parts.set(wall, part)
  }
  const all = [...parts.values()]
  const whole: Layout = {
    ...brought,
    pieces: all.flatMap((p) => p.pieces),
    drawn: all.flatMap((p) => p.drawn),
    courses: all.flatMap((p) => p.courses),
    friezes: all.flatMap((p) => p.friezes),
    trim: all.flatMap((p) => p.trim),
  }
  known.set(whole, parts)
  return whole
}

/** The same for what is drawn of the house without a scheme. */
export function joinedView(held: HouseView, brought: HouseView, order: string[]): HouseView {
  const walls = new Map([...held.walls, ...brought.walls].map((w) => [w.id, w]))
  return { ...brought, walls: order.flatMap((id) => walls.get(id) ?? []) }
}
