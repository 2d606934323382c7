// What is truly formed, hung and spoiled, from marks that people make on several phones.
// The rules are package tally's, which a table of cases made by it holds this file to:
// a mark is never changed and never lost, and what is known is a function of the set of
// marks alone. Order comes from a counter (Lamport 1978), never from a phone's clock.

export const kinds = [
  'formed',
  'spoiled',
  'hung',
  'taken-off',
  'measured',
  'covered',
  'checked',
  'loaded',
  'reel',
  'moved',
  'withdrawn',
] as const
export type Kind = (typeof kinds)[number]

export interface Mark {
  id: string
  count: number
  device: string
  by: string
  at: string
  kind: Kind
  piece: string
  text?: string
  note?: string
  photo?: string
  /** How the piece is cut, wherever it hangs: what two like pieces share. */
  cut?: string
}

export type Where = 'waiting' | 'ready' | 'hung'
export interface PieceState {
  place: Where
  formed: number
  spoiled: number
  /** How many are whole, the one that hangs counted; none: it waits. */
  lies: number
  last?: Mark
  /** How it is cut, and what stands on it, by the mark that says it was formed. */
  cut?: string
  label?: string
}
export interface State {
  pieces: Map<string, PieceState>
  /** Marks of pieces that the layout no longer has: steel that was formed is not forgotten. */
  homeless: Map<string, PieceState>
  loaded: string
  /** The mark that put the coil on. */
  threaded?: Mark
  reels: Map<string, Mark>
  covered: Map<string, Mark>
  sizes: Mark[]
  checks: Mark[]
  withdrawn: string[]
}

/** Order of texts by code points, which is that of their UTF-8 bytes; JavaScript's own is not. */
export function byBytes(a: string, b: string): number {
  const n = Math.min(a.length, b.length)
  for (let i = 0; i < n; i++) {
    const x = a.charCodeAt(i)
    const y = b.charCodeAt(i)
    if (x !== y) return raised(x) - raised(y)
  }
  return a.length - b.length
}
/** Halves of far characters (D800 to DFFF) stand above all near ones. */
const raised = (unit: number) => (unit >= 0xd800 && unit <= 0xdfff ? unit + 0x10000 : unit)

export const compare = (a: Mark, b: Mark): number => a.count - b.count || byBytes(a.id, b.id)

const texts = ['device', 'by', 'at', 'kind', 'piece', 'text', 'note', 'photo', 'cut'] as const

/** Which of two marks of one id stands: only a phone restored from an old copy makes two. */
function greater(a: Mark, b: Mark): number {
  if (a.count !== b.count) return a.count - b.count
  for (const t of texts) {
    const by = byBytes(a[t] ?? '', b[t] ?? '')
    if (by) return by
  }
  return 0
}

/** Joins sets of marks: each once, in order. */
export function merge(...sets: Mark[][]): Mark[] {
  const byId = new Map<string, Mark>()
  for (const set of sets) {
    for (const m of set) {
      const old = byId.get(m.id)
      if (!old || greater(m, old) > 0) byId.set(m.id, m)
    }
  }
  return [...byId.values()].sort(compare)
}

/** The count that a phone gives to its next mark. */
export const nextCount = (seen: Mark[]): number => seen.reduce((n, m) => Math.max(n, m.count), 0) + 1

/** Marks that were taken back. A withdrawal may itself be withdrawn: the last word counts. */
export function takenBack(ordered: Mark[]): Set<string> {
  const gone = new Set<string>()
  for (const m of [...ordered].reverse()) if (m.kind === 'withdrawn' && !gone.has(m.id)) gone.add(m.piece)
  return gone
}

/** The state of the given pieces, from any set of marks. */
export function stateOf(pieces: Iterable<string>, marks: Mark[]): State {
  const s: State = {
    pieces: new Map(),
    homeless: new Map(),
    loaded: '',
    reels: new Map(),
    covered: new Map(),
    sizes: [],
    checks: [],
    withdrawn: [],
  }
  for (const id of pieces) s.pieces.set(id, untouched)
  const all = merge(marks)
  const gone = takenBack(all)
  for (const m of all) {
    if (gone.has(m.id)) s.withdrawn.push(m.id)
    else take(s, m)
  }
  return s
}

/** The state after one more mark that stands above all others; nothing is gone through again. */
export function added(s: State, m: Mark): State {
  take(s, m)
  return { ...s }
}

function take(s: State, m: Mark): void {
  if (m.kind === 'loaded') {
    s.loaded = m.piece
    s.threaded = m
  } else if (m.kind === 'reel') s.reels.set(m.piece, m)
  else if (m.kind === 'covered') s.covered.set(m.piece, m)
  else if (m.kind === 'measured') s.sizes.push(m)
  else if (m.kind === 'checked') s.checks.push(m)
  else if (m.kind === 'moved') move(s, m)
  else if (m.kind !== 'withdrawn') {
    const at = tableOf(s, m.piece)
    at.set(m.piece, after(at.get(m.piece) ?? untouched, m))
  }
}

const untouched: PieceState = { place: 'waiting', formed: 0, spoiled: 0, lies: 0 }
const tableOf = (s: State, piece: string) => (s.pieces.has(piece) ? s.pieces : s.homeless)

/** How many of a piece may serve elsewhere: what hangs may not. */
export const spare = (p: PieceState | undefined): number => (p ? p.lies - (p.place === 'hung' ? 1 : 0) : 0)

/** A piece that lies there serves in another place; only the first of two to give it away gives it. */
function move(s: State, m: Mark): void {
  const from = m.text ?? ''
  const given = tableOf(s, from).get(from)
  if (!given || spare(given) < 1 || from === m.piece) return
  tableOf(s, from).set(from, lose(given, m))
  const to = tableOf(s, m.piece)
  to.set(m.piece, gain(to.get(m.piece) ?? untouched, m))
}

/**
 * Two phones that mark one piece formed without knowing of each other have formed two. What is
 * spoiled while none lies there was spoiled on the machine; while one hangs, it is the other.
 */
function after(p: PieceState, m: Mark): PieceState {
  if (m.kind === 'formed')
    return gain({ ...p, formed: p.formed + 1, cut: m.cut || p.cut, label: m.note || p.label }, m)
  if (m.kind === 'spoiled') return lose({ ...p, spoiled: p.spoiled + 1 }, m)
  return { ...p, place: m.kind === 'hung' ? 'hung' : 'ready', lies: Math.max(1, p.lies), last: m }
}
function gain(p: PieceState, last: Mark): PieceState {
  return { ...p, last, lies: p.lies + 1, place: p.place === 'hung' ? 'hung' : 'ready' }
}
function lose(p: PieceState, last: Mark): PieceState {
  const lies = Math.max(0, p.lies - 1)
  return { ...p, last, lies, place: lies ? p.place : 'waiting' }
}

export interface Counts {
  pieces: number
  formed: number
  hung: number
  spoiled: number
}

/** Formed counts pieces that exist now, hung ones too. */
export function countOf(s: State): Counts {
  const c = { pieces: s.pieces.size, formed: 0, hung: 0, spoiled: 0 }
  for (const p of s.pieces.values()) {
    c.spoiled += p.spoiled
    if (p.place === 'hung') c.hung++
    if (p.place !== 'waiting') c.formed++
  }
  for (const p of s.homeless.values()) c.spoiled += p.spoiled
  return c
}
