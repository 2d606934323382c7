// What the tape list asks the server, and the patch that a number read by tape makes.

import { client, got, type Schemas } from '../../../api/client'
import type { Measured } from '../../../api/types'
import { plus, type Sums, typed } from '../../../house/edits'
import type { Op } from '../../../house/patch'
import type { Units } from '../../../text/marks'

export type Tape = Schemas['TapeView']
export type Reading = NonNullable<Tape['readings']>[number]

export const tape = async (job: string) =>
  (await got(client.GET('/api/jobs/{job}/tape', { params: { path: { job } } }))) as Tape

/** How well a number is known, with the sign that people read. */
export const plusMinus = (known: string) => known.replace('+/-', '±')

/** How a number on the list counts: by tape, as good as one reads a tape with care. */
export const taped = (units: Units): Measured => ({
  by: 'tape',
  plus_minus: units === 'metric' ? '3 mm' : '1/8 in',
})

/** Writes a number that was read to every place where it stands in the job. */
export async function written(reading: Reading, text: string, units: Units, sums: Sums): Promise<Op[]> {
  let length = text
  if (reading.offset) [length = text] = await sums([[plus(text), plus(reading.offset)]])
  return (reading.pointers ?? []).map((path) => ({
    op: 'replace',
    path,
    value: typed(length, taped(units)),
  }))
}

/** Readings under the walls' names, in the order in which one walks. */
export function byWall(readings: Reading[]): { wall: string; readings: Reading[] }[] {
  const out: { wall: string; readings: Reading[] }[] = []
  for (const r of readings) {
    if (out.at(-1)?.wall !== r.wall) out.push({ wall: r.wall, readings: [] })
    out.at(-1)?.readings.push(r)
  }
  return out
}
