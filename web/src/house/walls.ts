// New walls: blank, copied, mirrored; and the corners that join them into the ring.

import type { CornerDoc, JobDoc, PtText, WallDoc } from '../api/types'
import { bare, less, marked, plus, type Sums } from './edits'
import { type Op, remove, set } from './patch'

/** The wall of an edge, which a corner names as south.right or south.edge[2]. */
export const wallOfEdge = (edge: string): string => edge.slice(0, edge.lastIndexOf('.'))

/** The sides of a house and the way each faces, in degrees from north: the second lies right of the first. */
const sides = { south: 180, east: 90, north: 0, west: 270 }

/** A free id for a wall: the side that it faces or the next of the house, else wall-5 and so on. */
export function freeWallId(doc: JobDoc, faces_deg?: number): string {
  const taken = new Set(doc.house.walls.map((w) => w.id))
  const side = faces_deg === undefined ? undefined : (Math.round(faces_deg / 90) * 90) % 360
  const own = Object.entries(sides).find(([id, faces]) => faces === side && !taken.has(id))
  if (own) return own[0]
  for (const id of Object.keys(sides)) if (!taken.has(id)) return id
  for (let n = doc.house.walls.length + 1; ; n++) if (!taken.has(`wall-${n}`)) return `wall-${n}`
}

export type WallShape = 'eave' | 'gable'

/** A wall to start from, all its numbers assumed. */
export function newWall(doc: JobDoc, shape: WallShape): WallDoc {
  const id = freeWallId(doc)
  const metric = doc.units === 'metric'
  const [w, half, eave, ridge] = metric ? ['8 m', '4 m', '2.7 m', '4.7 m'] : ["24'", "12'", "9'", "15'"]
  const faces_deg = sides[id as keyof typeof sides] as number | undefined
  const side = 'outside-corner'
  const common = { id, ...(faces_deg === undefined ? {} : { faces_deg }), openings: [] }
  if (shape === 'eave') {
    const outline = points(['0', '0'], [w!, '0'], [w!, eave!], ['0', eave!])
    return { ...common, outline, edges: ['base', side, 'eave', side], measured: { by: 'assumed' } }
  }
  const outline = points(['0', '0'], [w!, '0'], [w!, eave!], [half!, ridge!], ['0', eave!])
  return { ...common, outline, edges: ['base', side, 'rake', 'rake', side], measured: { by: 'assumed' } }
}

const points = (...list: [string, string][]): PtText[] => list

/** The same wall again under a free id, as the opposite side of the house. */
export function copyWall(doc: JobDoc, from: WallDoc): WallDoc {
  const copy = structuredClone(from)
  if (copy.faces_deg !== undefined) copy.faces_deg = (copy.faces_deg + 180) % 360
  copy.id = freeWallId(doc, copy.faces_deg)
  copy.openings?.forEach((o, i) => {
    o.id = `${copy.id[0]!.toUpperCase()}${i + 1}`
  })
  copy.measured = { by: 'assumed' }
  stripMeasured(copy)
  return copy
}

/** A copied number was never measured on the new wall: its pedigree does not come along. */
function stripMeasured(wall: WallDoc): void {
  wall.outline = wall.outline.map(([x, y]) => [bare(x), bare(y)])
  for (const o of wall.openings ?? []) {
    delete o.measured
    if (o.at) o.at = [bare(o.at[0]), bare(o.at[1])]
    if (o.size) o.size = [bare(o.size[0]), bare(o.size[1])]
    if (o.outline) o.outline = o.outline.map(([x, y]) => [bare(x), bare(y)])
  }
}

/** Left becomes right: corner i of the mirror is corner n-i of the wall, at width less x. */
export async function mirrorWall(wall: WallDoc, width: string, sums: Sums): Promise<WallDoc> {
  const turned = structuredClone(wall)
  const openings = turned.openings ?? []
  const asked = [
    ...wall.outline.map((p) => [plus(width), less(marked(p[0]))]),
    ...openings.map((o) =>
      o.at && o.size ? [plus(width), less(marked(o.at[0])), less(marked(o.size[0]))] : [plus('0')],
    ),
    ...openings.flatMap((o) => (o.outline ?? []).map((p) => [plus(width), less(marked(p[0]))])),
  ]
  const got = await sums(asked)
  let at = wall.outline.length
  const outline = wall.outline.map((p, i): PtText => [withLength(p[0], got[i]!), p[1]])
  turned.outline = backwards(outline)
  turned.edges = [...wall.edges].map((_, i) => wall.edges[(wall.edges.length * 2 - i) % wall.edges.length]!)
  for (const o of openings) {
    if (o.at) o.at = [withLength(o.at[0], got[at]!), o.at[1]]
    at++
  }
  for (const o of openings) {
    if (!o.outline) continue
    o.outline = backwards(o.outline.map((p): PtText => [withLength(p[0], got[at++]!), p[1]]))
  }
  return turned
}

/** The other way round, so that the ring stays counter-clockwise, starting at the old second corner. */
function backwards<T>(ring: T[]): T[] {
  return ring.map((_, i) => ring[(ring.length + 1 - i) % ring.length]!)
}

function withLength(n: PtText[0], length: string): PtText[0] {
  return typeof n === 'object' ? { ...n, length } : length
}

/**
 * Joins each wall's right end to the next one's left, around the house: by the ways they face
 * where no two face the same, else in their order.
 */
export function ringOf(doc: JobDoc): CornerDoc[] {
  const walls = around(doc.house.walls)
  if (walls.length < 2) return []
  return walls.flatMap((w, i): CornerDoc[] => {
    const next = walls[(i + 1) % walls.length]!
    if (walls.length === 2 && i === 1) return []
    return [{ between: [`${w.id}.right`, `${next.id}.left`], kind: turn(w, next) }]
  })
}

/** Walls in the order that one meets them who goes to the right along each. */
function around(walls: WallDoc[]): WallDoc[] {
  const [first] = walls
  if (!first || new Set(walls.map((w) => w.faces_deg)).size < walls.length) return walls
  if (walls.some((w) => w.faces_deg === undefined)) return walls
  const turned = (w: WallDoc) => (first.faces_deg! - w.faces_deg! + 360) % 360
  return walls.toSorted((a, b) => turned(a) - turned(b))
}

/** By the way the two walls face: turning left around the house is an outside corner. */
function turn(a: WallDoc, b: WallDoc): 'outside' | 'inside' {
  if (a.faces_deg === undefined || b.faces_deg === undefined) return 'outside'
  const by = (((b.faces_deg - a.faces_deg) % 360) + 360) % 360
  return by > 0 && by < 180 ? 'inside' : 'outside'
}

export const setCorners = (corners: CornerDoc[]): Op[] => [set(corners, 'house', 'corners')]
export const addWall = (wall: WallDoc): Op[] => [set(wall, 'house', 'walls', '-')]

/** The wall goes, and the corners that it had a part in; nothing where it has gone already. */
export function removeWall(doc: JobDoc, id: string): Op[] {
  const at = doc.house.walls.findIndex((w) => w.id === id)
  if (at < 0) return []
  const corners = (doc.house.corners ?? []).filter((c) => !c.between.some((e) => wallOfEdge(e) === id))
  return [...setCorners(corners), remove('house', 'walls', at)]
}
