// The words of the trade for what the job file calls by a short name.

export const openingKinds = ['window', 'door', 'garage-door', 'vent', 'light', 'meter', 'other'] as const
export const edgeKinds = ['base', 'outside-corner', 'inside-corner', 'eave', 'rake', 'abuts', 'open'] as const
export const stages = [
  'visit',
  'design',
  'offer',
  'signed',
  'remeasured',
  'forming',
  'hanging',
  'done',
] as const
export const sources = ['tape', 'photo', 'plan', 'assumed'] as const
export type Source = (typeof sources)[number]

const said: Record<string, string> = {
  'garage-door': 'garage door',
  'outside-corner': 'outside corner',
  'inside-corner': 'inside corner',
  abuts: 'meets another material',
  open: 'open end',
  remeasured: 'measured again',
  done: 'finished',
  other: 'something else',
}

/** The way a person says it. */
export const say = (word: string): string => said[word] ?? word
export const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1)

/** A value of the job file as a person reads it. */
export function valueWords(value: unknown): string {
  if (value === undefined || value === null) return 'taken away'
  if (Array.isArray(value))
    return value.map((v) => (Array.isArray(v) ? `(${valueWords(v)})` : valueWords(v))).join(', ')
  if (typeof value !== 'object') return String(value)
  if ('length' in value) return valueWords(value.length)
  return Object.entries(value)
    .map(([name, v]) => `${name.replaceAll('_', ' ')} ${valueWords(v)}`)
    .join(', ')
}

/** What is written one to a line. */
export const linesOf = (text: string): string[] =>
  text
    .split('\n')
    .map((s) => s.trim())
    .filter(Boolean)

/** 1 piece, 2 pieces, 1,204 pieces. */
export function count(n: number, one: string, many = `${one}s`): string {
  return `${whole(n)} ${n === 1 ? one : many}`
}

/** A book's unit behind a quantity: 4.5 hours, 1 day, 12 ft. Short ones have no plural. */
export const unitOf = (unit: string, quantity: string | number): string =>
  /^[a-z]{3,}$/.test(unit) && Number(quantity) !== 1 ? `${unit}s` : unit

export const whole = (n: number): string => Math.round(n).toLocaleString('en-US')

/** Feet of coil, squares and the like, to one decimal. */
export function figure(n: number, decimals = 1): string {
  return n.toLocaleString('en-US', { minimumFractionDigits: decimals, maximumFractionDigits: decimals })
}

/** A change with its sign; empty where nothing changed. */
export function change(now: number, before: number | undefined, decimals = 0): string {
  if (before === undefined) return ''
  const by = now - before
  if (Math.abs(by) < 0.5 * 10 ** -decimals) return ''
  return `${by > 0 ? '+' : '−'}${figure(Math.abs(by), decimals)}`
}

const points = ['north', 'north-east', 'east', 'south-east', 'south', 'south-west', 'west', 'north-west']

/** The compass point that a bearing looks to. */
export function compass(degrees: number): string {
  return points[Math.round((((degrees % 360) + 360) % 360) / 45) % 8]!
}
