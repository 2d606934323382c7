// Level and plumb lines of a marked wall that the photo shows by itself: proposals, which a
// person takes or leaves. Each holds the camera's view of that wall.

import type { Pt } from '../../../api/types'
import type { Proposed } from './calls'
import { addLine, freePoint, type MarkedWall, type Marks, movePoints } from './marks'
import { across, wallAt } from './plane'

export interface LikelyLine {
  wall: string
  as: 'level' | 'plumb'
  ends: [Pt, Pt]
}

/** How far off level or plumb a line may lie on the wall, as its outline has it, in parts of
 * the wall's sides; how far apart two lines must be to say different things; how many of a
 * kind are offered for a wall (all three are common practice, no source). */
const slant = 0.04
const apart = 0.05
const most = 5

/** The lines that can still be taken, the longest first, as far apart as they say. */
export function likelyLines(m: Marks, seen: Proposed): LikelyLine[] {
  const kinds = [
    { as: 'level' as const, axis: 1 as const, lines: seen.level.flatMap((g) => g.lines) },
    { as: 'plumb' as const, axis: 0 as const, lines: seen.upright.lines },
  ]
  return m.walls.flatMap((wall) =>
    kinds.flatMap(({ as, axis, lines }) => {
      const flat = across(m, wall)
      if (!flat) return []
      const at = (ends: Pt[]) => (flat(ends[0]!)[axis] + flat(ends[1]!)[axis]) / 2
      const taken = (wall[as] ?? []).map((names) => at([m.points[names[0]!]!, m.points[names.at(-1)!]!]))
      const chosen: LikelyLine[] = []
      for (const ends of runningOn(m, wall, lines, axis).sort((a, b) => long(b) - long(a))) {
        if (chosen.length === most || taken.some((v) => Math.abs(v - at(ends)) < apart)) continue
        taken.push(at(ends))
        chosen.push({ wall: wall.id, as, ends })
      }
      return chosen
    }),
  )
}
const long = ([a, b]: [Pt, Pt]) => Math.hypot(b[0] - a[0], b[1] - a[1])

/** Lines that lie on a wall whole and run along one of its axes there. */
function runningOn(m: Marks, wall: MarkedWall, lines: [Pt, Pt][], axis: 0 | 1): [Pt, Pt][] {
  const flat = across(m, wall)!
  return lines.filter((ends) => {
    if (ends.some((p) => wallAt(m, p) !== wall)) return false
    const [a, b] = ends.map(flat) as [Pt, Pt]
    const along = Math.abs(b[1 - axis]! - a[1 - axis]!)
    return Math.abs(b[axis] - a[axis]) < slant * along
  })
}

/** The marks with those lines taken. */
export function takeLines(m: Marks, lines: LikelyLine[]): Marks {
  let marks = m
  for (const { wall, as, ends } of lines) {
    const names: string[] = []
    for (const at of ends) {
      const name = freePoint(marks, `${wall} ${as} line`)
      marks = movePoints(marks, { [name]: at })
      names.push(name)
    }
    marks = addLine(marks, as, wall, names)
  }
  return marks
}
