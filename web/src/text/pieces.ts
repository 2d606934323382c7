// A list of pieces, the way the run sheet numbers them.

import type { Layout, Piece } from '../api/types'

/** The numbers of some pieces on one wall: "1-1 to 1-7". A run of three or more is told by its ends. */
export interface OnWall {
  wall: string
  numbers: string
}

/** The layout's pieces of these ids, wall by wall in its order; a piece it does not know goes by its id, under no wall. */
export function numbersByWall(layout: Pick<Layout, 'pieces'> | undefined, ids: readonly string[]): OnWall[] {
  const wanted = new Set(ids)
  const known = (layout?.pieces ?? []).filter((p) => wanted.delete(p.id))
  const walls = [...new Set(known.map((p) => p.wall))]
  const out = walls.map((wall) => ({ wall, numbers: runs(known.filter((p) => p.wall === wall)) }))
  return wanted.size ? [...out, { wall: '', numbers: [...wanted].join(', ') }] : out
}

function runs(pieces: Piece[]): string {
  const named = pieces.map((p) => ({
    text: p.number ?? p.id,
    at: Number(/(\d+)$/.exec(p.number ?? '')?.[1]),
  }))
  named.sort((a, b) => a.at - b.at)
  const out: (typeof named)[] = []
  for (const n of named) {
    const last = out.at(-1)
    if (last && n.at === last.at(-1)!.at + 1) last.push(n)
    else out.push([n])
  }
  return out
    .map((run) =>
      run.length > 2 ? `${run[0]!.text} to ${run.at(-1)!.text}` : run.map((n) => n.text).join(', '),
    )
    .join(', ')
}
