// Edits of a scheme's zones that a picked place asks for.

import type { JobDoc } from '../../../api/types'
import { type Op, set } from '../../../house/patch'

/** Gives one wall of a zone a zone of its own, in front of it and otherwise alike. */
export function alone(doc: JobDoc, scheme: number, zone: string, wall: string): Op[] {
  const zones = doc.schemes[scheme]!.zones
  const at = zones.findIndex((z) => z.id === zone)
  const like = zones[at]
  if (!like) return []
  let id = `${zone}-${wall}`
  for (let n = 2; zones.some((z) => z.id === id); n++) id = `${zone}-${wall}-${n}`
  return [set({ ...structuredClone(like), id, walls: [wall] }, 'schemes', scheme, 'zones', at)]
}
