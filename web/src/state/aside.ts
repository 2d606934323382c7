// Edits that the server cannot take any more, for instance because older data were put back on
// it. They are kept in the browser until the person has done each again or let it go.

import type { JobDoc } from '../api/types'
import type { Op } from '../house/patch'
import { placeWords } from '../text/places'
import { capital, valueWords } from '../text/words'
import type { Store, Unsent } from './unsent'

export interface Aside {
  kept: Unsent
  /** Why it was not taken, in words. */
  why: string
  at: number
}

/** The place of one person's edits of one job that were put aside, the same for every tab. */
export class AsideShelf {
  private readonly name: string
  /** What the browser has no room for: it lasts as long as the page. */
  private unkept: Aside[] | undefined

  constructor(
    job: string,
    private readonly store: Store,
    who: string,
  ) {
    this.name = `coilwright aside ${job} ${encodeURIComponent(who)}`
  }

  list(): Aside[] {
    return this.unkept ?? read(this.store.getItem(this.name))
  }

  /** All of them are kept in the browser. */
  get safe(): boolean {
    return !this.unkept
  }

  add(more: Aside[]): void {
    this.put([...this.list(), ...more])
  }

  take(one: Aside): void {
    const key = JSON.stringify(one)
    this.put(this.list().filter((a) => JSON.stringify(a) !== key))
  }

  private put(list: Aside[]): void {
    this.unkept = undefined
    if (!list.length) return this.store.removeItem(this.name)
    try {
      this.store.setItem(this.name, JSON.stringify(list))
    } catch {
      this.unkept = list
    }
  }
}

function read(text: string | null): Aside[] {
  try {
    const list = JSON.parse(text ?? '[]') as Aside[]
    return Array.isArray(list) ? list : []
  } catch {
    return []
  }
}

/** What an edit writes where, in words: "South, S1, width: 3' 8"". */
export function linesOfEdit({ frame, patch, sums }: Unsent): string[] {
  const doc = docOf(frame)
  const known = sums.map(({ key, terms }) => ({ key, text: terms.map(termWords).join(' ') }))
  const text = (op: Op) =>
    known.reduceRight(
      (words, { key, text }) => words.replaceAll(key, text),
      op.op === 'remove' ? 'taken away' : valueWords(op.value),
    )
  return patch
    .filter((op) => op.op !== 'test')
    .map((op) => `${capital(placeWords(op.path, doc))}: ${text(op)}`)
}

const times = { '1': '+ ', '-1': '− ', '1/2': '+ half of ', '-1/2': '− half of ' }
const termWords = (t: Unsent['sums'][number]['terms'][number], i: number) =>
  (times[t.times] + t.text).slice(i || !times[t.times].startsWith('+') ? 0 : 2)

/** As much of the document that an edit was made for as its places are named by. */
function docOf(frame: string): JobDoc | undefined {
  if (!frame) return undefined
  const [walls, schemes] = JSON.parse(frame) as [[string, number, string[]][], [string, string[]][]]
  const named = (ids: string[]) => ids.map((id) => ({ id }))
  return {
    house: { walls: walls.map(([id, , openings]) => ({ id, openings: named(openings) })) },
    schemes: schemes.map(([id, zones]) => ({ id, zones: named(zones) })),
  } as unknown as JobDoc
}

/** All of them as a text that a person can do them again by. */
export const asideText = (title: string, list: Aside[]): string =>
  [
    `Edits of ${title || 'a job without a name'} that could not be saved`,
    ...list.map(({ kept, why, at }) =>
      [
        `${new Date(at).toLocaleString('en-US')}: ${kept.what.join('; ')}`,
        why,
        ...linesOfEdit(kept).map((l) => `  ${l}`),
      ].join('\n'),
    ),
  ].join('\n\n')
