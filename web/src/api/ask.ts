// One request: JSON there and back, refusals and silence as errors a screen can match.

import { refusal, Silence } from './refusal'

export interface Asked {
  method?: 'GET' | 'POST' | 'PUT' | 'DELETE'
  body?: unknown
  ifMatch?: number
  query?: Record<string, string | number | undefined>
}

/** The server takes changes only with this header, which no other site can send. */
const ours = { 'X-Coilwright': 'page' }

export async function ask<T>(path: string, asked: Asked = {}): Promise<T> {
  const { method = 'GET', body, ifMatch } = asked
  const headers: Record<string, string> = { Accept: 'application/json' }
  if (method !== 'GET') Object.assign(headers, ours)
  if (body !== undefined) headers['Content-Type'] = 'application/json'
  if (ifMatch !== undefined) headers['If-Match'] = `"${ifMatch}"`
  const text = body === undefined ? undefined : JSON.stringify(body)
  const response = await sent(path + queryOf(asked), { method, headers, body: text })
  const answer = await read(response)
  if (!response.ok) throw refusal(response.status, answer)
  return answer as T
}

async function sent(url: string, init: RequestInit): Promise<Response> {
  try {
    return await fetch(url, init)
  } catch {
    throw new Silence()
  }
}

async function read(response: Response): Promise<unknown> {
  const text = await response.text().catch(() => {
    throw new Silence()
  })
  if (!text) return undefined
  try {
    return JSON.parse(text)
  } catch {
    return { detail: text.slice(0, 300) }
  }
}

function queryOf({ query }: Asked): string {
  const parts = Object.entries(query ?? {}).flatMap(([k, v]) =>
    v === undefined || v === '' ? [] : [`${encodeURIComponent(k)}=${encodeURIComponent(String(v))}`],
  )
  return parts.length ? `?${parts.join('&')}` : ''
}
