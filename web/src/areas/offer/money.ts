// Amounts as a person reads them. Commas and missing noughts are put in; no digit is changed.

/** 12076.9 becomes 12,076.90 where two places are asked for. */
export function grouped(amount: string | number | undefined, places = 0): string {
  const text = String(amount ?? '')
  const [whole = '', rest = ''] = text.replace(/^-/, '').split('.')
  const sign = text.startsWith('-') ? '−' : ''
  const decimals = rest.padEnd(places, '0')
  return sign + whole.replace(/\B(?=(\d{3})+$)/g, ',') + (decimals && `.${decimals}`)
}
/** How many decimal places a currency has (ISO 4217, as the browser knows it). */
export function placesOf(currency: string | undefined): number {
  if (!currency) return 0
  return (
    new Intl.NumberFormat('en', { style: 'currency', currency }).resolvedOptions().maximumFractionDigits ?? 2
  )
}
export const money = (currency: string | undefined, amount: string | number | undefined) =>
  `${currency ?? ''} ${grouped(amount, placesOf(currency))}`.trim()

/** An amount as a difference: more, less, or the same. */
export function apart(currency: string | undefined, amount: string): string {
  if (/^-?0*(\.0*)?$/.test(amount)) return 'the same'
  return amount.startsWith('-')
    ? `${money(currency, amount.slice(1))} less`
    : `${money(currency, amount)} more`
}
export const day = (iso: string) =>
  new Date(iso).toLocaleDateString('en-GB', { day: 'numeric', month: 'long', year: 'numeric' })
export const moment = (iso: string) =>
  new Date(iso).toLocaleString('en-GB', {
    day: 'numeric',
    month: 'short',
    hour: '2-digit',
    minute: '2-digit',
  })
