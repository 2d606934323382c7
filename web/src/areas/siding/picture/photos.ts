// The house's photos as the job file has them, and edits of one photo's entry.

import type { JobDoc, Pt } from '../../../api/types'
import { type Op, remove, set } from '../../../house/patch'

export interface Stroke {
  kind: 'wall' | 'front'
  width_px: number
  points: Pt[]
}
export interface Reference {
  pixels: Pt[]
  linear: [number, number, number]
}
export type SunDoc =
  | 'overcast'
  | { at: string; lat: number; lon: number }
  | { azimuth_deg: number; elevation_deg: number }
export interface PhotoDoc {
  id: string
  file: string
  marks?: unknown
  mask?: string
  sun?: SunDoc
  references?: Reference[]
  strokes?: Stroke[]
}

export const photosOf = (doc: JobDoc | undefined): PhotoDoc[] => (doc?.house.photos ?? []) as PhotoDoc[]
export const photoOf = (doc: JobDoc | undefined, id: string) => photosOf(doc).find((p) => p.id === id)

/** Somebody marked walls on it, so that it can wear a scheme. */
export const marked = (p: PhotoDoc | undefined) => Boolean(p?.marks)

function place(doc: JobDoc, id: string): number {
  const i = photosOf(doc).findIndex((p) => p.id === id)
  if (i < 0) throw new Error('the photo is gone')
  return i
}

/** Puts one more at the end of a list of the photo's, which may not be there yet. */
export function more(doc: JobDoc, id: string, list: 'strokes' | 'references', value: unknown): Op[] {
  const i = place(doc, id)
  const has = photosOf(doc)[i]![list]
  return has ? [set(value, 'house', 'photos', i, list, '-')] : [set([value], 'house', 'photos', i, list)]
}
export const less = (doc: JobDoc, id: string, list: 'strokes' | 'references', n: number): Op[] => [
  remove('house', 'photos', place(doc, id), list, n),
]
export const sunTo = (doc: JobDoc, id: string, sun: SunDoc): Op[] => [
  set(sun, 'house', 'photos', place(doc, id), 'sun'),
]

/** Places spread over a box, for a surface whose reflectance is known. */
export function spread(from: Pt, to: Pt, n = 7): Pt[] {
  const out: Pt[] = []
  for (let j = 0; j < n; j++)
    for (let i = 0; i < n; i++)
      out.push([
        round(from[0] + ((to[0] - from[0]) * (i + 0.5)) / n),
        round(from[1] + ((to[1] - from[1]) * (j + 0.5)) / n),
      ])
  return out
}
export const round = (v: number) => Math.round(v * 10) / 10

/** A drawn line without the places that tell nothing: those nearer than least. */
export function thinned(points: Pt[], least: number): Pt[] {
  const out = points.slice(0, 1)
  for (const p of points.slice(1, -1)) {
    const last = out[out.length - 1]!
    if (Math.hypot(p[0] - last[0], p[1] - last[1]) >= least) out.push(p)
  }
  return points.length > 1 ? [...out, points[points.length - 1]!] : out
}

/** What a reference commonly sends back of the light: painted trim assumed, a grey card as made. */
export const known: Record<'trim' | 'card', [number, number, number]> = {
  trim: [0.78, 0.78, 0.78],
  card: [0.18, 0.18, 0.18],
}
