// What lies on the phone: packs, marks and photos, in IndexedDB. A mark comes before all
// else: where there is no more room, photos that the office has give way to it.

import { type DBSchema, type IDBPDatabase, openDB } from 'idb'
import { drawn, namesUnder } from '../state/store'
import type { Mark } from './tally'
import type { Pack, Refused } from './wire'

export interface KeptJob {
  id: string
  title: string
  scheme: string
  revision: number
  /** The server's tag of the pack: the plan, what is released, what is cut on somebody's word. */
  tag?: string
  taken: string
  /** The pack as text: reading it is quicker than copying its thousand pieces. */
  pack: string
  cursor: string
  clock: string
  /** The plan after spoiled pieces, as text. */
  recut?: string
  /** What a person should know of a phone that was put back to an older copy of itself. */
  putBack?: string
}
export interface KeptMark {
  key: string
  job: string
  mark: Mark
  /** 0 waits, 1 is with the office, 2 was refused. Numbers, since an index takes no booleans. */
  sent: 0 | 1 | 2
  refused?: Refused
}
export interface KeptPhoto {
  name: string
  job: string
  blob: Blob
  sent: 0 | 1
}
interface Shelves extends DBSchema {
  phone: { key: string; value: string }
  jobs: { key: string; value: KeptJob }
  marks: { key: string; value: KeptMark; indexes: { job: string } }
  photos: { key: string; value: KeptPhoto; indexes: { job: string; sent: number } }
}
export type Shelf = IDBPDatabase<Shelves>

export function openShelf(name = 'coilwright-site'): Promise<Shelf> {
  return openDB<Shelves>(name, 1, {
    upgrade(db) {
      db.createObjectStore('phone')
      db.createObjectStore('jobs', { keyPath: 'id' })
      db.createObjectStore('marks', { keyPath: 'key' }).createIndex('job', 'job')
      const photos = db.createObjectStore('photos', { keyPath: 'name' })
      photos.createIndex('job', 'job')
      photos.createIndex('sent', 'sent')
    },
    blocking(_old, _new, event) {
      ;(event.target as IDBDatabase).close()
    },
  })
}

/** This phone's own name, drawn once; anew after it was put back to an older copy of itself. */
export async function deviceOf(shelf: Shelf, anew = false): Promise<string> {
  const known = await shelf.get('phone', 'device')
  if (known && !anew) return known
  const device = `phone-${drawn(8)}`
  await shelf.put('phone', device, 'device')
  return device
}

export const isFull = (e: unknown): boolean => e instanceof DOMException && e.name === 'QuotaExceededError'

export const markKey = (job: string, id: string): string => `${job} ${id}`

/** Keeps marks; where the phone is full, photos that the office has go first. */
export async function keepMarks(shelf: Shelf, kept: KeptMark[]): Promise<void> {
  try {
    await putMarks(shelf, kept)
  } catch (e) {
    if (!isFull(e) || (await dropSentPhotos(shelf)) === 0) throw e
    await putMarks(shelf, kept)
  }
}

async function putMarks(shelf: Shelf, kept: KeptMark[]): Promise<void> {
  const tx = shelf.transaction('marks', 'readwrite', { durability: 'strict' })
  await Promise.all([...kept.map((k) => tx.store.put(k)), tx.done])
}

/** Frees the room of photos that are with the office; says how many went. */
export async function dropSentPhotos(shelf: Shelf): Promise<number> {
  const tx = shelf.transaction('photos', 'readwrite')
  const names = await tx.store.index('sent').getAllKeys(1)
  await Promise.all([...names.map((n) => tx.store.delete(n)), tx.done])
  return names.length
}

/** Marks of a job, those in the reserve counted. */
export async function marksOf(shelf: Shelf, job: string): Promise<KeptMark[]> {
  const rows = new Map((await shelf.getAllFromIndex('marks', 'job', job)).map((m) => [m.key, m]))
  for (const m of reserve.of(job)) rows.set(m.key, m)
  return [...rows.values()]
}

const label = 'coilwright mark '
/** A small room of its own that browsers give beside the shelf: where the shelf is full, marks that
    nobody else has still find a place. */
export const reserve = {
  put(rows: KeptMark[]): void {
    for (const r of rows) localStorage.setItem(label + r.key, JSON.stringify(r))
  },
  drop(rows: KeptMark[]): void {
    for (const r of rows) localStorage.removeItem(label + r.key)
  },
  of(job: string): KeptMark[] {
    return namesUnder(localStorage, `${label}${job} `).map(
      (n) => JSON.parse(localStorage.getItem(n)!) as KeptMark,
    )
  },
}
export const photosOf = (shelf: Shelf, job: string) => shelf.getAllFromIndex('photos', 'job', job)

/** Takes a job off the phone; only what the office has may go. */
export async function forget(shelf: Shelf, job: string): Promise<void> {
  const marks = await marksOf(shelf, job)
  const photos = await photosOf(shelf, job)
  if (marks.some((m) => m.sent !== 1) || photos.some((p) => !p.sent))
    throw new Error('Some marks or photos of this job are not sent yet.')
  const tx = shelf.transaction(['jobs', 'marks', 'photos'], 'readwrite')
  await Promise.all([
    tx.objectStore('jobs').delete(job),
    ...marks.map((m) => tx.objectStore('marks').delete(m.key)),
    ...photos.map((p) => tx.objectStore('photos').delete(p.name)),
    tx.done,
  ])
}

export const packOf = (kept: KeptJob): Pack => JSON.parse(kept.pack) as Pack
