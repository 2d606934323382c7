// Places on the screen and on the photo, and a rectangle on a wall as a photo shows it.

import type { Pt } from '../../../api/types'
import type { MarkedWall, Marks } from './marks'

/** How the photo lies on the board: screen = scale * pixel + (x, y). */
export interface Lay {
  scale: number
  x: number
  y: number
}
export const toScreen = (l: Lay, [u, v]: Pt): Pt => [l.scale * u + l.x, l.scale * v + l.y]
export const toPhoto = (l: Lay, [x, y]: Pt): Pt => [(x - l.x) / l.scale, (y - l.y) / l.scale]

/** The whole photo in the middle of the board. */
export function fitted(size: Pt, board: Pt): Lay {
  const scale = Math.min(board[0] / size[0], board[1] / size[1]) || 1
  return { scale, x: (board[0] - scale * size[0]) / 2, y: (board[1] - scale * size[1]) / 2 }
}

/** Nearer or farther, the place under the pointer staying where it is. */
export function zoomed(l: Lay, by: number, about: Pt, least: number, most = 40): Lay {
  const scale = Math.min(most, Math.max(least, l.scale * by))
  const real = scale / l.scale
  return { scale, x: about[0] - real * (about[0] - l.x), y: about[1] - real * (about[1] - l.y) }
}

/** The photo can be pushed until only its edge is left. */
export function held(l: Lay, size: Pt, board: Pt): Lay {
  const keep = 60
  const hold = (at: number, long: number, room: number) =>
    Math.min(room - keep, Math.max(keep - l.scale * long, at))
  return { ...l, x: hold(l.x, size[0], board[0]), y: hold(l.y, size[1], board[1]) }
}

type Nine = [number, number, number, number, number, number, number, number, number]

/** From the unit square (lower left, lower right, upper right, upper left) to four places
 * (Heckbert 1989, eq. 2.11 ff.); undefined where three lie on one line. */
export function squareTo([a, b, c, d]: [Pt, Pt, Pt, Pt]): Nine | undefined {
  const [sx, sy] = [a[0] - b[0] + c[0] - d[0], a[1] - b[1] + c[1] - d[1]]
  const [x1, y1, x2, y2] = [b[0] - c[0], b[1] - c[1], d[0] - c[0], d[1] - c[1]]
  const det = x1 * y2 - x2 * y1
  if (Math.abs(det) < 1e-9) return undefined
  const [g, h] = [(sx * y2 - x2 * sy) / det, (x1 * sy - sx * y1) / det]
  return [
    b[0] - a[0] + g * b[0],
    d[0] - a[0] + h * d[0],
    a[0],
    b[1] - a[1] + g * b[1],
    d[1] - a[1] + h * d[1],
    a[1],
    g,
    h,
    1,
  ]
}
export function through(m: Nine, [x, y]: Pt): Pt {
  const w = m[6] * x + m[7] * y + m[8]
  return [(m[0] * x + m[1] * y + m[2]) / w, (m[3] * x + m[4] * y + m[5]) / w]
}
/** The map back, up to scale: the adjugate. */
export const backward = ([a, b, c, d, e, f, g, h, i]: Nine): Nine => [
  e * i - f * h,
  c * h - b * i,
  b * f - c * e,
  f * g - d * i,
  a * i - c * g,
  c * d - a * f,
  d * h - e * g,
  b * g - a * h,
  a * e - b * d,
]

/** Four corners of a wall that stand upright over its base: for a gable without the ridge. */
function quad(m: Marks, wall: MarkedWall): [Pt, Pt, Pt, Pt] | undefined {
  const at = wall.outline.length === 5 ? [0, 1, 2, 4] : wall.outline.length === 4 ? [0, 1, 2, 3] : []
  const places = at.map((k) => m.points[wall.outline[k]!])
  if (places.length !== 4 || places.some((p) => !p)) return undefined
  return places as [Pt, Pt, Pt, Pt]
}

/** From a photo's places to those on a wall in parts of its width and height, as its corners
 * have them; undefined where they do not tell. */
export function across(m: Marks, wall: MarkedWall): ((at: Pt) => Pt) | undefined {
  const corners = quad(m, wall)
  const to = corners && squareTo(corners)
  if (!to) return undefined
  const back = backward(to)
  return (at) => through(back, at)
}

/** The opening that two opposite corners on a photo bound, as the wall lies there: from
 * the lower left, counter-clockwise. */
export function rectangle(m: Marks, wall: MarkedWall | undefined, p: Pt, q: Pt): [Pt, Pt, Pt, Pt] {
  const corners = wall && quad(m, wall)
  const to = corners && squareTo(corners)
  const upright: [Pt, Pt, Pt, Pt] = [
    [Math.min(p[0], q[0]), Math.max(p[1], q[1])],
    [Math.max(p[0], q[0]), Math.max(p[1], q[1])],
    [Math.max(p[0], q[0]), Math.min(p[1], q[1])],
    [Math.min(p[0], q[0]), Math.min(p[1], q[1])],
  ]
  if (!to) return upright
  const back = backward(to)
  const [a, b] = [through(back, p), through(back, q)]
  const [x0, x1, y0, y1] = [
    Math.min(a[0], b[0]),
    Math.max(a[0], b[0]),
    Math.min(a[1], b[1]),
    Math.max(a[1], b[1]),
  ]
  const out = (
    [
      [x0, y0],
      [x1, y0],
      [x1, y1],
      [x0, y1],
    ] as Pt[]
  ).map((c) => through(to, c))
  return out.every((c) => c.every(Number.isFinite)) ? (out as [Pt, Pt, Pt, Pt]) : upright
}

/** The wall that a place on the photo lies on, by its marked outline. */
export function wallAt(m: Marks, at: Pt): MarkedWall | undefined {
  return m.walls.find(
    (w) =>
      w.outline.length > 2 &&
      insideRing(
        w.outline.map((n) => m.points[n]!),
        at,
      ),
  )
}
function insideRing(ring: Pt[], [x, y]: Pt): boolean {
  let inside = false
  ring.forEach(([ax, ay], i) => {
    const [bx, by] = ring[(i + 1) % ring.length]!
    if (ay > y !== by > y && x < ax + ((bx - ax) * (y - ay)) / (by - ay)) inside = !inside
  })
  return inside
}

/** Of likely windows those that a person can still take: on a marked wall, where one is
 * marked at all, and not over an opening that is marked already. */
export function takeable<W extends { corners: Pt[] }>(m: Marks, likely: W[]): W[] {
  const walls = m.walls.filter((w) => w.outline.length > 2)
  const inside = (ids: string[], at: Pt) =>
    insideRing(
      ids.map((id) => m.points[id]!),
      at,
    )
  return likely.filter(({ corners }) => {
    const at = middleOf(corners)
    if (walls.length && !walls.some((w) => inside(w.outline, at))) return false
    return !walls.some((w) =>
      w.openings?.some(
        (o) => inside(o.corners, at) || insideRing(corners, middleOf(o.corners.map((id) => m.points[id]!))),
      ),
    )
  })
}

export const middleOf = (corners: Pt[]): Pt =>
  [0, 1].map((k) => corners.reduce((s, c) => s + c[k]!, 0) / corners.length) as Pt
