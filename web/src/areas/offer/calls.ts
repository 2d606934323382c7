// What the offer's screens ask the server. Amounts are exact decimals in text: the page
// shows them and works none out.

import { client, given, got, ours, type Schemas } from '../../api/client'

export type Sent = Schemas['OfferLine']
export type Option = Schemas['OptionLine']
export type Release = Schemas['ReleaseView']
export type Finished = Schemas['FinishedView']
export type Ledger = Schemas['Ledger']
export type Figures = Schemas['FiguresView']
export type Figure = Schemas['FigureView']
export type Prices = Schemas['PriceAnswer']
export type PricedScheme = NonNullable<Prices['schemes']>[number]
export type PriceLine = NonNullable<PricedScheme['lines']>[number]

const to = (job: string) => ({ params: { path: { job } } })
const as = (job: string) => ({ params: { ...ours, path: { job } } })
const toOffer = (job: string, offer: string) => ({ params: { ...ours, path: { job, offer } } })

export const prices = async (job: string) =>
  (await got(client.GET('/api/jobs/{job}/price', to(job)))) as Prices
export const offers = async (job: string) =>
  (await got(client.GET('/api/jobs/{job}/offers', to(job)))) as { offers: Sent[]; lacks: Schemas['Lack'][] }
export const ledger = async (job: string) =>
  (await got(client.GET('/api/jobs/{job}/invoices', to(job)))) as Ledger
export const figures = async (job: string) =>
  (await got(client.GET('/api/jobs/{job}/figures', to(job)))) as Figures

export interface Sending {
  revision: number
  schemes?: string[]
  kind?: 'offer' | 'change' | 'remeasure'
  why?: string
}
export const send = async (job: string, body: Sending) =>
  (await got(client.POST('/api/jobs/{job}/offers', { ...as(job), body: { kind: 'offer', ...body } }))) as {
    offer: Sent
    link: string
  }
export const takeBack = async (job: string, offer: string) =>
  void (await got(client.DELETE('/api/jobs/{job}/offers/{offer}', toOffer(job, offer))))
export const bear = async (job: string, offer: string, why: string) =>
  void (await got(
    client.POST('/api/jobs/{job}/offers/{offer}/bear', { ...toOffer(job, offer), body: { why } }),
  ))
export const answer = async (job: string, offer: string, text: string) =>
  void (await got(
    client.POST('/api/jobs/{job}/offers/{offer}/answers', { ...toOffer(job, offer), body: { text } }),
  ))
export const countersign = async (job: string, offer: string, name: string) =>
  void (await got(
    client.POST('/api/jobs/{job}/offers/{offer}/countersignature', {
      ...toOffer(job, offer),
      body: { name },
    }),
  ))
export const relink = async (job: string, offer: string) =>
  (
    (await got(
      client.POST('/api/jobs/{job}/offers/{offer}/link', { ...toOffer(job, offer), body: { days: 90 } }),
    )) as { link: string }
  ).link
export const invoice = async (job: string, step: number) =>
  (await got(client.POST('/api/jobs/{job}/invoices', { ...as(job), body: { step } }))) as Ledger
export const paid = async (job: string, number: number) =>
  (await got(
    client.PUT('/api/jobs/{job}/invoices/{number}/paid', {
      params: { ...ours, path: { job, number } },
      body: { at: new Date().toISOString() },
    }),
  )) as Ledger

const toScheme = (job: string, scheme: string) => ({ params: { ...ours, path: { job, scheme } } })
export const release = async (job: string, scheme: string) =>
  (await got(
    client.GET('/api/jobs/{job}/schemes/{scheme}/release', { params: { path: { job, scheme } } }),
  )) as Release
export const giveRelease = async (job: string, scheme: string, revision: number) =>
  (await got(
    client.POST('/api/jobs/{job}/schemes/{scheme}/release', { ...toScheme(job, scheme), body: { revision } }),
  )) as Release
export const takeRelease = async (job: string, scheme: string) =>
  (await got(client.DELETE('/api/jobs/{job}/schemes/{scheme}/release', toScheme(job, scheme)))) as Release
export const finished = async (job: string) =>
  (await got(client.GET('/api/jobs/{job}/finished', to(job)))) as Finished
export const writeHours = async (job: string, took: Record<string, string>) =>
  (await got(
    client.PUT('/api/jobs/{job}/finished', {
      ...as(job),
      body: {
        works: Object.entries(took).map(([work, hours]) => ({ work, took: hours.trim().replace(',', '.') })),
      },
    }),
  )) as Finished
export const credit = async (job: string, number: number, why: string, amount: string) =>
  (await got(
    client.POST('/api/jobs/{job}/invoices/{number}/credits', {
      params: { ...ours, path: { job, number } },
      body: { why, ...(amount && { amount }) },
    }),
  )) as Ledger

const at = (job: string) => `/api/jobs/${encodeURIComponent(job)}`
export const paperUrl = (job: string, offer: string, take = false) =>
  `${at(job)}/offers/${offer}/paper${take ? '?download=true' : ''}`
export const estimateUrl = (job: string) => `${at(job)}/estimate`
export const figuresUrl = (job: string, kind: 'csv' | 'xlsx') => `${at(job)}/figures/file?kind=${kind}`
export const creditUrl = (job: string, number: number, kind: 'pdf' | 'xml') =>
  `${at(job)}/credits/${number}/paper?kind=${kind}`
export const invoiceUrl = (job: string, number: number, kind: 'pdf' | 'xml') =>
  `${at(job)}/invoices/${number}/paper?kind=${kind}`

/** Reads a file of prices as a change to be made; nothing is changed yet. */
export const readFigures = (job: string, file: File) =>
  given<{ what: string; count: number; patch: { op: 'add'; path: string; value: unknown }[] }>(
    `${at(job)}/figures/file`,
    file,
  )
