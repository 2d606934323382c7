// What the photo mode asks the server.

import { client, got, ours } from '../../../api/client'
import type { Pt } from '../../../api/types'
import type { Op } from '../../../house/patch'
import type { Marks } from './marks'

export interface Size {
  wall: string
  opening?: string
  what: string
  words: string
  corners: Pt
  length: string
  length_in: number
  plus_minus: string
  plus_minus_in: number
}
export interface Doubt {
  photo: string
  where: string
  what: string
  mend: string
}
export interface Measured {
  sizes: Size[]
  residuals: { photo: string; point: string; off_px: Pt; ratio: number; large: boolean }[]
  doubts: Doubt[]
  lacking: Doubt[]
  taken: { wall: string; edge: number; plumb: boolean }[]
  widened: number
  next?: { size: number; what: string; advice: string }
  unchecked?: Doubt
  focal_px: number
  residual_px: number
}
export interface Proposed {
  upright: { lines: [Pt, Pt][] }
  level: { lines: [Pt, Pt][] }[]
  windows: { corners: [Pt, Pt, Pt, Pt]; score: number }[]
}
export interface Drawing {
  revision: number
  what: string
  walls: string[]
  patch: Op[]
  kept: { wall: string; opening?: string; what: string; kept: string; photo: string; agrees: boolean }[]
  notes: string[]
  lacking: Doubt[]
}

const at = (job: string) => ({ ...ours, path: { job } })
const atPhoto = (job: string, photo: string) => ({ ...ours, path: { job, photo } })

export const viewUrl = (job: string, photo: string, file: string, width: number) =>
  `/api/jobs/${encodeURIComponent(job)}/photos/${encodeURIComponent(photo)}/view?width=${width}#${encodeURIComponent(file)}`

export const measure = async (job: string, photos: { photo: string; marks?: Marks }[]) =>
  (await got(
    client.POST('/api/jobs/{job}/photos/measure', { params: at(job), body: { photos } }),
  )) as unknown as Measured
export const snap = async (job: string, photo: string, reach: number, places: { at: Pt; toward?: Pt[] }[]) =>
  (
    await got(
      client.POST('/api/jobs/{job}/photos/{photo}/snap', {
        params: atPhoto(job, photo),
        body: { reach, places },
      }),
    )
  ).places as unknown as { at: Pt; how: 'corner' | 'edge' | 'nowhere' }[]
export const proposals = async (job: string, photo: string) =>
  (await got(
    client.GET('/api/jobs/{job}/photos/{photo}/proposals', { params: { path: { job, photo } } }),
  )) as unknown as Proposed
export const drawing = async (job: string, walls: string[]) =>
  (await got(
    client.POST('/api/jobs/{job}/photos/walls', { params: at(job), body: { walls } }),
  )) as unknown as Drawing
