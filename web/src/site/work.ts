// What comes next, at the machine and on the wall, from the pack and the marks.

import { nanometres } from './lengths'
import { type Counts, compare, type Mark, type PieceState, type State, spare } from './tally'
import type { Bundle, Formable, Pack, PackWall, Recut, SetUp, SitePiece } from './wire'

export interface Reel {
  coil: string
  pieces: string[]
}

/** The pieces a set-up has yet to give, coil by coil, in the order of forming. */
export function reelsOf(setup: SetUp, recut: Recut | undefined, byKey: Map<string, Formable>): Reel[] {
  if (!recut) return setup.reels
  const planned = recut.next
    .map((n) => ({ coil: n.coil, pieces: n.pieces.filter((k) => byKey.get(k)?.setup === setup.id) }))
    .filter((r) => r.pieces.length)
  return [...sinceThen(setup, recut), ...planned]
}

/** What a person calls a coil; one that a new plan takes in has its id alone. */
export const coilName = (pack: Pack, id: string): string => pack.coils.find((c) => c.id === id)?.name || id

/** Whether two packs give the same pieces by the same coils: a plan after spoiled pieces holds for both. */
export const sameRun = (a: Pack, b: Pack): boolean =>
  JSON.stringify([a.setups, a.coils]) === JSON.stringify([b.setups, b.coils])

/** What was formed when the new plan was made, and may have been spoiled since. */
function sinceThen(setup: SetUp, recut: Recut): Reel[] {
  const known = new Set([...recut.next.flatMap((n) => n.pieces), ...recut.left_out.map((l) => l.piece)])
  return setup.reels.map((r) => ({ coil: r.coil, pieces: r.pieces.filter((k) => !known.has(k)) }))
}

export const waits = (state: State, key: string): boolean => state.pieces.get(key)?.place === 'waiting'

export interface Turn {
  setup: SetUp
  reel: Reel
  piece: Formable
  /** Pieces that wait in this set-up, this one counted. */
  inSetup: number
}

export interface Job {
  pack: Pack
  state: State
  byKey: Map<string, Formable>
  /** Feet left on each coil. */
  left: Map<string, number>
  recut?: Recut
}

/** The next piece of a set-up: a spoiled one first where the coil that is on has enough left. */
export function turnOf(setup: SetUp, job: Job): Turn | undefined {
  const { state, byKey } = job
  const reels = reelsOf(setup, job.recut, byKey)
  const known = (key: string) => waits(state, key) && byKey.has(key)
  const inSetup = reels.reduce((n, r) => n + r.pieces.filter(known).length, 0)
  const again = spoiledThatFits(setup, reels, job)
  if (again)
    return { setup, reel: { coil: state.loaded, pieces: [again] }, piece: byKey.get(again)!, inSetup }
  const on = reels.find((r) => r.coil === state.loaded && r.pieces.some(known))
  const reel = on ?? reels.find((r) => r.pieces.some(known))
  const key = reel?.pieces.find(known)
  return reel && key ? { setup, reel, piece: byKey.get(key)!, inSetup } : undefined
}

/** Without the office: a spoiled piece is formed next if the coil that is on can give it. */
function spoiledThatFits(setup: SetUp, reels: Reel[], job: Job): string | undefined {
  const { state, byKey, pack, left } = job
  if (!isThreaded(state, setup, state.loaded)) return undefined
  const planned = new Set(job.recut?.next.flatMap((n) => n.pieces))
  return reels
    .flatMap((r) => r.pieces)
    .find((k) => {
      const p = state.pieces.get(k)
      const piece = byKey.get(k)
      if (!piece || p?.place !== 'waiting' || p.spoiled === 0 || planned.has(k)) return false
      return takes(pack, piece) <= (left.get(state.loaded) ?? 0)
    })
}

/** The set-up that is on the machine while it has work, else the first that has. */
export function setupNow(job: Job): SetUp | undefined {
  const open = (s: SetUp) => turnOf(s, job) !== undefined
  const on = job.pack.setups.find((s) => s.id === job.state.threaded?.note)
  return on && open(on) ? on : job.pack.setups.find(open)
}

/** Is this coil threaded for this set-up? */
export const isThreaded = (state: State, setup: SetUp, coil: string): boolean =>
  state.threaded?.piece === coil && (!state.threaded.note || state.threaded.note === setup.id)

/** Feet of coil that a piece takes, its cut counted. */
export const takes = (pack: Pack, piece: Formable): number =>
  (piece.length_in + pack.machine.cut_loss_in) / 12

/**
 * The piece to be measured: the first that was formed since the coil was threaded, or since one
 * was off and the length counter was set.
 */
export function unmeasured({ pack, state, byKey }: Job, setup: SetUp): Mark | undefined {
  const on = state.threaded
  if (!on || (on.note && on.note !== setup.id)) return undefined
  const checks = state.checks.filter((c) => c.piece === setup.id && compare(c, on) > 0).sort(compare)
  const last = checks.at(-1)
  const asked = last && byKey.get(last.note ?? '')?.length
  if (last && (!asked || isNear(pack, asked, last.text ?? ''))) return undefined
  const formed = [...state.pieces.values()].map((p) => p.last).filter((m) => m?.kind === 'formed')
  return formed.filter((m) => compare(m!, last ?? on) > 0).sort((a, b) => compare(a!, b!))[0]
}

/** What a mark of a piece's photo is about, and back. */
export const photoOf = (key: string): string => `${key}:photo`
export const photographed = (m: Mark): string | undefined =>
  m.kind === 'covered' ? /^(.*):photo$/.exec(m.piece)?.[1] : undefined

/** Whether a first piece's length is near enough to what was asked. */
export const isNear = (pack: Pack, asked: string, found: string): boolean =>
  Math.abs((nanometres(found) ?? 0) - (nanometres(asked) ?? 0)) <=
  pack.machine.first_piece_within.in * 25_400_000 + 1

/** The wall's pieces in hanging order. */
export const hangingOrder = (wall: PackWall): string[] => wall.order.flatMap((o) => o.pieces)

/** Lowest first: the next piece that hangs; ready or not, since nothing goes over a gap. */
export const nextToHang = (wall: PackWall, state: State): string | undefined =>
  hangingOrder(wall).find((k) => state.pieces.get(k)?.place !== 'hung')

export function wallCounts(wall: PackWall, state: State): Counts {
  const c = { pieces: 0, formed: 0, hung: 0, spoiled: 0 }
  for (const k of hangingOrder(wall)) {
    const p: PieceState | undefined = state.pieces.get(k)
    if (!p) continue
    c.pieces++
    if (p.place !== 'waiting') c.formed++
    if (p.place === 'hung') c.hung++
    c.spoiled += p.spoiled
  }
  return c
}

/** What must have been seen before anything hangs here. */
export const gates = (wall: PackWall, state: State) =>
  wall.quality.filter((q) => q.gate && !state.covered.has(`${wall.id}:${q.id}`))

/** What the code of a piece's or a bundle's label holds. */
export const codeText = (pack: Pack, id: string): string => pack.qr.prefix + id.toUpperCase()

/** The piece that a label's code or a typed number names: a bundle's first piece for a bundle. */
export function keyOfCode(pack: Pack, text: string): string | undefined {
  const code = text.trim().toUpperCase()
  const known = pack.pieces.find((p) => p.number.toUpperCase() === code)
  if (known) return known.key
  const prefix = pack.qr.prefix.toUpperCase()
  if (!code.startsWith(prefix)) return undefined
  const id = code.slice(prefix.length)
  const bundle = pack.bundles.find((b) => b.id.toUpperCase() === id)
  return pack.pieces.find((p) => p.key === (bundle?.first ?? id.toLowerCase()))?.key
}

/** The bundle that a piece is carried in, if it is carried in one. */
export function bundleOf(pack: Pack, piece: SitePiece): Bundle | undefined {
  const alike = pack.pieces.filter((p) => p.wall === piece.wall && p.setup === piece.setup).map((p) => p.key)
  const at = alike.indexOf(piece.key)
  return pack.bundles.find(
    (b) =>
      b.wall === piece.wall &&
      b.setup === piece.setup &&
      alike.indexOf(b.first) <= at &&
      at <= alike.indexOf(b.last),
  )
}

/** A piece that lies there without a place of its own and is cut as this one is. */
export function lyingLike(state: State, piece: SitePiece): { key: string; label: string } | undefined {
  if (state.pieces.get(piece.key)?.place !== 'waiting') return undefined
  for (const [key, p] of state.homeless)
    if (spare(p) > 0 && p.cut === piece.cut) return { key, label: p.label ?? key }
  return undefined
}

export interface Alike<T> {
  wall: string
  why: string
  pieces: T[]
}
/** Pieces of one wall for one reason, in the order in which they come. */
export function alike<T extends { wall: string; why: string }>(pieces: T[]): Alike<T>[] {
  const found = new Map<string, Alike<T>>()
  for (const p of pieces) {
    const at = `${p.wall}\n${p.why}`
    const line = found.get(at) ?? { wall: p.wall, why: p.why, pieces: [] }
    line.pieces.push(p)
    found.set(at, line)
  }
  return [...found.values()]
}

/** Pieces of a wall that the machine must not form, by the reason. */
export function leftOutOf(pack: Pack): Alike<{ wall: string; why: string; number: string }>[] {
  const byKey = new Map(pack.pieces.map((p) => [p.key, p]))
  return alike(
    pack.left_out.flatMap(({ piece, why }) => {
      const p = byKey.get(piece)
      return p ? [{ wall: p.wall, why, number: p.number }] : []
    }),
  )
}

/** Once a job is signed, nothing is formed of it before it is released to the machine. */
export const mayForm = (pack: Pack): boolean =>
  pack.release.state === 'released' || pack.release.state === 'unsigned'

export interface GapNow {
  text: string
  /** To cut off a piece that needs more than it was cut for; empty where none. */
  shorten: string
  shorten_one: string
  tooHot: boolean
}

/** The gap at a piece's moving end for a temperature, from the server's own steps. */
export function gapNow(pack: Pack, piece: SitePiece, tempF: number): GapNow {
  const k = piece.gap_from_f.findIndex((from) => tempF >= from)
  const tooHot = piece.hang_below_f !== undefined && tempF > piece.hang_below_f
  if (k < 0) return { text: pack.gap.colder, shorten: '', shorten_one: '', tooHot }
  const more = k - piece.gap_step
  return {
    text: pack.gap.steps[k]?.text ?? pack.gap.colder,
    shorten: more > 0 ? (pack.gap.shorten[more] ?? '') : '',
    shorten_one: more > 0 ? (pack.gap.shorten_one[more] ?? '') : '',
    tooHot,
  }
}
