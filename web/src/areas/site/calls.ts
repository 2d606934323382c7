// What the office asks about the site.

import { client, fetched, got, ours, type Schemas, type Sure } from '../../api/client'

export interface Progress {
  revision: number
  cursor: string
  counts: { pieces: number; formed: number; hung: number; spoiled: number; left_out: number }
  feet: { planned: number; formed: number; hung: number; spoiled: number; scrap: number }
  coils: CoilLine[]
  walls: WallLine[]
  people: { by: string; formed: number; hung: number; hours: number }[]
  hours: number
  days: { day: string; formed: number; hung: number; hours: number }[]
  forecast: {
    known: boolean
    days_left: number
    days_low: number
    days_high: number
    finish: string
    finish_low: string
    finish_high: string
    text: string
  }
  homeless: {
    key: string
    label: string
    state: string
    formed: number
    spoiled: number
    fits: { key: string; number: string; wall: string } | null
  }[]
  twice: { key: string; number: string; formed: number; spoiled: number }[]
  sizes: SizeLine[]
  checks: {
    setup: string
    piece: string
    wanted: string
    found: string
    off: string
    by: string
    at: string
    ok: boolean
  }[]
  quality: { wall: string; item: string; what: string; by: string; at: string; photo: string; note: string }[]
  photos: {
    mark: string
    photo: string
    about: string
    words: string
    by: string
    at: string
    here: boolean
  }[]
  clocks: { device: string; skew_s: number; text: string }[]
}
export interface CoilLine {
  id: string
  name: string
  lot: string
  colour: string
  planned_ft: number
  used_ft: number
  left_ft: number
  from: 'marks' | 'reel'
  off_ft: number
  loaded: boolean
  short: boolean
}
export interface WallLine {
  wall: string
  pieces: number
  formed: number
  hung: number
  quality_done: number
  quality: number
  ungated: boolean
}
export interface SizeLine {
  mark: string
  wall: string
  size: string
  what: string
  was: string
  found: string
  open: boolean
  by: string
  at: string
  patch: { op: string; path: string; value: unknown }[] | null
  why: string
}

export type WordsView = Sure<Schemas['WordsView']>
export type Unfit = WordsView['unfit'][number]

const read = async <T>(url: string): Promise<T> =>
  (await fetched(url, { headers: { Accept: 'application/json' } })).json()
const job = (id: string) => `/api/jobs/${encodeURIComponent(id)}`
const site = (id: string, scheme: string) => `${job(id)}/schemes/${encodeURIComponent(scheme)}/site`

export const progress = (id: string, scheme: string) => read<Progress>(`${site(id, scheme)}/progress`)

export const words = (job: string, scheme: string) =>
  got(client.GET('/api/jobs/{job}/schemes/{scheme}/words', { params: { path: { job, scheme } } }))
export const giveWord = (job: string, scheme: string, body: Schemas['WordInBody']) =>
  got(
    client.POST('/api/jobs/{job}/schemes/{scheme}/words', {
      params: { ...ours, path: { job, scheme } },
      body,
    }),
  )
export const takeWord = (job: string, scheme: string, number: number) =>
  got(
    client.DELETE('/api/jobs/{job}/schemes/{scheme}/words/{number}', {
      params: { ...ours, path: { job, scheme, number } },
    }),
  )

export const labelsUrl = (id: string, scheme: string, per: 'piece' | 'bundle' | 'coil', wall = '') =>
  `${site(id, scheme)}/labels?per=${per}${wall ? `&wall=${encodeURIComponent(wall)}` : ''}`
export const photoUrl = (id: string, name: string) => `${job(id)}/marks/photos/${encodeURIComponent(name)}`
