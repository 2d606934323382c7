// What a phone asks the office's server. Silence and refusals are errors, as elsewhere.

import { refusal, Silence } from '../api/refusal'
import type { Difference, MarksIn, MarksOut, Recut } from './wire'

const job = (id: string) => `/api/jobs/${encodeURIComponent(id)}`
const scheme = (id: string, s: string) => `${job(id)}/schemes/${encodeURIComponent(s)}/site`

/** No answer within this time is silence: a weak signal may keep a question for minutes. */
const patience = 20_000

async function ask(url: string, init: RequestInit = {}): Promise<Response> {
  const headers = { Accept: 'application/json', 'X-Coilwright': 'page', ...init.headers }
  const answer = await fetch(url, { ...init, headers, signal: AbortSignal.timeout(patience) }).catch(() => {
    throw new Silence()
  })
  if (answer.ok || answer.status === 304) return answer
  throw refusal(answer.status, await answer.json().catch(() => undefined))
}
const json = (body: unknown): RequestInit => ({
  method: 'POST',
  headers: { 'Content-Type': 'application/json' },
  body: JSON.stringify(body),
})
async function read<T>(asked: Promise<Response>): Promise<T> {
  const answer = await asked
  try {
    return (await answer.json()) as T
  } catch {
    throw new Silence() // cut off half way
  }
}

/** The pack as text, and its tag; undefined where the phone's is the newest. */
export async function pack(
  id: string,
  s: string,
  known?: string,
): Promise<{ text: string; tag: string } | undefined> {
  const answer = await ask(scheme(id, s), known ? { headers: { 'If-None-Match': known } } : {})
  if (answer.status === 304) return undefined
  const text = await answer.text().catch(() => {
    throw new Silence()
  })
  return { text, tag: answer.headers.get('ETag') ?? '' }
}
export const difference = (id: string, s: string, from: number) =>
  read<Difference>(ask(`${scheme(id, s)}/difference?from=${from}`))
export const recut = (id: string, s: string, spoiled: string[]) =>
  read<Recut>(ask(`${scheme(id, s)}/recut`, json({ spoiled })))
export const marks = (id: string, body: MarksIn) => read<MarksOut>(ask(`${job(id)}/marks`, json(body)))
export const photo = (id: string, name: string, blob: Blob) =>
  ask(`${job(id)}/marks/photos/${encodeURIComponent(name)}`, {
    method: 'PUT',
    headers: { 'Content-Type': blob.type || 'image/jpeg' },
    body: blob,
  })
export const photoUrl = (id: string, name: string) => `${job(id)}/marks/photos/${encodeURIComponent(name)}`
export const labelsUrl = (id: string, s: string, query = '') => `${scheme(id, s)}/labels${query}`

/** The scheme of a job that is not named: its first. */
export async function firstScheme(id: string): Promise<string> {
  const asked = await read<{ document: { schemes: { id: string }[] } }>(ask(job(id)))
  return asked.document.schemes[0]?.id ?? ''
}
