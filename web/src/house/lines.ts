// A wall's outline as the few numbers that a tape reads: distances along from its left
// end and heights from the level line. All corners on one line share one number.

import type { Known, Pt, WallView } from '../api/types'

export type Axis = 0 | 1 // 0: along x, 1: up y

export interface WallLine {
  axis: Axis
  at_in: number
  text: string
  name: string
  corners: number[]
  known: Known
  /** The ridge stands halfway along the width and follows it. */
  middle?: boolean
}

const near = (a: number, b: number) => Math.abs(a - b) < 1e-6

/**
 * The lines of one axis, lowest first; the wall's left end (x = 0) is no number. The ends
 * of a rake share none, whatever was typed: else a number typed wrong would take the other
 * one's field away.
 */
export function linesOf(wall: WallView, axis: Axis): WallLine[] {
  const found: WallLine[] = []
  wall.outline_in.forEach((p, i) => {
    const same = found.find((l) => near(l.at_in, p[axis]) && !l.corners.some((k) => raked(wall, k, i)))
    if (same) {
      same.corners.push(i)
      same.known = worse(same.known, knownAt(wall, i, axis))
    } else {
      const text = wall.outline[i]?.[axis] ?? ''
      found.push({ axis, at_in: p[axis], text, name: '', corners: [i], known: knownAt(wall, i, axis) })
    }
  })
  found.sort((a, b) => a.at_in - b.at_in)
  for (const line of found) name(line, wall, found)
  return found.filter((l) => !(axis === 0 && near(l.at_in, 0) && !isRidge(l, wall)))
}

/** The numbers in the order in which a tape is pulled: width first, then heights. */
export function tapeOrder(wall: WallView): WallLine[] {
  const along = linesOf(wall, 0)
  const up = linesOf(wall, 1).filter((l) => !(near(l.at_in, 0) && l.name === 'Base'))
  const width = along[along.length - 1]
  return [...(width ? [width] : []), ...up.reverse(), ...along.slice(0, -1)].sort(byRank)
}

/** Typed as nothing, the line would fall together with the wall's left end or its base. */
export const isSize = (wall: WallView, line: WallLine): boolean =>
  line.axis === 0 || (line.at_in > 0 && !line.name.startsWith('Base') && boundsOf(wall.outline_in).low >= 0)

const order = ['Width', 'Eave height', 'Top', 'Ridge height']
const rank = (l: WallLine) => {
  const r = order.indexOf(l.name)
  return r < 0 ? order.length : r
}
const byRank = (a: WallLine, b: WallLine) => rank(a) - rank(b)

function knownAt(wall: WallView, corner: number, axis: Axis): Known {
  return wall.readings?.[corner]?.[axis] ?? wall.measured ?? { by: 'assumed' }
}

const trust = ['assumed', 'plan', 'photo', 'tape']
const worse = (a: Known, b: Known) => (trust.indexOf(b.by) < trust.indexOf(a.by) ? b : a)

/** The edges that touch a corner: the one that ends there and the one that starts. */
const edgesAt = (w: WallView, i: number) => [w.edges[(i + w.edges.length - 1) % w.edges.length], w.edges[i]]

/** Whether a rake runs from one corner to the other, either way. */
const raked = (w: WallView, a: number, b: number): boolean =>
  [a, b].some((i) => w.edges[i] === 'rake' && (i + 1) % w.edges.length === (i === a ? b : a))

const isRidge = (line: WallLine, wall: WallView): boolean =>
  line.corners.some((i) => edgesAt(wall, i).every((e) => e === 'rake'))

function name(line: WallLine, wall: WallView, all: WallLine[]): void {
  if (line.axis === 0) nameAlong(line, wall, all)
  else nameUp(line, wall, all)
}

function nameAlong(line: WallLine, wall: WallView, all: WallLine[]): void {
  const width = all[all.length - 1]!.at_in
  if (isRidge(line, wall)) {
    line.name = 'Ridge from the left'
    line.middle = near(line.at_in * 2, width)
  } else if (near(line.at_in, width)) line.name = 'Width'
  else line.name = `Step from the left${numbered(line, all)}`
}

function nameUp(line: WallLine, wall: WallView, all: WallLine[]): void {
  const touching = line.corners.flatMap((i) => edgesAt(wall, i))
  const bases = all.filter((l) => l.corners.some((i) => edgesAt(wall, i).includes('base')))
  if (isRidge(line, wall)) line.name = 'Ridge height'
  else if (touching.includes('base')) line.name = bases.length > 1 ? `Base${numbered(line, bases)}` : 'Base'
  else if (touching.includes('eave')) line.name = 'Eave height'
  else if (touching.includes('rake')) line.name = line === all[all.length - 1] ? 'Top' : 'Eave height'
  else line.name = `Height${numbered(line, all)}`
}

function numbered(line: WallLine, all: WallLine[]): string {
  return all.length > 1 ? ` ${all.indexOf(line) + 1}` : ''
}

export interface HouseLine {
  name: string
  text: string
  at_in: number
  of: { wall: number; line: WallLine }[]
  known: Known
}

/** Numbers that several walls share, so that each is typed once for the whole house. */
export function houseLines(walls: WallView[]): HouseLine[] {
  const found: HouseLine[] = []
  walls.forEach((w, wall) => {
    for (const line of tapeOrder(w)) {
      if (line.middle || !order.includes(line.name)) continue
      const same = found.find((h) => h.name === line.name && near(h.at_in, line.at_in))
      if (same) {
        same.of.push({ wall, line })
        same.known = worse(same.known, line.known)
      } else
        found.push({
          name: line.name,
          text: line.text,
          at_in: line.at_in,
          of: [{ wall, line }],
          known: line.known,
        })
    }
  })
  return found.sort((a, b) => order.indexOf(a.name) - order.indexOf(b.name))
}

export interface Bounds {
  left: number
  right: number
  low: number
  high: number
}

export function boundsOf(points: Pt[]): Bounds {
  const xs = points.map((p) => p[0])
  const ys = points.map((p) => p[1])
  if (!points.length) return { left: 0, right: 0, low: 0, high: 0 }
  return { left: Math.min(...xs), right: Math.max(...xs), low: Math.min(...ys), high: Math.max(...ys) }
}
