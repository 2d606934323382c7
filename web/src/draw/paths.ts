// Shapes in inches as SVG path text. Few long paths instead of many short elements:
// a house of 30 walls stays a few hundred nodes.

import type { Drawn, Layout, Piece, Pt } from '../api/types'
import { partsOf } from '../state/parts'

const n = (v: number) => String(Math.round(v * 1000) / 1000)

export function ringPath(ring: Pt[]): string {
  if (ring.length < 2) return ''
  return `M${ring.map((p) => `${n(p[0])} ${n(p[1])}`).join('L')}Z`
}

/** A piece as it lies on its wall, with its holes. */
export function drawnPath(piece: Drawn): string {
  return ringPath(piece.outline_in) + piece.holes_in.map(ringPath).join('')
}

/** Even-odd test: is the point inside the ring? */
export function inside(ring: Pt[], [x, y]: Pt): boolean {
  let odd = false
  ring.forEach((a, i) => {
    const b = ring[(i + 1) % ring.length]!
    if (a[1] > y !== b[1] > y && x < ((b[0] - a[0]) * (y - a[1])) / (b[1] - a[1]) + a[0]) odd = !odd
  })
  return odd
}

/** The piece under a point of a wall. */
export function pieceAt(layout: Layout, wall: string, at: Pt): Piece | undefined {
  const part = partsOf(layout).get(wall)
  const hit = part?.drawn.find((d) => inside(d.outline_in, at))
  return hit && part?.pieces.find((p) => p.id === hit.id)
}

/**
 * Where a word fits best in a shape: in the middle of the longest run along an axis that is
 * solid at the foot and the head of a letter too, else of its longest solid run.
 */
export function roomiest(shape: Drawn, along: 0 | 1): { at: Pt; long: number } {
  const across = along === 0 ? 1 : 0
  const values = shape.outline_in.map((p) => p[across])
  const low = Math.min(...values)
  const high = Math.max(...values)
  const rings = [shape.outline_in, ...shape.holes_in]
  const runs = (t: number) => pairs(crossings(rings, along, low + (high - low) * t))
  let best: { at: Pt; long: number } = { at: [0, 0], long: 0 }
  const consider = (t: number, solid: [number, number][], more: number) => {
    const level = low + (high - low) * t
    for (const [from, to] of solid) {
      if (to - from <= best.long * more) continue
      const middle = (from + to) / 2
      best = { at: along === 0 ? [middle, level] : [level, middle], long: to - from }
    }
  }
  const half = runs(0.5)
  consider(0.5, common(common(half, runs(0.15)), runs(0.85)), 1)
  consider(0.5, half, 3)
  for (const t of [0.3, 0.7]) consider(t, runs(t), 3)
  return best
}

function pairs(values: number[]): [number, number][] {
  return values.flatMap((v, i): [number, number][] =>
    i % 2 === 0 && i + 1 < values.length ? [[v, values[i + 1]!]] : [],
  )
}

/** What two lists of runs share. */
function common(a: [number, number][], b: [number, number][]): [number, number][] {
  return a
    .flatMap(([x, y]) => b.map(([u, v]): [number, number] => [Math.max(x, u), Math.min(y, v)]))
    .filter(([from, to]) => from < to)
}

function crossings(rings: Pt[][], along: 0 | 1, level: number): number[] {
  const across = along === 0 ? 1 : 0
  const found = rings.flatMap((ring) =>
    ring.flatMap((a, i) => {
      const b = ring[(i + 1) % ring.length]!
      if (a[across] > level === b[across] > level) return []
      return [a[along] + ((level - a[across]) / (b[across] - a[across])) * (b[along] - a[along])]
    }),
  )
  return found.sort((a, b) => a - b)
}

/** Black or white, whichever reads better on a colour (WCAG relative luminance). */
export function inkOn([r, g, b]: [number, number, number]): string {
  return luminance(r, g, b) > 0.179 ? '#000000' : '#ffffff'
}

function luminance(r: number, g: number, b: number): number {
  const linear = (c: number) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4)
  return 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
}

export const rgb = (c: readonly number[] | undefined): string =>
  c ? `rgb(${c.slice(0, 3).map(Math.round).join(' ')})` : '#9aa3a7'
