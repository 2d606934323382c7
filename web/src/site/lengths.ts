// Lengths that were typed at the machine, compared with what was asked: whole nanometres, so
// that a sixteenth is a sixteenth. Nothing that is cut comes from here.

import { readTyped, type Units } from '../text/marks'

const inch = 25_400_000
const foot = 12 * inch
const mm = 1_000_000

/** A typed length with its marks, or undefined where it is none or could be read two ways. */
export function typedText(typed: string, units: Units): string | undefined {
  const read = readTyped(typed, units)
  return read.is === 'length' && nanometres(read.text) !== undefined ? read.text : undefined
}

/** 12' 3 1/16" or 2270 mm in nanometres. */
export function nanometres(text: string): number | undefined {
  const metric = /^(\d+(?:\.\d+)?) (mm|m)$/.exec(text)
  if (metric) return Math.round(Number(metric[1]) * (metric[2] === 'm' ? 1000 * mm : mm))
  if (!/\d/.test(text)) return undefined
  // Inches and a fraction stand apart: 13/16" is never read as 1 3/16".
  const t =
    /^(?:(\d+(?:\.\d+)?)')?\s*(?:(?:(\d+(?:\.\d+)?)(?:\s+(?=\d+\/)|(?="))|(?=\d+\/))(?:(\d+)\/([1-9]\d*))?")?$/.exec(
      text.trim(),
    )
  if (!t) return undefined
  const [, feet = '0', inches = '0', top = '0', bottom = '1'] = t
  return Math.round(Number(feet) * foot + Number(inches) * inch + (Number(top) * inch) / Number(bottom))
}

/** How far a found length is off what was asked, in words; empty where it agrees. */
export function offBy(asked: string, found: string, units: Units): string {
  const a = nanometres(asked)
  const b = nanometres(found)
  if (a === undefined || b === undefined || a === b) return ''
  return `${spoken(Math.abs(b - a), units)} ${b > a ? 'longer' : 'shorter'}`
}

function spoken(nm: number, units: Units): string {
  if (units === 'metric') return `${Number((nm / mm).toFixed(1))} mm`
  const sixtyfourths = Math.round(nm / (inch / 64))
  const whole = Math.floor(sixtyfourths / 64)
  let top = sixtyfourths % 64
  let bottom = 64
  while (top && top % 2 === 0) {
    top /= 2
    bottom /= 2
  }
  return `${[whole || (top ? '' : '0'), top ? `${top}/${bottom}` : ''].filter(Boolean).join(' ')}"`
}

export interface Part {
  figure: string
  unit: string
}

/** A length in the parts in which it is called out: feet, inches, fraction. */
export function parts(text: string): Part[] {
  const metric = /^([\d.,]+) (mm|m)$/.exec(text)
  if (metric) return [{ figure: metric[1]!, unit: metric[2]! }]
  const t = /^(?:(\d+)')?\s*(?:(?:(\d+)(?:\s+(?=\d+\/)|(?="))|(?=\d+\/))(\d+\/\d+)?")?$/.exec(text)
  if (!t) return [{ figure: text, unit: '' }]
  const [, feet, inches, fraction] = t
  const found: Part[] = []
  if (feet) found.push({ figure: feet, unit: 'ft' })
  if (inches) found.push({ figure: inches, unit: 'in' })
  if (fraction) found.push({ figure: fraction, unit: 'in' })
  return found.length ? found : [{ figure: text, unit: '' }]
}
