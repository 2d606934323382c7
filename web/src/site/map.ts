// A wall with its pieces as a crew sees it: where each lies and how far it has come.

import type { Pt } from '../api/types'
import { inside, ringPath } from '../draw/paths'
import type { State } from './tally'
import type { PackWall, SitePiece } from './wire'

export interface Lying {
  key: string
  outline: Pt[]
  path: string
}

/** Piece to wall: a lying piece moves, a standing one was turned clockwise and turns back. */
export function onWall(piece: SitePiece, [x, y]: Pt): Pt {
  const [ax, ay] = piece.at_in
  return piece.vertical ? [ax + piece.across_in - y, ay + x] : [x + ax, y + ay]
}

export function lying(piece: SitePiece): Lying {
  const outline = piece.shape.map((p) => onWall(piece, p))
  const holes = (piece.holes ?? []).map((h) => ringPath(h.map((p) => onWall(piece, p))))
  return { key: piece.key, outline, path: ringPath(outline) + holes.join('') }
}

export const piecesOf = (wall: PackWall, pieces: Map<string, SitePiece>): Lying[] =>
  wall.order.flatMap((o) => o.pieces.flatMap((k) => (pieces.has(k) ? [lying(pieces.get(k)!)] : [])))

/** Few long paths, one for each state, instead of hundreds of elements. */
export function byState(all: Lying[], state: State): { waiting: string; ready: string; hung: string } {
  const found = { waiting: '', ready: '', hung: '' }
  for (const l of all) found[state.pieces.get(l.key)?.place ?? 'waiting'] += l.path
  return found
}

export const hit = (all: Lying[], at: Pt): string | undefined => all.find((l) => inside(l.outline, at))?.key
