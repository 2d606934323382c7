// Drawings in words, for whoever hears the page instead of seeing it.

import type { OpeningView, Piece, PlanView, WallView } from '../api/types'
import { capital, compass, count, say } from '../text/words'

export const nameOf = (wall: { id: string; title?: string }): string => capital(wall.title || wall.id)

function openings(list: OpeningView[]): string {
  if (!list.length) return 'no openings'
  return list.map((o) => `${say(o.kind)} ${o.id}, ${o.size?.[0]} by ${o.size?.[1]}`).join('; ')
}

/** One wall: its size, where it looks, its openings, its pieces. */
export function describeWall(wall: WallView, pieces: Piece[]): string {
  const looks = typeof wall.faces_deg === 'number' ? `, faces ${compass(wall.faces_deg)}` : ''
  const laid = pieces.length ? `${count(pieces.length, 'piece')} in ${courses(pieces)}` : 'no pieces yet'
  return `Wall ${nameOf(wall)}${looks}: ${wall.width} wide, ${wall.height} high; ${openings(wall.openings)}; ${laid}.`
}

function courses(pieces: Piece[]): string {
  const n = new Set(pieces.map((p) => `${p.zone} ${p.course}`)).size
  return count(n, 'course')
}

/** The plan: the walls in their order, and whether the ring closes. */
export function describePlan(plan: PlanView): string {
  if (!plan.ring.length) return 'Plan: the walls are not joined at their corners yet.'
  const closes = plan.closes ? 'the ring closes' : `the ring stays open${plan.gap ? ` by ${plan.gap}` : ''}`
  return `Plan: ${plan.ring.map((r) => r.wall).join(', ')}; ${closes}.`
}
