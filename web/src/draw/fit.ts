// How a wall stands on the screen: inches to pixels, y turned, one level line for all.

import type { Pt, WallView } from '../api/types'
import { boundsOf } from '../house/lines'

export interface Fit {
  scale: number
  low: number
  high: number
}

/** Room around the walls in pixels. */
export interface Margin {
  top: number
  bottom: number
  left: number
  right: number
}

/** How much larger than 16 px the page's text is: drawings' words grow with it on big screens. */
export function textScale(): number {
  if (typeof document === 'undefined') return 1
  return (Number.parseFloat(getComputedStyle(document.documentElement).fontSize) || 16) / 16
}

/** The heights that all walls of the house share. */
export function heights(walls: WallView[]): { low: number; high: number } {
  const b = boundsOf(walls.flatMap((w) => w.outline_in))
  return { low: Math.min(0, b.low), high: Math.max(b.high, 12) }
}

export const widthOf = (wall: WallView): number => {
  const b = boundsOf(wall.outline_in)
  return Math.max(b.right - b.left, 1)
}

/** The largest scale at which the walls fit a box of w by h pixels. */
export function fitScale(wide: number, tall: number, w: number, h: number): number {
  return Math.max(0.02, Math.min(w / Math.max(wide, 1), h / Math.max(tall, 1)))
}

/** The scale at which walls stand side by side in a room: each with its gap, and none less wide than it must be. */
export function scaleBeside(walls: { wide: number; least: number }[], gap: number, room: number): number {
  const sum = (of: number[]) => of.reduce((a, b) => a + b, 0)
  let free = walls
  for (;;) {
    const fixed = walls.filter((w) => !free.includes(w))
    const scale =
      (room - sum(fixed.map((w) => w.least)) - gap * free.length) / Math.max(1, sum(free.map((w) => w.wide)))
    const large = free.filter((w) => w.wide * scale + gap >= w.least)
    if (large.length === free.length || !large.length) return scale
    free = large
  }
}

export class Place {
  readonly low: number
  constructor(
    readonly wall: WallView,
    readonly fit: Fit,
    readonly margin: Margin,
  ) {
    this.low = boundsOf(wall.outline_in).left
  }
  get width(): number {
    return widthOf(this.wall) * this.fit.scale + this.margin.left + this.margin.right
  }
  get height(): number {
    return (this.fit.high - this.fit.low) * this.fit.scale + this.margin.top + this.margin.bottom
  }
  x(inches: number): number {
    return (inches - this.low) * this.fit.scale + this.margin.left
  }
  y(inches: number): number {
    return (this.fit.high - inches) * this.fit.scale + this.margin.top
  }
  /** The inches under a pixel. */
  inches(px: number, py: number): Pt {
    return [
      (px - this.margin.left) / this.fit.scale + this.low,
      this.fit.high - (py - this.margin.top) / this.fit.scale,
    ]
  }
  get transform(): string {
    const { scale } = this.fit
    return `matrix(${scale} 0 0 ${-scale} ${this.margin.left - this.low * scale} ${this.margin.top + this.fit.high * scale})`
  }
}

/** The nearest place to stop at: a line of the house within reach, else the grid. */
export function snap(inches: number, lines: number[], reach: number, grid: number): number {
  let best: number | undefined
  for (const l of lines) {
    if (
      Math.abs(l - inches) <= reach &&
      (best === undefined || Math.abs(l - inches) < Math.abs(best - inches))
    )
      best = l
  }
  return best ?? Math.round(inches / grid) * grid
}

const ways: Record<string, Pt> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, 1],
  ArrowDown: [0, -1],
}

/** Where an arrow key pushes a place: an inch or a centimetre, with Shift a foot or ten. */
export function pushed(at: Pt, e: KeyboardEvent, metric: boolean): Pt | undefined {
  const way = ways[e.key]
  if (!way) return undefined
  const step = metric ? (e.shiftKey ? 100 : 10) / 25.4 : e.shiftKey ? 12 : 1
  return [at[0] + way[0] * step, at[1] + way[1] * step]
}
