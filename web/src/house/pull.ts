// Pulling corners: of a wall, whose corners share upright and level lines, and of a zone
// drawn on a wall. Places are inches of the drawing; what is kept is text on the tape's
// grid, and never counts as measured.

import type { JobDoc, Measured, Pt, PtText, WallView, ZoneDoc } from '../api/types'
import type { Units } from '../text/marks'
import { half, less, marked, moveLine, plus, type Sums } from './edits'
import { type Axis, linesOf, tapeOrder, type WallLine } from './lines'
import { applied, type Op } from './patch'

const assumed: Measured = { by: 'assumed' }

/** A place of the drawing as the text that a person would type for it. */
export const written = (inches: number, units: Units = 'imperial'): string =>
  units === 'metric' ? `${Math.round(inches * 25.4)} mm` : `${Math.round(inches * 16) / 16} in`

const lineAt = (wall: WallView, corner: number, axis: Axis): WallLine | undefined =>
  linesOf(wall, axis).find((l) => l.corners.includes(corner))

/** The wall's outline with a corner pulled to a place. Its left end stays where it is. */
export function pulled(wall: WallView, corner: number, to: Pt): Pt[] {
  const moved = wall.outline_in.map((p): Pt => [p[0], p[1]])
  for (const axis of [0, 1] as const)
    for (const c of lineAt(wall, corner, axis)?.corners ?? []) moved[c]![axis] = to[axis]
  return moved
}

/** The operations that move the two lines of a corner to a place. */
export async function pullCorner(
  doc: JobDoc,
  wall: WallView,
  index: number,
  corner: number,
  to: Pt,
  sums: Sums,
): Promise<Op[]> {
  const ops: Op[] = []
  for (const axis of [0, 1] as const) {
    const line = lineAt(wall, corner, axis)
    if (!line || Math.abs(line.at_in - to[axis]) < 1 / 64) continue
    const ridge = tapeOrder(wall).find((l) => l.middle)
    const text = written(to[axis], doc.units)
    ops.push(...(await moveLine(applied(doc, ops), wall, index, line, text, assumed, ridge, sums)))
  }
  return ops
}

/** Whether four corners are an upright box. */
export const isBox = (ring: Pt[]): boolean =>
  ring.length === 4 &&
  ring.every((p, i) => {
    const q = ring[(i + 1) % 4]!
    return (p[0] === q[0]) !== (p[1] === q[1])
  })

/** A ring with a corner pulled to a place; a box stays a box. */
export function pulledRing(ring: Pt[], corner: number, to: Pt): Pt[] {
  const from = ring[corner]!
  const box = isBox(ring)
  return ring.map((p, i): Pt => {
    if (i === corner) return to
    return box ? [p[0] === from[0] ? to[0] : p[0], p[1] === from[1] ? to[1] : p[1]] : p
  })
}

/** A box as an outline, counter-clockwise from its lower left. */
export const boxOutline = (left: string, low: string, right: string, high: string): PtText[] => [
  [left, low],
  [right, low],
  [right, high],
  [left, high],
]

/** The outline that a zone is drawn by, if it is. */
export const outlineOf = (zone: ZoneDoc): PtText[] | undefined =>
  typeof zone.where === 'object' ? zone.where.outline : undefined

/** Where an outline begins before anybody has said more: in the middle of the wall. */
export async function firstOutline(wall: WallView, units: Units, sums: Sums): Promise<PtText[]> {
  const [reach, low, high] = units === 'metric' ? ['600 mm', '1 m', '2 m'] : ["2'", "3'", "7'"]
  const [left, right] = await sums([
    [half(wall.width), less(reach!)],
    [half(wall.width), plus(reach!)],
  ])
  return boxOutline(left!, low!, right!, high!)
}

/** The four numbers of a box, each as the sum that gives it: left, low, width, height. */
export const boxSums = (o: PtText[]) => {
  const [left, low] = [marked(o[0]![0]), marked(o[0]![1])]
  const [right, high] = [marked(o[2]![0]), marked(o[2]![1])]
  return [[plus(left)], [plus(low)], [plus(right), less(left)], [plus(high), less(low)]]
}

/** A box with one of its four numbers typed anew; its lower left corner stays where it is. */
export async function retypedBox(o: PtText[], which: number, text: string, sums: Sums): Promise<PtText[]> {
  const now = await sums(boxSums(o))
  now[which] = text
  const [left, low, width, height] = now as [string, string, string, string]
  const [right, high] = await sums([
    [plus(left), plus(width)],
    [plus(low), plus(height)],
  ])
  return boxOutline(left, low, right!, high!)
}
