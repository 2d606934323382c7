// Marks to the office and back. Order does not matter, and neither does how often one is sent.

import { Silence } from '../api/refusal'
import { type KeptMark, markKey } from './kept'
import { merge } from './tally'
import type { MarksIn, MarksOut } from './wire'

export interface Exchange {
  job: string
  device: string
  cursor: string
  marks: () => KeptMark[]
  ask: (body: MarksIn) => Promise<MarksOut>
  /** Keeps rows that are new or otherwise than they were, and the cursor after them. */
  take: (rows: KeptMark[], out: MarksOut) => Promise<void>
}

/** The server takes no more at once. */
const atOnce = 500

/** Sends what waits and takes what is new, until neither is left. */
export async function exchange(x: Exchange): Promise<void> {
  let after = x.cursor
  let restarts = 0
  for (;;) {
    const waiting = x.marks().filter((m) => m.sent === 0)
    const sending = waiting.slice(0, atOnce)
    const out = await x.ask({
      after,
      now: new Date().toISOString(),
      device: x.device,
      marks: sending.map((m) => m.mark),
    })
    await x.take(rowsOf(x, sending, out), out)
    after = out.cursor
    if (out.restart && ++restarts > 2) throw new Silence() // it does not know where it stands
    if (!out.more && !out.restart && waiting.length <= atOnce) return
  }
}

/** The rows that an answer changes. */
export function rowsOf(
  x: Pick<Exchange, 'job' | 'device' | 'marks'>,
  sending: KeptMark[],
  out: MarksOut,
): KeptMark[] {
  const rows = new Map(x.marks().map((m) => [m.mark.id, m]))
  const changed = new Set<string>()
  const set = (row: KeptMark) => {
    rows.set(row.mark.id, row)
    changed.add(row.mark.id)
  }
  // A server that was put back to an older copy gets all that this phone knows.
  if (out.restart) for (const m of rows.values()) if (m.sent === 1) set({ ...m, sent: 0 })
  const safe = new Set(out.accepted)
  for (const m of sending) {
    const refused = out.refused.find((r) => r.id === m.mark.id)
    if (safe.has(m.mark.id)) set({ ...rows.get(m.mark.id)!, sent: 1, refused: undefined })
    else if (refused) set(m.mark.device === x.device ? { ...m, sent: 2, refused } : { ...m, sent: 1 })
  }
  for (const { seq: _, received: __, ...mark } of out.marks) {
    const own = rows.get(mark.id)
    const [stands] = own ? merge([own.mark], [mark]) : [mark]
    const sent = own && stands === own.mark && own.sent !== 1 ? own.sent : 1
    if (!own || stands !== own.mark || own.sent !== sent)
      set({ key: markKey(x.job, mark.id), job: x.job, mark: stands!, sent })
  }
  return [...changed].map((id) => rows.get(id)!)
}
