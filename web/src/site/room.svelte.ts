// The room that a job's marks and photos have on the phone. Where the shelf is full, marks that
// nobody else has go to the reserve, those that the office has are fetched again later, and a
// photo stays on the open page; what a person should know of it is said.

import * as kept from './kept'
import { isFull, type KeptJob, type KeptMark, type KeptPhoto, reserve, type Shelf } from './kept'

export class Room {
  /** What a person should know of a phone that is full. */
  full = $state('')
  photosWaiting = $state(0)
  shelf!: Shelf
  /** Marks that are with the office found no room here: the kept cursor waits for them. */
  behind = false
  /** Photos that found no room on the phone: kept as long as the page is open. */
  private loose = new Map<string, KeptPhoto>()

  constructor(private readonly job: string) {}

  async open(): Promise<void> {
    this.shelf = await kept.openShelf()
  }
  close(): void {
    this.shelf?.close()
  }

  async keep(rows: KeptMark[]): Promise<void> {
    try {
      await kept.keepMarks(this.shelf, rows)
      reserve.drop(rows)
      if (!this.behind && !this.loose.size) this.full = ''
    } catch (e) {
      this.aside(rows, e)
    }
  }

  private aside(rows: KeptMark[], e: unknown): void {
    const own = rows.filter((r) => r.sent !== 1)
    const safe = rows.filter((r) => r.sent === 1)
    reserve.drop(safe)
    this.behind ||= safe.length > 0
    try {
      reserve.put(own)
      this.full = isFull(e)
        ? 'The phone is full. Marks go into a small reserve and none is lost; send them, and free some room.'
        : `The phone could not keep a mark as usual (${(e as Error).message}); it lies in a small reserve. Send it soon.`
    } catch {
      this.full =
        'The phone is full, and its reserve too: the newest marks are only on this open page. Leave it open until they are sent, or free some room.'
    }
  }

  /** Once there is room again, keeps all marks of the job as usual. */
  async catchUp(all: KeptMark[]): Promise<void> {
    if (!this.behind) return
    try {
      await kept.keepMarks(this.shelf, all)
      reserve.drop(all)
      this.behind = false
      this.full = ''
    } catch {
      // still full; it is said already
    }
  }

  async keepJob(row: KeptJob): Promise<void> {
    await this.shelf.put('jobs', row).catch(() => {
      this.full = 'The phone is full: marks are kept, but the newest plan is not. Free some room.'
    })
  }

  async keepPhoto(p: KeptPhoto): Promise<void> {
    try {
      await this.shelf.put('photos', p)
    } catch {
      this.loose.set(p.name, p)
      this.full =
        'The phone is full: the mark is kept, its photo is only on this open page. Leave it open until it is sent.'
    }
    await this.countPhotos()
  }

  /** The photos that the office has not got. */
  async photos(): Promise<KeptPhoto[]> {
    const waiting = (await kept.photosOf(this.shelf, this.job)).filter((p) => !p.sent)
    return [...waiting, ...this.loose.values()]
  }
  async countPhotos(): Promise<void> {
    this.photosWaiting = (await this.photos()).length
  }
  async photoIsSent(p: KeptPhoto): Promise<void> {
    this.loose.delete(p.name)
    await this.shelf.put('photos', { ...p, sent: 1 }).catch(() => this.shelf.delete('photos', p.name))
    await this.countPhotos()
  }
}
