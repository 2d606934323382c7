// A book being changed: every edit is kept as one operation until all of them are saved
// together as the next version.

import { applied, type Op, pointer } from '../../house/patch'
import type { BookDoc, ShopBook } from './calls'

type Step = string | number

export class Draft {
  /** The version that the edits stand on. */
  book = $state.raw<ShopBook>()
  doc = $state.raw<BookDoc>({})
  private ops = new Map<string, Op>()
  changes = $state(0)

  open(book: ShopBook): void {
    this.book = book
    this.doc = book.document
    this.ops.clear()
    this.changes = 0
  }
  drop(): void {
    if (this.book) this.open(this.book)
  }
  /** Writes a value; undefined takes the place away. Objects on the way are made. */
  put(value: unknown, ...steps: Step[]): void {
    let place: unknown = this.doc
    for (let i = 0; i < steps.length - 1; i++) {
      const next = (place as Record<string, unknown>)[steps[i]!]
      if (typeof next !== 'object' || next === null)
        this.apply({ op: 'add', path: pointer(...steps.slice(0, i + 1)), value: {} })
      place = steps.slice(0, i + 1).reduce<unknown>((at, s) => (at as Record<string, unknown>)[s], this.doc)
    }
    const path = pointer(...steps)
    const there = Object.hasOwn(place as object, steps.at(-1)!)
    if (value !== undefined) this.apply({ op: 'add', path, value })
    else if (there) this.apply({ op: 'remove', path })
  }
  private apply(op: Op): void {
    this.doc = applied(this.doc, [op])
    this.ops.delete(op.path) // the later one stands at the end
    this.ops.set(op.path, op)
    this.changes = this.ops.size
  }
  /** The operations in order; what was added and taken away again is none. */
  patch(): Op[] {
    let at = this.book?.document ?? {}
    const out: Op[] = []
    for (const op of this.ops.values()) {
      try {
        at = applied(at, [op])
        out.push(op)
      } catch {
        // it takes away what the saved book never had
      }
    }
    return out
  }
}

/** 0.285 becomes 28.5: the point moves two places, no digit is changed. */
export function percent(share: string | number | undefined): string {
  if (share === undefined || share === '') return ''
  const [whole = '0', rest = ''] = String(share).split('.')
  const digits = rest.padEnd(2, '0')
  return tidy(`${whole}${digits.slice(0, 2)}.${digits.slice(2)}`)
}
/** 28.5 becomes 0.285; what is no number stays, for the server to refuse by its place. */
export function share(text: string): string {
  const typed = text.trim().replace(',', '.')
  if (!/^\d+(\.\d*)?$/.test(typed)) return typed
  const [whole = '', rest = ''] = typed.split('.')
  const digits = whole.padStart(3, '0')
  return tidy(`${digits.slice(0, -2)}.${digits.slice(-2)}${rest}`)
}
function tidy(text: string): string {
  const [whole = '', rest = ''] = text.split('.')
  const front = whole.replace(/^0+(?=\d)/, '') || '0'
  const back = rest.replace(/0+$/, '')
  return back ? `${front}.${back}` : front
}
export const today = () => new Date().toISOString().slice(0, 10)
