// Edits that the server has not taken yet, kept in the browser's own store so that they
// outlive the page: a reload, a flat battery, a browser that was closed. They are kept
// as one patch for the revision that it was made for, so that the server merges it with
// what others did meanwhile, or says where both touched the same. They are kept for the
// person who made them: nobody else's name goes under them.

import type { HouseView, JobDoc } from '../api/types'
import type { Sums, Term } from '../house/edits'
import { applied, type Op } from '../house/patch'
import { drawn, namesUnder } from './store'

/** Builds an edit's operations on the newest document, so that it can be built again. */
export type Build = (doc: JobDoc, view: HouseView, sums: Sums) => Op[] | Promise<Op[]>

/** What only the server can do: taking a change back, doing it again, the job's stage. */
export type Act = 'undo' | 'redo' | { stage: string }

export interface Unsent {
  what: string[]
  /** The tag of the job that it was made for; of an earlier program its revision alone. */
  base: string
  /** The ids of walls, openings, schemes and zones, which the patch's places rest on. */
  frame: string
  patch: Op[]
  /** Lengths that the server has yet to work out; key stands for each in the patch. */
  sums: { key: string; terms: Term[] }[]
  /** Instead of a patch. */
  act?: Act
}
export interface Built {
  what: string
  build: Build
}
/** One of the edits that wait, as far as it can be written down. */
interface Waiting {
  what: string
  build?: Build
  act?: Act
  kept?: Unsent
}
interface Shelf {
  at: number
  list: Unsent[]
}
export type Store = Pick<Storage, 'getItem' | 'setItem' | 'removeItem' | 'key' | 'length'>

/**
 * Writes down all that waits. An undo takes back the edit before it here already, where that
 * was never sent; the first in the line may have been, so its undo stays one. Edits after an
 * undo that stays are built on the document at hand, which the server merges; after an edit
 * there is nothing to do again. A stage leaves the document alone and comes last.
 */
export async function putDown(
  waiting: readonly Waiting[],
  doc: JobDoc,
  view: HouseView,
  base: string,
): Promise<Unsent[]> {
  const [out, last]: [Unsent[], Unsent[]] = [[], []]
  let [run, gone]: [Built[], Built[]] = [[], []]
  let undone = 0 // by the server, since the last edit
  const act = (w: Waiting, act: Act): Unsent => {
    return { what: [w.what], base, frame: '', patch: [], sums: [], act }
  }
  for (const w of waiting) {
    if (w.kept) out.push(w.kept)
    else if (w.build) [run, gone, undone] = [[...run, { what: w.what, build: w.build }], [], 0]
    else if (w.act === 'undo' && run.length && run.at(-1)!.build !== waiting[0]!.build) gone.push(run.pop()!)
    else if (w.act === 'undo') {
      if (run.length) out.push(await written(run, doc, view, base))
      run = []
      undone++
      out.push(act(w, w.act))
    } else if (w.act === 'redo' && gone.length && !undone) run.push(gone.pop()!)
    else if (w.act === 'redo' && !run.length) {
      undone = Math.max(0, undone - 1)
      out.push(act(w, w.act))
    } else if (typeof w.act === 'object') last.push(act(w, w.act))
  }
  if (run.length) out.push(await written(run, doc, view, base))
  return [...out, ...last]
}

/** Builds edits without the server, one upon the other. */
export async function written(edits: Built[], doc: JobDoc, view: HouseView, base: string): Promise<Unsent> {
  const out: Unsent = { what: [], base, frame: frameOf(doc), patch: [], sums: [] }
  const later: Sums = async (asked) =>
    asked.map((terms) => {
      const key = `\u{e000}${out.sums.length}\u{e000}`
      out.sums.push({ key, terms })
      return key
    })
  let draft = doc
  for (const { what, build } of edits) {
    const patch = await build(draft, view, later)
    draft = applied(draft, patch)
    out.what.push(what)
    out.patch.push(...patch)
  }
  return out
}

/** The patch with its lengths, worked out by the server in the order they were asked. */
export async function resolved(kept: Unsent, sums: Sums): Promise<Op[]> {
  const texts = new Map<string, string>()
  const text = (t: string) => texts.get(t) ?? t
  for (const { key, terms } of kept.sums) {
    const [sum] = await sums([terms.map((t) => ({ ...t, text: text(t.text) }))])
    texts.set(key, sum ?? '')
  }
  return JSON.parse(JSON.stringify(kept.patch), (_, v) => (typeof v === 'string' ? text(v) : v))
}

/** What the places of a patch rest on: two documents of one frame have the same places. */
export function frameOf(doc: JobDoc): string {
  return JSON.stringify([
    doc.house.walls.map((w) => [w.id, w.outline?.length, (w.openings ?? []).map((o) => o.id)]),
    doc.schemes.map((s) => [s.id, s.zones.map((z) => z.id)]),
  ])
}

/** How long another tab may be silent about its edits before they are taken over. */
const silentFor = 30_000

/** The place of one tab's unsent edits of one job, made by one person. */
export class UnsentShelf {
  private readonly all: string
  private readonly own: string
  /** What this page last put there. */
  private last: string | null = null
  private left = false

  constructor(
    private readonly job: string,
    private readonly store: Store,
    who: string,
    tab: string,
    private readonly now: () => number = Date.now,
  ) {
    this.all = `coilwright unsent ${job} ${encodeURIComponent(who)} `
    this.own = this.all + tab
  }

  /** Who else has edits of this job kept here. */
  others(): string[] {
    const start = `coilwright unsent ${this.job} `
    const names = namesUnder(this.store, start)
      .filter((key) => !key.startsWith(this.all))
      .map((key) => decodeURIComponent(key.slice(start.length).split(' ')[0] ?? ''))
    return [...new Set(names)]
  }

  /** Throws where the browser keeps nothing more. */
  put(list: Unsent[]): void {
    if (this.left && this.store.getItem(this.own) !== this.last) return
    this.last = list.length ? JSON.stringify({ at: this.now(), list } satisfies Shelf) : null
    if (this.last === null) this.store.removeItem(this.own)
    else this.store.setItem(this.own, this.last)
  }

  /** The page leaves the job: what its next page has put here since is left alone. */
  leave(): void {
    this.left = true
  }

  /** This tab's edits, and those of tabs that are gone, which become this one's. */
  take(): Unsent[] {
    const found = namesUnder(this.store, this.all)
      .map((key) => ({ key, shelf: read(this.store.getItem(key)) }))
      .filter(({ key, shelf }) => key === this.own || this.now() - shelf.at > silentFor)
      .sort((a, b) => a.shelf.at - b.shelf.at)
    const list = found.flatMap((f) => f.shelf.list)
    this.put(list)
    for (const { key } of found) if (key !== this.own) this.store.removeItem(key)
    return list
  }
}

function read(text: string | null): Shelf {
  try {
    const shelf = JSON.parse(text ?? '') as Shelf
    if (Array.isArray(shelf.list))
      return { ...shelf, list: shelf.list.map((u) => ({ ...u, base: `${u.base}` })) }
  } catch {
    // no shelf of ours
  }
  return { at: 0, list: [] }
}

/** The name of this tab, which a reload keeps. */
export function tabName(session: Pick<Storage, 'getItem' | 'setItem'>): string {
  const key = 'coilwright tab'
  const known = session.getItem(key)
  if (known) return known
  const name = drawn(8)
  session.setItem(key, name)
  return name
}
