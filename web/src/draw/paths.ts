// Shapes in inches as SVG path text. Few long paths instead of many short elements:
// a house of 30 walls stays a few hundred nodes.

import type { Drawn, Layout, Piece, Pt } from '../api/types'

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
  const hit = layout.drawn.find((d) => d.wall === wall && inside(d.outline_in, at))
  return hit && layout.pieces.find((p) => p.id === hit.id)
}

/** Black or white, whichever reads better on a colour (WCAG relative luminance). */
export function inkOn([r, g, b]: [number, number, number]): string {
  return luminance(r, g, b) > 0.2 ? '#101416' : '#ffffff'
}

function luminance(r: number, g: number, b: number): number {
  const linear = (c: number) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4)
  return 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)
}

export const rgb = (c: readonly number[] | undefined): string =>
  c ? `rgb(${c.slice(0, 3).map(Math.round).join(' ')})` : '#9aa3a7'
