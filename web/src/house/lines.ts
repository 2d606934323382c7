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
 * The lines of one axis, lowest first; the wall's left end (x = 0) is no number. What two
 * fields tell stays in two, whatever was typed, else a number typed wrong would take the
 * other one's field away: the ends of a rake share no number, nor do two steps.
 */
export function linesOf(wall: WallView, axis: Axis): WallLine[] {
  const box = boundsOf(wall.outline_in)
  const found: WallLine[] = []
  for (const run of runsOf(wall, axis)) {
    const at_in = wall.outline_in[run[0]!]![axis]
    const step = axis === 0 && !near(at_in, box.left) && !near(at_in, box.right)
    const known = run.map((i) => knownAt(wall, i, axis)).reduce(worse)
    const same = found.find((l) => !step && near(l.at_in, at_in) && !apart(wall, axis, l.corners, run))
    if (same) {
      same.corners.push(...run)
      same.known = worse(same.known, known)
    } else {
      const text = wall.outline[run[0]!]?.[axis] ?? ''
      found.push({ axis, at_in, text, name: '', corners: run, known })
    }
  }
  found.sort((a, b) => (near(a.at_in, b.at_in) ? leftOf(wall, axis, a, b) : a.at_in - b.at_in))
  for (const line of found) line.corners.sort((a, b) => a - b)
  for (const line of found) name(line, wall, found)
  const told = found.filter((l) => !(axis === 0 && near(l.at_in, 0) && !isRidge(l, wall)))
  numberAlike(told)
  return told
}

/** Corners on one line that edges along it join, in the order of the outline. */
function runsOf(wall: WallView, axis: Axis): number[][] {
  const points = wall.outline_in
  const runs: number[][] = []
  points.forEach((p, i) => {
    const last = runs.at(-1)
    if (last && near(points[i - 1]![axis], p[axis]) && !parted(wall, axis, i - 1)) last.push(i)
    else runs.push([i])
  })
  const end = points.length - 1
  const [first, last] = [runs[0], runs.at(-1)]
  if (!first || !last || first === last) return runs
  if (!near(points[end]![axis], points[0]![axis]) || parted(wall, axis, end)) return runs
  runs.pop()
  first.push(...last)
  return runs
}

/** Whether an edge's ends share no number: a rake's, and those of an edge across that was typed away. */
function parted(wall: WallView, axis: Axis, edge: number): boolean {
  if (wall.edges[edge] === 'rake') return true
  const across: Axis = axis === 0 ? 1 : 0
  const n = wall.outline_in.length
  if (!level(wall, edge, axis) || !level(wall, edge, across)) return false
  // Outlines turn at their corners: the edges beside it run the other way.
  return [(edge + n - 1) % n, (edge + 1) % n].some((e) => level(wall, e, axis) && !level(wall, e, across))
}

/** Whether both ends of an edge have the same number. */
function level(wall: WallView, edge: number, axis: Axis): boolean {
  const [a, b] = [wall.outline_in[edge]!, wall.outline_in[(edge + 1) % wall.outline_in.length]!]
  return near(a[axis], b[axis])
}

/**
 * Of two steps on one line, below nought where the first was the left one. The wall lies to
 * the left of its outline's way, so steps up and down face away from each other; of two the
 * same way, a base leads on to the right and an eave to the left.
 */
function leftOf(wall: WallView, axis: Axis, a: WallLine, b: WallLine): number {
  const n = wall.edges.length
  const joint = wall.edges.findIndex((_, e) => parted(wall, axis, e) && meets(e, a.corners, b.corners, n))
  if (axis === 1 || joint < 0 || wall.edges[joint] === 'rake') return 0
  const [up, next] = [joint + n - 1, joint + 1].map((e) => Math.sign(rise(wall, e % n)))
  const on = up !== next || wall.edges[joint] === 'base'
  return on === a.corners.includes(joint) ? -1 : 1
}
const meets = (e: number, a: number[], b: number[], n: number) =>
  (a.includes(e) && b.includes((e + 1) % n)) || (b.includes(e) && a.includes((e + 1) % n))
const rise = (wall: WallView, e: number) =>
  wall.outline_in[(e + 1) % wall.outline_in.length]![1] - wall.outline_in[e]![1]

/** Whether an edge that parts them runs from a corner of one line to a corner of the other. */
const apart = (wall: WallView, axis: Axis, a: number[], b: number[]): boolean =>
  wall.edges.some((_, e) => parted(wall, axis, e) && meets(e, a, b, wall.edges.length))

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
/** Without the number that tells two of a name apart. */
const plain = (name: string) => name.replace(/ \d+$/, '')
const rank = (l: WallLine) => {
  const r = order.indexOf(plain(l.name))
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

const isRidge = (line: WallLine, wall: WallView): boolean =>
  line.corners.some((i) => edgesAt(wall, i).every((e) => e === 'rake'))

function name(line: WallLine, wall: WallView, all: WallLine[]): void {
  if (line.axis === 0) nameAlong(line, wall, all)
  else nameUp(line, wall, all)
}

function nameAlong(line: WallLine, wall: WallView, all: WallLine[]): void {
  const width = boundsOf(wall.outline_in).right
  if (isRidge(line, wall)) {
    line.name = 'Ridge from the left'
    line.middle = near(line.at_in * 2, width)
  } else if (line === all.findLast((l) => near(l.at_in, width) && !isRidge(l, wall))) line.name = 'Width'
  else line.name = 'Step from the left'
}

function nameUp(line: WallLine, wall: WallView, all: WallLine[]): void {
  const touching = line.corners.flatMap((i) => edgesAt(wall, i))
  if (isRidge(line, wall)) line.name = 'Ridge height'
  else if (touching.includes('base')) line.name = 'Base'
  else if (touching.includes('eave')) line.name = 'Eave height'
  else if (touching.includes('rake')) line.name = line === all[all.length - 1] ? 'Top' : 'Eave height'
  else line.name = 'Height'
}

/** Lines of one name are told apart by a number, lowest or leftmost first. */
function numberAlike(lines: WallLine[]): void {
  for (const line of new Set(lines.map((l) => l.name))) {
    const same = lines.filter((l) => l.name === line)
    if (same.length < 2) continue
    for (const [i, l] of same.entries()) l.name += ` ${i + 1}`
  }
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
      const name = plain(line.name)
      if (line.middle || !order.includes(name)) continue
      const same = found.find((h) => h.name === name && near(h.at_in, line.at_in))
      if (same) {
        same.of.push({ wall, line })
        same.known = worse(same.known, line.known)
      } else
        found.push({
          name,
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
