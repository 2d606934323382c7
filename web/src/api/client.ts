// The server's own description of its API, as a typed client. Refusals and silence become
// errors that a screen can match.

import createClient from 'openapi-fetch'
import { refusal, Silence } from './refusal'
import type { components, paths } from './schema'
import type { Pt } from './types'

export const client = createClient<paths>({ headers: { Accept: 'application/json' } })

/** The server takes changes only with this header, which no other site can send. */
export const ours = { header: { 'X-Coilwright': 'page' as const } }

export type Schemas = components['schemas']
export type Stage = 'visit' | 'design' | 'offer' | 'signed' | 'remeasured' | 'forming' | 'hanging' | 'done'

interface Answer<T> {
  data?: T
  error?: unknown
  response: Response
}

/** The contract says more than the schema can: arrays are never null, places are pairs. */
export type Sure<T> = T extends number[]
  ? Pt
  : T extends string[]
    ? [string, string]
    : T extends (infer U)[]
      ? Sure<Listed<U>>[]
      : T extends object
        ? { [K in keyof T]: Sure<Listed<T[K]>> }
        : T
type Listed<V> = [Extract<V, unknown[]>] extends [never] ? V : Exclude<V, null>

/** What was asked for, or Refusal, or Silence. */
export async function got<T>(asked: Promise<Answer<T>>): Promise<Sure<T>> {
  const answer = await asked.catch(() => {
    throw new Silence()
  })
  if (!answer.response.ok) throw refusal(answer.response.status, answer.error)
  return answer.data as Sure<T>
}

/** What the typed client does not carry, such as a file: the answer, or Refusal, or Silence. */
export async function fetched(url: string, how: RequestInit = {}): Promise<Response> {
  const answer = await fetch(url, how).catch((e) => {
    throw how.signal?.aborted ? e : new Silence()
  })
  if (!answer.ok) throw refusal(answer.status, await answer.json().catch(() => undefined))
  return answer
}

/** Gives the server a file as it is, and reads what it says of it. */
export async function given<T>(url: string, file: Blob, media = 'application/octet-stream'): Promise<T> {
  const headers = { ...ours.header, 'Content-Type': media }
  return (await fetched(url, { method: 'POST', headers, body: file })).json()
}
