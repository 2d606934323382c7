// What the pictures' screens ask the server.

import { client, fetched, got, ours, type Schemas } from '../../../api/client'

export type Place = Schemas['PlaceView']
export type Sun = Schemas['SunView']
export type Chip = Schemas['ChipView']
export type ChipBody = Schemas['ChipBody']
export type Box = Schemas['Patch']
export interface SunAt {
  azimuth_deg: number
  elevation_deg: number
}

const at = (job: string) => `/api/jobs/${encodeURIComponent(job)}`
const photoAt = (job: string, photo: string) => `${at(job)}/photos/${encodeURIComponent(photo)}`
const asked = (of: Record<string, string | number | undefined>) => {
  const q = new URLSearchParams()
  for (const [k, v] of Object.entries(of)) if (v !== undefined && v !== '') q.set(k, String(v))
  return q.toString()
}
const sunAsked = (sun?: SunAt) =>
  sun ? { sun_azimuth_deg: sun.azimuth_deg, sun_elevation_deg: sun.elevation_deg } : {}

export const oldUrl = (job: string, photo: string, width = 1600) =>
  `${photoAt(job, photo)}/view?width=${width}`
export const pictureUrl = (job: string, photo: string, scheme: string, width: number, sun?: SunAt) =>
  `${photoAt(job, photo)}/picture?${asked({ scheme, width, ...sunAsked(sun) })}`
export const wholeUrl = (job: string, photo: string, scheme: string) =>
  `${photoAt(job, photo)}/picture?${asked({ scheme, width: 0, download: 'true' })}`
export interface Closer {
  wall?: string
  x_in?: number
  y_in?: number
  zone?: string
  panel?: string
  texture?: string
  colour?: string
  width?: number
}
export const closeUpUrl = (job: string, scheme: string, of: Closer, sun?: SunAt) =>
  `${at(job)}/schemes/${encodeURIComponent(scheme)}/closeup?${asked({ ...of, ...sunAsked(sun) })}`
export const houseUrl = (job: string, scheme: string) =>
  `${at(job)}/schemes/${encodeURIComponent(scheme)}/house.glb`

/** Any file of the server's, or Refusal, or Silence. */
export async function file(url: string, signal?: AbortSignal, post?: unknown): Promise<Blob> {
  const how = post
    ? {
        method: 'POST',
        headers: { ...ours.header, 'Content-Type': 'application/json' },
        body: JSON.stringify(post),
      }
    : {}
  return (await fetched(url, { signal, ...how })).blob()
}

const path = (job: string, photo: string) => ({ job, photo })
export const placeOf = async (job: string, photo: string, scheme: string, u: number, v: number) =>
  (await got(
    client.GET('/api/jobs/{job}/photos/{photo}/zone', {
      params: { path: path(job, photo), query: { scheme, u, v } },
    }),
  )) as Place
export const sunOf = async (job: string, photo: string, date?: string) =>
  (await got(
    client.GET('/api/jobs/{job}/photos/{photo}/sun', {
      params: { path: path(job, photo), query: date ? { date } : {} },
    }),
  )) as Sun

export const readChip = async (job: string, body: ChipBody) =>
  (await got(client.POST('/api/jobs/{job}/chip', { params: { ...ours, path: { job } }, body }))) as Chip
export const requestUrl = (job: string, kind: 'pdf' | 'txt') => `${at(job)}/chip/request?kind=${kind}`
