// Edits that the server has not taken yet, kept in the browser's own store so that they
// outlive the page: a reload, a flat battery, a browser that was closed. They are kept
// as one patch for the revision that it was made for, so that the server merges it with
// what others did meanwhile, or says where both touched the same.

import type { HouseView, JobDoc } from '../api/types'
import type { Sums, Term } from '../house/edits'
import { applied, type Op } from '../house/patch'
import { drawn, namesUnder } from './store'

/** Builds an edit's operations on the newest document, so that it can be built again. */
export type Build = (doc: JobDoc, view: HouseView, sums: Sums) => Op[] | Promise<Op[]>

export interface Unsent {
  what: string[]
  base: number
  /** The ids of walls, openings, schemes and zones, which the patch's places rest on. */
  frame: string
  patch: Op[]
  /** Lengths that the server has yet to work out; key stands for each in the patch. */
  sums: { key: string; terms: Term[] }[]
}
export interface Built {
  what: string
  build: Build
}
interface Shelf {
  at: number
  list: Unsent[]
}
type Store = Pick<Storage, 'getItem' | 'setItem' | 'removeItem' | 'key' | 'length'>

/** Builds edits without the server, one upon the other. */
export async function written(edits: Built[], doc: JobDoc, view: HouseView, base: number): Promise<Unsent> {
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

/** The place of one tab's unsent edits of one job. */
export class UnsentShelf {
  private readonly all: string
  private readonly own: string

  constructor(
    job: string,
    private readonly store: Store,
    tab: string,
    private readonly now: () => number = Date.now,
  ) {
    this.all = `coilwright unsent ${job} `
    this.own = this.all + tab
  }

  /** Throws where the browser keeps nothing more. */
  put(list: Unsent[]): void {
    if (!list.length) return this.store.removeItem(this.own)
    this.store.setItem(this.own, JSON.stringify({ at: this.now(), list } satisfies Shelf))
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
    if (Array.isArray(shelf.list)) return shelf
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
