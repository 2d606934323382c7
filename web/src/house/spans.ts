// Where on the wall each number is measured, for laying the tape on the drawing.

import type { OpeningView, Pt, WallView } from '../api/types'
import type { Span } from '../state/asking.svelte'
import type { OpeningNumber } from './edits'
import { boundsOf, type WallLine } from './lines'

/** A wall's width along its foot, heights from the level line, the rest where its corner is. */
export function spanOfLine(wall: WallView, line: WallLine): Span {
  const box = boundsOf(wall.outline_in)
  const corner = wall.outline_in[line.corners[0] ?? 0] ?? [0, 0]
  const text = line.text
  if (line.axis === 1) {
    const x = line.name.startsWith('Eave height') ? box.left : corner[0]
    return { wall: wall.id, from: [x, 0], to: [x, line.at_in], text }
  }
  const y = line.name === 'Width' ? box.low : line.name.startsWith('Ridge') ? eaveOf(wall) : corner[1]
  return { wall: wall.id, from: [box.left, y], to: [line.at_in, y], text }
}

/** The height of the lower end of the wall's rakes. */
function eaveOf(wall: WallView): number {
  const ends = wall.outline_in.filter((_, i) => wall.edges[i] === 'rake')
  return ends.length ? Math.min(...ends.map((p) => p[1])) : 0
}

/** The tape along one of an opening's four numbers, which reads text. */
export function spanOfOpening(
  wall: WallView,
  o: OpeningView,
  which: OpeningNumber,
  from: 'left' | 'right',
  text: string,
): Span {
  const b = boundsOf(o.outline_in)
  const box = boundsOf(wall.outline_in)
  const middle = (b.left + b.right) / 2
  const ends: Record<OpeningNumber, [Pt, Pt]> = {
    width: [
      [b.left, b.low],
      [b.right, b.low],
    ],
    height: [
      [b.left, b.low],
      [b.left, b.high],
    ],
    across: [
      [box[from], b.low],
      [b[from], b.low],
    ],
    sill: [
      [middle, 0],
      [middle, b.low],
    ],
  }
  const [start, to] = ends[which]
  return { wall: wall.id, from: start, to, text }
}
