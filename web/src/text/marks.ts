// What a person types for a length, given its unit marks. This is reading of marks
// only: the value is worked out by the server, which also refuses what is no length.

export type Units = 'imperial' | 'metric'

export type Reading =
  | { is: 'empty' }
  | { is: 'length'; text: string }
  | { is: 'either'; choices: [string, string] }

/** Reads a typed text: a length with its marks, or the two ways it could be read. */
export function readTyped(typed: string, units: Units): Reading {
  const text = tidy(typed)
  if (text === '' || text === '-') return { is: 'empty' }
  const sign = text.startsWith('-') ? '-' : ''
  const body = sign ? text.slice(1).trim() : text
  const signed = (t: string) => sign + t
  if (/^0+$/.test(body)) return { is: 'length', text: '0' }
  if (/['"a-z]/i.test(body)) return { is: 'length', text: signed(withMarks(body)) }
  const read = units === 'metric' ? metric(body) : imperial(body)
  if (Array.isArray(read)) return { is: 'either', choices: [signed(read[0]), signed(read[1])] }
  return { is: 'length', text: signed(read) }
}

/** A length with one unit in words, for a person who says which is meant. */
export const spelt = (t: string): string =>
  t.replace(/'$/, ' feet').replace(/"$/, ' inches').replace(/ mm$/, ' millimetres').replace(/ m$/, ' metres')

/** Lengths so plain that the server reads every one of them (its own tests hold it to that). */
export const plainLength =
  /^-?(0|[0-9]{1,3}'( (1[01]|[0-9])( (1\/2|[13]\/4|[1357]\/8|[13579]\/16|1[135]\/16))?")?|[0-9]{1,4}( (1\/2|[13]\/4|[1357]\/8|[13579]\/16|1[135]\/16))?"|[0-9]{1,5} mm)$/

/** A length of 0 or less, as it is written. */
export const nothing = /^-|^([^1-9]|\/\d+)*$/

function tidy(typed: string): string {
  return typed
    .trim()
    .replace(/[′’]/g, "'")
    .replace(/[″”]/g, '"')
    .replace(/\u2212/g, '-')
    .replace(/''/g, '"')
    .replace(/⁄/g, '/')
    .replace(/\s+/g, ' ')
}

/** Feet and inches spelt out become their marks; mm and m stay. */
function withMarks(body: string): string {
  return body
    .replace(/\s*(feet|foot|ft)\b\.?/gi, "'")
    .replace(/\s*(inches|inch|in)\b\.?/gi, '"')
    .replace(/'\s*(?=[\d.])/g, "' ")
    .replace(/(\d)\s*(mm|m)$/i, (_, digit, unit) => `${digit} ${unit.toLowerCase()}`)
    .trim()
}

const fraction = /^\d+\/\d+$/

/** `7 5 3/8` is feet, inches, fraction; `43 1/4` inches; one bare number is either. */
function imperial(body: string): string | [string, string] {
  const parts = body.split(/[\s-]+/)
  const last = parts[parts.length - 1]!
  const whole = fraction.test(last) ? parts.slice(0, -1) : parts
  const rest = fraction.test(last) ? ` ${last}` : ''
  if (whole.length === 2) return `${whole[0]}' ${whole[1]}${rest}"`
  if (whole.length === 0) return `${last}"`
  if (whole.length === 1) return rest ? `${whole[0]}${rest}"` : [`${whole[0]}'`, `${whole[0]}"`]
  return body
}

/** A bare number in a metric job: whole and three digits or more is millimetres. */
function metric(body: string): string | [string, string] {
  if (!/^\d*\.?\d+$/.test(body)) return body
  if (!body.includes('.') && body.length >= 3) return `${body} mm`
  return body.includes('.') ? [`${body} m`, `${body} mm`] : [`${body} mm`, `${body} m`]
}

/** Which of two readings is likelier, by the number that stood there (0 or 1). */
export function likelier(choices: [string, string], now_in: number | undefined): 0 | 1 {
  if (!now_in || now_in <= 0) return 0
  const off = choices.map((c) => Math.abs(Math.log(roughInches(c) / now_in)))
  return off[1]! < off[0]! ? 1 : 0
}

/** A rough size for choosing between two readings only; never kept, never sent. */
export function roughInches(text: string): number {
  const n = Math.abs(Number.parseFloat(text.replace('-', '')))
  if (text.endsWith("'")) return n * 12
  if (text.endsWith('mm')) return n / 25.4
  if (text.endsWith('m')) return n / 0.0254
  return n
}

/** Puts a tapped key at the end of what is typed, with the spaces a person would leave. */
export function press(typed: string, key: string): string {
  if (key === 'back') return typed.trimEnd().slice(0, -1).trimEnd()
  if (key === 'minus') return typed.startsWith('-') ? typed.slice(1) : `-${typed}`
  if (key === "'") return typed.trim() && !typed.includes("'") ? `${typed.trim()}' ` : typed
  if (key === '"') return typed.trim() && !typed.includes('"') ? `${typed.trim()}"` : typed
  if (key.includes('/')) return putFraction(typed, key)
  return typed.endsWith('"') ? typed : typed + key
}

/** A fraction replaces the one that stands there, else follows the whole inches. */
function putFraction(typed: string, key: string): string {
  const bare = typed.replace(/"$/, '').trimEnd()
  const without = bare.replace(/(^|[\s-])\d+\/\d+$/, '').trimEnd()
  return without ? `${without} ${key}` : key
}
