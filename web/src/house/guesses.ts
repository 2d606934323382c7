// What of a wall is not taped yet: it can be priced, but not cut.

import type { Known, WallView } from '../api/types'
import { tapeOrder } from './lines'

const loose = (k: Known | undefined) => k?.by !== 'tape'

/** How many of a wall's numbers and openings still rest on a guess, a plan or a photo. */
export function untaped(wall: WallView): number {
  const lines = tapeOrder(wall).filter((l) => !l.middle && loose(l.known)).length
  return lines + wall.openings.filter((o) => loose(o.measured)).length
}
