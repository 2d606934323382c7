// What the book's screens ask the server. Figures are exact decimals in text.

import { client, given, got, ours, type Schemas } from '../../api/client'
import type { Scope } from '../../api/types'
import type { Op } from '../../house/patch'

export type ShopBook = Omit<Schemas['ShopBook'], 'document'> & { document: BookDoc }
export type BookLine = Schemas['BookLine']
export type Figure = Schemas['FigureView']
export type Learned = Schemas['LearnedRate']

/** A figure as the book's file holds it: bare, or with where it came from. */
export type Kept =
  | string
  | number
  | null
  | { value: string | number; date?: string; supplier?: string; jobs?: number }
export interface Mill {
  colour?: string
  title?: string
  thickness?: string | number
  width?: string | number
  length: string | number
  price: string | number
  lead_days?: number
  date?: string
  supplier?: string
  [other: string]: unknown
}
export interface Tax {
  title: string
  share: string | number
  on: string[]
  except?: string[]
}
export interface Payment {
  when: string
  share: string | number
}
export interface Letterhead {
  name: string
  address?: string[]
  phone?: string
  mail?: string
  licence?: string
  country?: string
  logo?: string
}
export interface Words {
  letterhead?: Letterhead
  payments?: Payment[]
  days_valid?: number
  terms?: string[]
  warranty?: string
  cancellation?: string
  scope?: Scope[]
  not_included?: string[]
  coating?: string
  practice?: string[]
}
export interface BookDoc {
  title?: string
  currency?: string
  colours?: { id: string; title?: string }[]
  mill?: Mill[]
  prices?: Record<string, Kept>
  rates?: Record<string, Kept>
  taxes?: Tax[]
  offer?: Words
  [other: string]: unknown
}

export const shopBook = async () => (await got(client.GET('/api/shop-book'))) as unknown as ShopBook
export const save = async (base: number, what: string, patch: Op[]) =>
  (await got(
    client.POST('/api/shop-book/changes', { params: ours, body: { base, what, patch } }),
  )) as unknown as ShopBook
export const versions = async () =>
  ((await got(client.GET('/api/shop-book/versions'))) as { versions: BookLine[] }).versions
export const again = async (version: number, base: number) =>
  (await got(
    client.POST('/api/shop-book/versions/{version}/again', {
      params: { ...ours, path: { version } },
      body: { base },
    }),
  )) as unknown as ShopBook
export const learned = async () =>
  ((await got(client.GET('/api/shop-book/learned'))) as unknown as { rates: Learned[] }).rates

export const fileUrl = (kind: 'csv' | 'xlsx') => `/api/shop-book/file?kind=${kind}`
export const logoUrl = (hash: string) => `/api/shop-book/logo/${hash}`

/** Reads a file of figures as a change; nothing is changed yet. */
export const readFile = (file: File) =>
  given<{ what: string; patch: { path: string; value: unknown }[] }>('/api/shop-book/file', file)
export const putLogo = (file: File) => given<{ hash: string }>('/api/shop-book/logo', file)
