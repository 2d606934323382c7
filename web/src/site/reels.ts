// Feet that are left on each coil, by the marks: what was threaded, formed and spoiled comes
// off, and a reading of the reel itself stands above all that was reckoned before it. The
// rule is package site's; a table of cases made by it holds this file to it.

import { type Mark, merge, takenBack } from './tally'

export interface ReelPlan {
  machine: { threading_scrap_ft: number; cut_loss_in: number }
  coils: { id: string; length_ft: number }[]
  pieces: { key: string; length_in: number }[]
  blanks: { key: string; length_in: number }[]
}

/** What a reel mark says, in feet; undefined where it says nothing. */
export function feetRead(text: string): number | undefined {
  const found = /^(\d+(?:\.\d+)?) (ft|m)$/.exec(text)
  if (!found) return undefined
  return found[2] === 'm' ? Number(found[1]) / 0.3048 : Number(found[1])
}

export function feetLeft(plan: ReelPlan, marks: Mark[]): Map<string, number> {
  const left = new Map(plan.coils.map((c) => [c.id, c.length_ft]))
  const long = new Map([...plan.pieces, ...plan.blanks].map((p) => [p.key, p.length_in]))
  const lying = new Map<string, number>()
  let loaded = ''
  const off = (coil: string, feet: number) => {
    const had = left.get(coil)
    if (had !== undefined) left.set(coil, had - feet)
  }
  const ordered = merge(marks)
  const gone = takenBack(ordered)
  for (const m of ordered.filter((m) => !gone.has(m.id))) {
    if (m.kind === 'loaded') {
      loaded = m.piece
      off(m.piece, plan.machine.threading_scrap_ft)
    } else if (m.kind === 'reel') {
      const feet = feetRead(m.text ?? '')
      if (feet !== undefined && left.has(m.piece)) left.set(m.piece, feet)
    } else if (m.kind === 'formed' || m.kind === 'spoiled') {
      const lies = lying.get(m.piece) ?? 0
      const length = long.get(m.piece)
      if (length !== undefined && (m.kind === 'formed' || lies <= 0))
        off(m.text || loaded, (length + plan.machine.cut_loss_in) / 12)
      lying.set(m.piece, m.kind === 'formed' ? lies + 1 : Math.max(0, lies - 1))
    } else if (m.kind === 'moved' && (lying.get(m.text ?? '') ?? 0) > 0) {
      lying.set(m.text!, lying.get(m.text!)! - 1)
      lying.set(m.piece, (lying.get(m.piece) ?? 0) + 1)
    }
  }
  return left
}
