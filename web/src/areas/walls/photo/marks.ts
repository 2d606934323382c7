// Marks on a photo: what a person points at, as the job file keeps them. Pixels only:
// every size of the house is worked out by the server.

import type { Pt } from '../../../api/types'
import { wallOfEdge } from '../../../house/walls'

export interface MarkedOpening {
  id: string
  kind: string
  corners: string[]
}
export interface MarkedWall {
  id: string
  outline: string[]
  openings?: MarkedOpening[]
  level?: string[][]
  plumb?: string[][]
  free?: boolean
}
export interface KnownLength {
  between: [string, string]
  length: string
  plus_minus?: string
}
export interface MarkedCorner {
  between: [string, string]
  kind: 'outside' | 'inside'
  square?: boolean
}
export interface Marks {
  format: 'coilwright/marks@1'
  photo: { file: string; width?: number; height?: number; focal_px?: number }
  points: Record<string, Pt>
  walls: MarkedWall[]
  lengths?: KnownLength[]
  straight?: string[][]
  corners?: MarkedCorner[]
}
export interface PhotoDoc {
  id: string
  file: string
  marks?: Marks | string
}

export const noMarks = (file: string): Marks => ({
  format: 'coilwright/marks@1',
  photo: { file },
  points: {},
  walls: [],
})

export type Shape = 'eave' | 'gable' | 'other'
const lower = ['lower left corner', 'lower right corner']
/** The corners of a wall in the order they are asked for: around it, as seen from outside. */
export const cornersOf: Record<Exclude<Shape, 'other'>, string[]> = {
  eave: [...lower, 'upper right corner', 'upper left corner'],
  gable: [...lower, 'right end of the eave', 'ridge', 'left end of the eave'],
}
const boxCorners = ['lower left', 'lower right', 'upper right', 'upper left']

/** What corner k of a wall of that shape is called. */
export const cornerName = (shape: Shape, k: number): string =>
  shape === 'other' ? (lower[k] ?? `corner ${k + 1}`) : (cornersOf[shape][k] ?? `corner ${k + 1}`)

export const wallOf = (m: Marks, id: string) => m.walls.find((w) => w.id === id)

/** Proposed windows are numbered, proposed lines lettered: a, b, … z, aa. */
export const lineNumber = (i: number): string =>
  (i < 26 ? '' : lineNumber(Math.floor(i / 26) - 1)) + String.fromCharCode(97 + (i % 26))

/** A name that no point has yet. */
export function freePoint(m: Marks, name: string): string {
  if (!Object.hasOwn(m.points, name)) return name
  for (let n = 2; ; n++) if (!Object.hasOwn(m.points, `${name} ${n}`)) return `${name} ${n}`
}

/** The marks with one more corner of a wall; a point given by name is shared. */
export function addCorner(m: Marks, wall: string, name: string, at: Pt): [Marks, string] {
  const shared = Object.hasOwn(m.points, name)
  const next: Marks = { ...m, points: shared ? m.points : { ...m.points, [name]: at } }
  const known = wallOf(m, wall)
  next.walls = known
    ? m.walls.map((w) => (w === known ? { ...w, outline: [...w.outline, name] } : w))
    : [...m.walls, { id: wall, outline: [name] }]
  return [next, name]
}

export function movePoints(m: Marks, to: Record<string, Pt>): Marks {
  return { ...m, points: { ...m.points, ...to } }
}

export function addOpening(
  m: Marks,
  wall: string,
  id: string,
  kind: string,
  corners: Pt[],
): [Marks, string[]] {
  const points = { ...m.points }
  const names = corners.map((at, k) => {
    const name = freePoint({ ...m, points }, `${wall} ${id} ${boxCorners[k]}`)
    points[name] = at
    return name
  })
  const walls = m.walls.map((w) =>
    w.id === wall ? { ...w, openings: [...(w.openings ?? []), { id, kind, corners: names }] } : w,
  )
  return [{ ...m, points, walls }, names]
}

export function setKind(m: Marks, wall: string, id: string, kind: string): Marks {
  const openings = (w: MarkedWall) => w.openings?.map((o) => (o.id === id ? { ...o, kind } : o))
  return { ...m, walls: m.walls.map((w) => (w.id === wall ? { ...w, openings: openings(w) } : w)) }
}

/** Without an opening, and without what only it used. */
export function dropOpening(m: Marks, wall: string, id: string): Marks {
  const walls = m.walls.map((w) =>
    w.id === wall ? { ...w, openings: w.openings?.filter((o) => o.id !== id) } : w,
  )
  return swept({ ...m, walls })
}
export const dropWall = (m: Marks, wall: string): Marks =>
  swept({ ...m, walls: m.walls.filter((w) => w.id !== wall) })

/** Without the corner of a wall that was marked last. */
export function dropLast(m: Marks, wall: string): Marks {
  const w = wallOf(m, wall)
  if (!w || w.outline.length < 2) return dropWall(m, wall)
  return swept({ ...m, walls: m.walls.map((x) => (x === w ? { ...w, outline: w.outline.slice(0, -1) } : x)) })
}

/** Takes away points that nothing names, and what names points that are gone. */
export function swept(m: Marks): Marks {
  const solid = new Set(
    m.walls.flatMap((w) => [...w.outline, ...(w.openings ?? []).flatMap((o) => o.corners)]),
  )
  const lengths = m.lengths?.filter((l) => l.between.every((n) => solid.has(n)))
  const ids = new Set(m.walls.map((w) => w.id))
  const corners = m.corners?.filter((c) => c.between.every((e) => ids.has(wallOfEdge(e))))
  const lines = [...(m.straight ?? []), ...m.walls.flatMap((w) => [...(w.level ?? []), ...(w.plumb ?? [])])]
  const used = new Set([...solid, ...lines.flat()])
  const points = Object.fromEntries(Object.entries(m.points).filter(([n]) => used.has(n)))
  return { ...m, points, ...(m.lengths && { lengths }), ...(m.corners && { corners }) }
}

const sameEnds = (l: KnownLength, a: string, b: string) =>
  (l.between[0] === a && l.between[1] === b) || (l.between[0] === b && l.between[1] === a)
export const knownLength = (m: Marks, a: string, b: string) => m.lengths?.find((l) => sameEnds(l, a, b))

/** A length between two corners by tape; undefined takes it away. */
export function setLength(m: Marks, a: string, b: string, length?: string, plus_minus?: string): Marks {
  const rest = (m.lengths ?? []).filter((l) => !sameEnds(l, a, b))
  if (length === undefined) return { ...m, lengths: rest }
  const known: KnownLength = { between: [a, b], length, ...(plus_minus && { plus_minus }) }
  return { ...m, lengths: [...rest, known] }
}

/** A line of three or more points: straight for the lens, or level or plumb on a wall. */
export function addLine(m: Marks, as: 'straight' | 'level' | 'plumb', wall: string, names: string[]): Marks {
  if (as === 'straight') return { ...m, straight: [...(m.straight ?? []), names] }
  const walls = m.walls.map((w) => (w.id === wall ? { ...w, [as]: [...(w[as] ?? []), names] } : w))
  return { ...m, walls }
}

/** The marks without a line, and without the points that only it used. */
export function dropLine(m: Marks, as: 'straight' | 'level' | 'plumb', wall: string, k: number): Marks {
  const without = (lines?: string[][]) => lines?.filter((_, i) => i !== k)
  if (as === 'straight') return swept({ ...m, straight: without(m.straight) })
  return swept({ ...m, walls: m.walls.map((w) => (w.id === wall ? { ...w, [as]: without(w[as]) } : w)) })
}

export const setFree = (m: Marks, wall: string, free: boolean): Marks => ({
  ...m,
  walls: m.walls.map((w) => (w.id === wall ? { ...w, free } : w)),
})

/** One size that can be read off the photo or taped: between two marked corners. */
export interface SizeRow {
  wall: string
  opening?: string
  words: string
  corners: [number, number]
  ends: [string, string]
}
const edgeWords: Record<number, string[]> = {
  4: ['base', 'right end', 'top', 'left end'],
  5: ['base', 'right end', 'right rake', 'left rake', 'left end'],
}
export function sizeRows(m: Marks): SizeRow[] {
  return m.walls.flatMap((w) => {
    const n = w.outline.length
    if (n < 3) return []
    const edges = w.outline.map((a, k): SizeRow => {
      const to = (k + 1) % n
      return {
        wall: w.id,
        words: edgeWords[n]?.[k] ?? `edge ${k + 1}`,
        corners: [k, to],
        ends: [a, w.outline[to]!],
      }
    })
    const openings = (w.openings ?? []).flatMap((o): SizeRow[] => [
      {
        wall: w.id,
        opening: o.id,
        words: 'width',
        corners: [0, 1],
        ends: [o.corners[0]!, o.corners[1]!],
      },
      {
        wall: w.id,
        opening: o.id,
        words: 'height',
        corners: [1, 2],
        ends: [o.corners[1]!, o.corners[2]!],
      },
    ])
    return [...edges, ...openings]
  })
}
export const rowName = (r: SizeRow): string =>
  r.opening ? `${r.opening} ${r.words}` : `${r.wall}, ${r.words}`

/** Whether a measured size is that of a row: between the same corners. */
export const isOf = (s: { wall: string; opening?: string; corners: Pt }, r: SizeRow): boolean =>
  s.wall === r.wall &&
  (s.opening ?? '') === (r.opening ?? '') &&
  s.corners[0] === r.corners[0] &&
  s.corners[1] === r.corners[1]

/** The corners beside a marked corner, of the outline or the opening that it belongs to. */
export function besides(m: Marks, name: string): [string, string] | undefined {
  for (const w of m.walls) {
    for (const ring of [w.outline, ...(w.openings ?? []).map((o) => o.corners)]) {
      const k = ring.indexOf(name)
      const n = ring.length
      if (k >= 0 && n > 2) return [ring[(k + 1) % n]!, ring[(k + n - 1) % n]!]
    }
  }
  return undefined
}

/** Walls that share a marked corner meet there: the joins that the marks do not name yet. */
export function joined(m: Marks): Marks {
  const corners = [...(m.corners ?? [])]
  const middle = (w: MarkedWall) =>
    w.outline.reduce((sum, n) => sum + m.points[n]![0], 0) / Math.max(1, w.outline.length)
  m.walls.forEach((a, i) => {
    for (const b of m.walls.slice(i + 1)) {
      const shared = a.outline.find((n) => b.outline.includes(n))
      const pair = [a.id, b.id]
      const known = corners.some((c) => c.between.every((e) => pair.includes(wallOfEdge(e))))
      if (!shared || known) continue
      const side = (w: MarkedWall) => (m.points[shared]![0] > middle(w) ? 'right' : 'left')
      if (side(a) === side(b)) continue
      corners.push({ between: [`${a.id}.${side(a)}`, `${b.id}.${side(b)}`], kind: 'outside' })
    }
  })
  return corners.length > (m.corners?.length ?? 0) ? { ...m, corners } : m
}
