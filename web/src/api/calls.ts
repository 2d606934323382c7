// Every question the page asks the server, by the name of what is wanted.

import type { Term } from '../house/edits'
import type { Op } from '../house/patch'
import type { Book } from '../state/book'
import type { Units } from '../text/marks'
import { ask } from './ask'
import { Refusal } from './refusal'
import type { HouseView, JobDoc, Layout, Problem, TrimLine } from './types'

export interface Session {
  signed_in: boolean
  name: string
  shop: string
  setup_needed: boolean
}
export interface JobLine {
  id: string
  title: string
  stage: string
  revision: number
  changed: string
  changed_by: string
  walls: number
  pieces?: number
}
export interface Template {
  id: string
  title: string
  about: string
  view?: HouseView
}
export interface JobAnswer {
  id: string
  title: string
  stage: string
  revision: number
  document: JobDoc
  view: HouseView
  problems?: Problem[]
}
export interface ChangeAnswer {
  revision: number
  merged?: boolean
  view?: HouseView
  problems?: Problem[]
  layout?: Layout
  document?: JobDoc
}

const job_ = (id: string) => `/api/jobs/${encodeURIComponent(id)}`
const scheme_ = (id: string, scheme: string) => `${job_(id)}/schemes/${encodeURIComponent(scheme)}`

export const session = () => ask<Session>('/api/session')
export const signIn = (name: string, password: string) =>
  ask<Session>('/api/session', { method: 'POST', body: { name, password } })
export const signOut = () => ask<void>('/api/session', { method: 'DELETE' })
export const setUp = (shop: string, name: string, password: string, code: string) =>
  ask<Session>('/api/setup', { method: 'POST', body: { shop, name, password, code } })

export const templates = () => ask<{ templates: Template[] } | Template[]>('/api/templates')
export const book = () => ask<Book>('/api/book')
/** The shop's book with what this job says otherwise. */
export const jobBook = (id: string) => ask<Book>(`${job_(id)}/book`)

export const jobs = (search: string, stage: string, after?: string) =>
  ask<{ jobs: JobLine[]; next?: string }>('/api/jobs', { query: { search, stage, after, limit: 40 } })
export const newJob = (body: { title: string; template?: string; document?: unknown }) =>
  ask<{ id: string; revision: number }>('/api/jobs', { method: 'POST', body })
export const job = (id: string) => ask<JobAnswer>(job_(id))
export const putAside = (id: string) => ask<void>(job_(id), { method: 'DELETE' })
export const restore = (id: string) => ask<void>(`${job_(id)}/restore`, { method: 'POST' })
export const setStage = (id: string, revision: number, stage: string) =>
  ask<{ revision?: number } | undefined>(`${job_(id)}/stage`, {
    method: 'PUT',
    body: { stage },
    ifMatch: revision,
  })

export const change = (id: string, revision: number, scheme: string, what: string, patch: Op[]) =>
  ask<ChangeAnswer>(`${job_(id)}/changes`, {
    method: 'POST',
    body: { what, patch },
    ifMatch: revision,
    query: { scheme },
  })
export const step = (id: string, revision: number, scheme: string, which: 'undo' | 'redo') =>
  ask<ChangeAnswer>(`${job_(id)}/${which}`, { method: 'POST', ifMatch: revision, query: { scheme } })

export interface Event {
  revision: number
  at: string
  by: string
  what: string
}
export const history = (id: string) =>
  ask<{ events: Event[] }>(`${job_(id)}/history`, { query: { limit: 50 } })

export const layout = (id: string, scheme: string) => ask<Layout>(`${scheme_(id, scheme)}/layout`)
export const run = (id: string, scheme: string) => ask<Run>(`${scheme_(id, scheme)}/run`)
export const trim = (id: string, scheme: string) => ask<Trim>(`${scheme_(id, scheme)}/trim`)
export const compare = (id: string, scheme: string) => ask<Compare>(`${scheme_(id, scheme)}/compare`)
export const papers = (id: string, scheme: string) => ask<{ files: Paper[] }>(`${scheme_(id, scheme)}/papers`)
export const paperUrl = (id: string, scheme: string, name: string, download = false) =>
  `${scheme_(id, scheme)}/papers/${encodeURIComponent(name)}${download ? '?download=1' : ''}`

/** Exact sums of typed lengths, worked out and written by the server. */
export async function sums(units: Units, asked: Term[][]): Promise<string[]> {
  type Sum = { text?: string; error?: { what: string; mend: string } }
  const { sums } = await ask<{ sums: Sum[] }>('/api/lengths', {
    method: 'POST',
    body: { units, sums: asked },
  })
  const wrong = sums.find((s) => s.error)
  if (wrong?.error) throw new Refusal(422, 'Not a length', `${wrong.error.what}; ${wrong.error.mend}`)
  return sums.map((s) => s.text ?? '0')
}

/** Calls back for every change of the job that any page makes. */
export function live(
  id: string,
  heard: (event: { revision: number; by?: string; what?: string }) => void,
): EventSource {
  const source = new EventSource(`${job_(id)}/live`)
  source.addEventListener('revision', (e) => heard(JSON.parse((e as MessageEvent<string>).data)))
  return source
}

export interface Run {
  setups: { panel: string; texture: string; colour: string; pieces: string[]; minutes: number }[]
  coils: CoilUse[]
  buy: { colour: string; width_in?: number; length_ft: number; count: number; price: number }[]
  bound: { coils: number; price: number; optimal: boolean }
  scrap_ft: number
  left_out: { piece?: string; id?: string; why?: string }[]
  cautions: { where: string; text: string }[]
}
export interface CoilUse {
  id: string
  lot: string
  colour: string
  bought: boolean
  length_ft: number
  pieces: string[]
  used_ft: number
  tail_ft: number
  segments?: { piece: string; at_ft: number; length_ft: number }[]
}
export interface Trim {
  walls: TrimLine[]
  totals: TrimLine[]
}
export interface Compare {
  formed: Record<string, unknown>
  box: Record<string, unknown>[]
}
export interface Paper {
  name: string
  title: string
  kind: string
  bytes: number
  pages?: number
}
