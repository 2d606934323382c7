// Edits of walls and openings as patches. Every number is the text a person typed or
// a sum that the server worked out; nothing is added up here.

import type { JobDoc, Measured, NumberText, OpeningDoc, PtText, WallDoc, WallView } from '../api/types'
import type { WallLine } from './lines'
import { applied, type Op, remove, set } from './patch'

export interface Term {
  text: string
  times: '1' | '-1' | '1/2' | '-1/2'
}
/** Asks the server for exact sums of typed lengths. */
export type Sums = (sums: Term[][]) => Promise<string[]>
export const plus = (text: string): Term => ({ text, times: '1' })
export const less = (text: string): Term => ({ text, times: '-1' })
export const half = (text: string): Term => ({ text, times: '1/2' })

export const bare = (n: NumberText | undefined): string | number =>
  n === undefined ? '0' : typeof n === 'object' ? n.length : n
/** A number as text with its mark, fit to be sent in a sum. */
export const marked = (n: NumberText | undefined): string => {
  const b = bare(n)
  return typeof b === 'number' ? (b === 0 ? '0' : `${b} in`) : b
}
const pedigree = (n: NumberText): Measured | undefined => (typeof n === 'object' ? n.measured : undefined)
const isZero = (n: NumberText) => {
  const b = bare(n)
  return b === 0 || b === '0'
}
export const typed = (text: string, measured: Measured): NumberText => ({ length: text, measured })

/** Moves every corner of a wall's line to a typed number; a ridge in the middle follows. */
export async function moveLine(
  doc: JobDoc,
  view: WallView,
  wall: number,
  line: WallLine,
  text: string,
  measured: Measured,
  ridge: WallLine | undefined,
  sums: Sums,
): Promise<Op[]> {
  const ops = cornersTo(wall, line, typed(text, measured))
  if (ridge?.middle && line.name === 'Width') {
    const [middle] = await sums([[half(text)]])
    ops.push(...cornersTo(wall, ridge, typed(middle!, measured)))
  }
  return settled(doc, ops, [wall], measured, view)
}

const cornersTo = (wall: number, line: WallLine, to: NumberText): Op[] =>
  line.corners.map((c) => set(to, 'house', 'walls', wall, 'outline', c, line.axis)).map(asReplace)
const asReplace = (op: Op): Op => ({ ...op, op: 'replace' })

/** Once each number of a wall comes from one source, the wall itself says so. */
export function settled(doc: JobDoc, ops: Op[], walls: number[], measured: Measured, _view?: WallView): Op[] {
  const after = applied(doc, ops)
  const more = walls.flatMap((w) => lift(after.house.walls[w]!, w, measured))
  return [...ops, ...more]
}

function lift(wall: WallDoc, at: number, measured: Measured): Op[] {
  const numbers = wall.outline.flat().filter((n) => !isZero(n))
  const same = (m: Measured | undefined) => JSON.stringify(m) === JSON.stringify(measured)
  if (!numbers.length || !numbers.every((n) => same(pedigree(n)) || (!pedigree(n) && same(wall.measured))))
    return []
  const outline = wall.outline.map(([x, y]): PtText => [bare(x), bare(y)])
  const before = wall.measured ?? { by: 'assumed' as const }
  const openings = (wall.openings ?? []).flatMap((o, i) =>
    o.measured ? [] : [set(before, 'house', 'walls', at, 'openings', i, 'measured')],
  )
  return [
    ...openings,
    set(outline, 'house', 'walls', at, 'outline'),
    set(measured, 'house', 'walls', at, 'measured'),
  ]
}

export type OpeningNumber = 'width' | 'height' | 'across' | 'sill'
/** An opening's four numbers by name, in the order in which they are asked wherever they stand. */
export const openingNumbers = (from: 'left' | 'right'): [OpeningNumber, string][] => [
  ['width', 'Width'],
  ['height', 'Height'],
  ['across', `From the ${from} end`],
  ['sill', 'Sill'],
]

/** What a person types of an opening. */
export interface Placing extends Record<OpeningNumber, string> {
  id: string
  kind: string
  from: 'left' | 'right'
}

/** The opening's place in the wall; from the right end the server subtracts. */
export async function placed(
  p: Placing,
  wallWidth: string,
  measured: Measured,
  sums: Sums,
): Promise<OpeningDoc> {
  const x =
    p.from === 'left' ? p.across : (await sums([[plus(wallWidth), less(p.across), less(p.width)]]))[0]!
  return { id: p.id, kind: p.kind, at: [x, p.sill], size: [p.width, p.height], measured }
}

export function addOpening(doc: JobDoc, wall: number, opening: OpeningDoc): Op[] {
  const list = doc.house.walls[wall]!.openings
  if (!list) return [set([opening], 'house', 'walls', wall, 'openings')]
  return [set(opening, 'house', 'walls', wall, 'openings', '-')]
}

const numberAt: Record<OpeningNumber, ['at' | 'size', 0 | 1]> = {
  width: ['size', 0],
  height: ['size', 1],
  across: ['at', 0],
  sill: ['at', 1],
}
/** One of an opening's four numbers, the distance across from the left end. */
export function openingNumber(
  doc: JobDoc,
  wall: number,
  at: number,
  which: OpeningNumber,
  text: string,
  measured: Measured,
): Op[] {
  const o = doc.house.walls[wall]!.openings![at]!
  if (!o.at || !o.size) return []
  const path = ['house', 'walls', wall, 'openings', at] as const
  const value = typed(text, measured)
  const ops: Op[] = [{ ...set(value, ...path, ...numberAt[which]), op: 'replace' }]
  const after = applied(doc, ops).house.walls[wall]!.openings![at]!
  const numbers = [...after.at!, ...after.size!]
  const all = numbers.every((n) => JSON.stringify(pedigree(n)) === JSON.stringify(measured) || isZero(n))
  if (!all) return ops
  return [
    set(after.at!.map(bare), ...path, 'at'),
    set(after.size!.map(bare), ...path, 'size'),
    set(measured, ...path, 'measured'),
  ]
}

/** The next free name: the wall's first letter and a number. */
export function freeName(taken: string[], stem: string): string {
  const letter = (stem[0] ?? 'o').toUpperCase()
  for (let n = 1; ; n++) if (!taken.includes(`${letter}${n}`)) return `${letter}${n}`
}

export const removeOpening = (wall: number, at: number): Op[] => [
  remove('house', 'walls', wall, 'openings', at),
]
