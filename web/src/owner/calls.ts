// What the owner's page asks. Who has the link may ask; there is no session.

import { client, got, ours, type Schemas } from '../api/client'
import type { HouseView, Layout } from '../api/types'
import type { Book } from '../state/book'

export type Offer = Omit<Schemas['OwnerView'], 'view' | 'layouts' | 'book'> & {
  view: HouseView
  layouts: Layout[]
  book: Book
}
export type Option = Schemas['OwnerOption']

const as = (token: string) => ({ params: { ...ours, path: { token } } })
const it = (answer: unknown) => answer as Offer

export const see = async (token: string) =>
  it(await got(client.GET('/api/owner/{token}', { params: { path: { token } } })))
export const ask = async (token: string, name: string, text: string) =>
  it(await got(client.POST('/api/owner/{token}/questions', { ...as(token), body: { name, text } })))
export const sign = async (
  token: string,
  body: { scheme: string; digest: string; name: string; drawn: string; agreed: boolean },
) => it(await got(client.POST('/api/owner/{token}/signature', { ...as(token), body })))
export const paperUrl = (token: string) => `/api/owner/${encodeURIComponent(token)}/paper`
export const logoUrl = (token: string) => `/api/owner/${encodeURIComponent(token)}/pictures/letterhead`
export const wornUrl = (token: string, n: number, option: number) =>
  `${pictureUrl(token, n)}/options/${option}`
export const pictureUrl = (token: string, n: number) =>
  `/api/owner/${encodeURIComponent(token)}/pictures/${n}`
