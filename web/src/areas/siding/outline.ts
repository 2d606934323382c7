// A drawn zone's outline in inches, as the server reads it.

import { lengths } from '../../api/calls'
import type { Pt, PtText } from '../../api/types'
import { marked, plus } from '../../house/edits'
import type { Units } from '../../text/marks'

export async function ringIn(outline: PtText[], units: Units): Promise<Pt[]> {
  if (!outline.length) return []
  const read = await lengths(
    units,
    outline.flatMap(([x, y]) => [[plus(marked(x))], [plus(marked(y))]]),
  )
  return outline.map((_, i): Pt => [read[2 * i]!.in, read[2 * i + 1]!.in])
}
