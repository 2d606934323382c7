// Every question the page asks the server, by the name of what is wanted.

import type { Term } from '../house/edits'
import type { Op } from '../house/patch'
import type { Book } from '../state/book'
import type { Units } from '../text/marks'
import { client, given, got, ours, type Schemas, type Stage } from './client'
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
  tag: string
  document: JobDoc
  view: HouseView
  problems?: Problem[]
}
export interface ChangeAnswer {
  revision: number
  tag: string
  merged?: boolean
  view?: HouseView
  problems?: Problem[]
  layout?: Layout
  document?: JobDoc
  /** Walls that view and layout leave out, since they stayed as the page has them. */
  same?: string[]
}
/** Whose edit it is, and what its answer is asked for: a scheme, and what the page has of it already. */
export interface Asked {
  who: string
  scheme: string
  /** The revision of the view and layout that the page holds; 0 where it holds none. */
  holds: number
}

const to = (job: string) => ({ params: { path: { job } } })
const toScheme = (job: string, scheme: string) => ({ params: { path: { job, scheme } } })

export const session = async () => (await got(client.GET('/api/session'))) as Session
export const signIn = async (name: string, password: string) =>
  (await got(client.POST('/api/session', { params: ours, body: { name, password } }))) as Session
export const signOut = async () => void (await got(client.DELETE('/api/session', { params: ours })))
export const setUp = async (shop: string, name: string, password: string, code: string) =>
  (await got(client.POST('/api/setup', { params: ours, body: { shop, name, password, code } }))) as Session

export const templates = async () => (await got(client.GET('/api/templates'))).templates as Template[]
export const book = async () => (await got(client.GET('/api/book'))) as Book
/** The shop's book with what this job says otherwise. */
export const jobBook = async (id: string) => (await got(client.GET('/api/jobs/{job}/book', to(id)))) as Book

export async function jobs(search: string, stage: string, after?: string) {
  const query = { limit: 40, ...(search && { search }), ...(stage && { stage }), ...(after && { after }) }
  return (await got(client.GET('/api/jobs', { params: { query } }))) as { jobs: JobLine[]; next: string }
}
export const newJob = async (body: { title: string; template?: string; document?: unknown }) =>
  got(client.POST('/api/jobs', { params: ours, body }))
export const job = async (id: string) => (await got(client.GET('/api/jobs/{job}', to(id)))) as JobAnswer
export const putAside = async (job: string) =>
  void (await got(client.DELETE('/api/jobs/{job}', { params: { ...ours, path: { job } } })))
export const restore = async (job: string) =>
  void (await got(client.POST('/api/jobs/{job}/restore', { params: { ...ours, path: { job } } })))

/** A change says whose it is: the server refuses it where somebody else is signed in by then. */
const by = (who: string) => ({
  ...ours.header,
  ...(who && { 'X-Coilwright-Person': encodeURIComponent(who) }),
})
export const setStage = async (job: string, who: string, stage: Stage) =>
  got(client.PUT('/api/jobs/{job}/stage', { params: { header: by(who), path: { job } }, body: { stage } }))

/** tag names the job that a change was made for. */
const asking = (job: string, tag: string, a: Asked) => ({
  header: { ...by(a.who), 'If-Match': `"${tag}"` },
  path: { job },
  query: { ...(a.scheme ? { scheme: a.scheme } : {}), ...(a.holds ? { holds: a.holds } : {}) },
})

export async function change(job: string, tag: string, asked: Asked, what: string, patch: Op[]) {
  const params = asking(job, tag, asked)
  return (await got(
    client.POST('/api/jobs/{job}/changes', { params, body: { what, patch } }),
  )) as ChangeAnswer
}
export async function step(job: string, tag: string, asked: Asked, which: 'undo' | 'redo') {
  const params = asking(job, tag, asked)
  return (await got(client.POST(`/api/jobs/{job}/${which}`, { params }))) as ChangeAnswer
}

/** Keeps a photo's file with the job, in no list of its house yet: refused with the mend where it is none. */
export const addPhoto = (job: string, file: Blob) =>
  given<Schemas['PhotoView']>(`/api/jobs/${encodeURIComponent(job)}/photos`, file, file.type || undefined)

const atScheme = '/api/jobs/{job}/schemes/{scheme}'
export const layout = async (id: string, scheme: string) =>
  (await got(client.GET(`${atScheme}/layout`, toScheme(id, scheme)))) as Layout
/** left ends the work on the server too, where nobody else waits for it. */
export const run = async (id: string, scheme: string, left?: AbortSignal) =>
  (await got(client.GET(`${atScheme}/run`, { ...toScheme(id, scheme), signal: left }))) as Run
export const trim = async (id: string, scheme: string) =>
  (await got(client.GET(`${atScheme}/trim`, toScheme(id, scheme)))) as Trim
export const compare = async (id: string, scheme: string) =>
  (await got(client.GET(`${atScheme}/compare`, toScheme(id, scheme)))) as Compare
export const papers = async (id: string, scheme: string, left?: AbortSignal) =>
  (await got(client.GET(`${atScheme}/papers`, { ...toScheme(id, scheme), signal: left }))) as {
    files: Paper[]
  }
export const paperUrl = (id: string, scheme: string, name: string, download = false) =>
  `/api/jobs/${encodeURIComponent(id)}/schemes/${encodeURIComponent(scheme)}/papers/${encodeURIComponent(name)}${download ? '?download=1' : ''}`

/** Exact sums of typed lengths, worked out and written by the server. */
export const sums = async (units: Units, asked: Term[][]): Promise<string[]> =>
  (await lengths(units, asked)).map((s) => s.text)

/** The same with the inches to draw them by. */
export async function lengths(units: Units, asked: Term[][]): Promise<{ text: string; in: number }[]> {
  const { sums } = await got(client.POST('/api/lengths', { params: ours, body: { units, sums: asked } }))
  const wrong = sums?.find((s) => s.error)
  if (wrong?.error) throw new Refusal(422, 'Not a length', `${wrong.error.what}; ${wrong.error.mend}`)
  return (sums ?? []).map((s) => ({ text: s.text, in: s.in }))
}

/** A change of the job, by any page, as the line of news has it. */
export interface News {
  revision: number
  /** With hello. */
  tag?: string
  by?: string
  what?: string
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
interface Waste {
  pieces: number
  joints: number
  waste_ft2: number
  waste_pct: number
}
/** The same walls formed at the house and in fixed sections. */
export interface Compare {
  formed: Waste
  box: (Waste & { section_ft: number; sections: number; optimal: boolean })[]
  assumptions: string[]
}
export interface Paper {
  name: string
  title: string
  kind: string
  bytes: number
  pages?: number
}
