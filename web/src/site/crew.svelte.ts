// One job on a crew's phone: its pack, its marks, and the way between the phone and the
// office. Whatever is marked shows at once, lies on the phone next, and is sent when it can.

import { Refusal, Silence } from '../api/refusal'
import * as kept from './kept'
import {
  deviceOf,
  drawn,
  isFull,
  type KeptJob,
  type KeptMark,
  type KeptPhoto,
  reserve,
  type Shelf,
} from './kept'
import { putBackText, sendLater } from './putback'
import { feetLeft } from './reels'
import * as send from './send'
import { exchange } from './sync'
import {
  added,
  compare,
  countOf,
  type Kind,
  type Mark,
  merge,
  nextCount,
  type State,
  stateOf,
  takenBack,
} from './tally'
import {
  type Difference,
  type Formable,
  type Pack,
  type PackWall,
  type Recut,
  type SitePiece,
  saidKind,
  type Told,
} from './wire'
import type { Job } from './work'

export type Line = 'new' | 'sending' | 'sent' | 'silent' | 'signed-out' | 'refused'
export interface Said {
  kind: Kind
  piece: string
  text?: string
  note?: string
  photo?: Blob
}

/** Half a far character, which a keyboard may leave behind, is no text that can be sent. */
const whole = (text: string) => text.replace(/\p{Surrogate}/gu, '\ufffd')
const today = () => new Date().toDateString().replace(/ /g, '-')

export class Crew {
  scheme = $state('')
  pack = $state.raw<Pack>()
  marks = $state.raw<KeptMark[]>([])
  state = $state.raw<State>(stateOf([], []))
  by = $state('')
  line = $state<Line>('new')
  /** Why nothing can be shown. */
  failed = $state('')
  /** What a person should know: the clock, a full phone, what was refused. */
  clock = $state('')
  full = $state('')
  refusal = $state('')
  told = $state.raw<Told[]>([])
  /** What is known of marks that this phone lost. */
  putBack = $state('')
  news = $state.raw<Difference>()
  recut = $state.raw<Recut>()
  photosWaiting = $state(0)
  taken = $state('')

  readonly pieces = $derived(new Map((this.pack?.pieces ?? []).map((p) => [p.key, p])))
  readonly byKey = $derived(
    new Map<string, Formable>(
      [...(this.pack?.blanks ?? []), ...(this.pack?.pieces ?? [])].map((p) => [p.key, p]),
    ),
  )
  readonly counts = $derived(countOf(this.state))
  /** What the machine is to form, and what of it waits. */
  private readonly formables = $derived([...this.byKey.values()].filter((p) => p.setup))
  readonly formable = $derived(this.formables.length)
  readonly toForm = $derived(
    this.formables.filter((p) => this.state.pieces.get(p.key)?.place === 'waiting').length,
  )
  readonly unsent = $derived(this.marks.filter((m) => m.sent !== 1))
  readonly left = $derived(this.pack ? feetLeft(this.pack, this.all) : new Map<string, number>())

  private shelf!: Shelf
  private device = ''
  private row: KeptJob | undefined
  private timer: ReturnType<typeof setInterval> | undefined
  private soon: ReturnType<typeof setTimeout> | undefined
  private busy = false
  private again = false
  private highest = 0
  private cursor = ''
  /** Marks that are with the office found no room here: the kept cursor waits for them. */
  private behind = false
  /** Photos that found no room on the phone: kept as long as the page is open. */
  private loose = new Map<string, KeptPhoto>()
  private readonly others = new BroadcastChannel('coilwright-site')

  constructor(
    readonly job: string,
    scheme = '',
  ) {
    this.scheme = scheme
  }

  /** Null while there is no pack. */
  get work(): Job | undefined {
    const { pack, state, byKey, left, recut } = this
    return pack && { pack, state, byKey, left, recut }
  }
  /** This phone's last mark of some kinds that still stands: what a tap too many takes back. */
  last(...kinds: Kind[]): Mark | undefined {
    const gone = takenBack(merge(this.all.filter((m) => m.kind === 'withdrawn')))
    let found: Mark | undefined
    for (const { mark: m } of this.marks)
      if (
        m.device === this.device &&
        kinds.includes(m.kind) &&
        !gone.has(m.id) &&
        !(found && compare(found, m) > 0)
      )
        found = m
    return found
  }
  takeBack(m: Mark): void {
    this.mark({ kind: 'withdrawn', piece: m.id, note: m.note })
  }
  get all(): Mark[] {
    return this.marks.map((m) => m.mark)
  }
  piece(key: string): SitePiece | undefined {
    return this.pieces.get(key)
  }
  wall(id: string): PackWall | undefined {
    return this.pack?.walls.find((w) => w.id === id)
  }

  /** What lies on the phone first; the office is asked after that. */
  async open(): Promise<void> {
    try {
      this.shelf = await kept.openShelf()
      this.device = await deviceOf(this.shelf)
      this.by = (await this.shelf.get('phone', 'by')) ?? ''
      const [day, degrees] = ((await this.shelf.get('phone', 'temp')) ?? '').split(' ')
      if (day === today()) this.temp = Number(degrees)
      const row = await this.shelf.get('jobs', this.job)
      this.marks = await kept.marksOf(this.shelf, this.job)
      if (row && (!this.scheme || row.scheme === this.scheme)) this.has(row)
      this.cursor = this.row?.cursor ?? ''
      this.reckon()
      await this.countPhotos()
    } catch (e) {
      this.failed = `This browser keeps nothing on the phone (${(e as Error).message}). Leave private mode, or free some room.`
      return
    }
    void navigator.storage?.persist?.()
    addEventListener('online', this.wake)
    document.addEventListener('visibilitychange', this.wake)
    addEventListener('pagehide', this.leave)
    this.others.addEventListener('message', this.heard)
    this.timer = setInterval(this.wake, 20_000)
    await this.sync()
  }

  close(): void {
    removeEventListener('online', this.wake)
    document.removeEventListener('visibilitychange', this.wake)
    removeEventListener('pagehide', this.leave)
    clearInterval(this.timer)
    clearTimeout(this.soon)
    this.others.close()
    this.shelf?.close()
  }

  private readonly wake = () => {
    if (document.visibilityState === 'visible' || this.unsent.length) void this.sync()
    if (document.visibilityState !== 'visible') this.leave()
  }
  /** What waits is sent by the browser when there is network, whether or not this page is open. */
  private readonly leave = () => {
    if (this.unsent.length) void sendLater()
  }
  private readonly heard = (e: MessageEvent<string>) => {
    if (e.data === this.job) void this.reread()
  }
  private async reread(): Promise<void> {
    const row = await this.shelf.get('jobs', this.job)
    if (row && row.revision !== this.row?.revision) this.has(row)
    const rows = new Map(this.marks.map((m) => [m.key, m]))
    for (const m of await kept.marksOf(this.shelf, this.job)) rows.set(m.key, m)
    this.took([...rows.values()])
  }

  private has(row: KeptJob): void {
    this.row = row
    this.scheme = row.scheme
    this.pack = kept.packOf(row)
    this.taken = row.taken
    this.clock = row.clock
    this.putBack = row.putBack ?? ''
    this.recut = row.recut ? (JSON.parse(row.recut) as Recut) : undefined
  }

  private took(marks: KeptMark[]): void {
    this.marks = marks
    this.reckon()
  }
  private reckon(): void {
    const all = this.all
    this.state = stateOf([...this.byKey.keys()], all)
    this.highest = nextCount(all) - 1
  }

  /** The temperature at the wall, typed today; else what the plan was made for. */
  temp = $state<number>()
  async feels(fahrenheit: number): Promise<void> {
    this.temp = fahrenheit
    await this.shelf.put('phone', `${today()} ${fahrenheit}`, 'temp')
  }

  async call(name: string): Promise<void> {
    this.by = name.trim()
    await this.shelf.put('phone', this.by, 'by')
  }

  /** Marks: shown at once, kept next, sent soon. */
  mark(said: Said): Mark {
    const { photo, ...rest } = said
    const id = drawn()
    const mark: Mark = {
      ...rest,
      text: rest.text && whole(rest.text),
      note: rest.note && whole(rest.note),
      id,
      count: ++this.highest,
      device: this.device,
      by: whole(this.by),
      at: new Date().toISOString(),
      ...(photo && { photo: `${id}.jpg` }),
      ...(rest.kind === 'formed' && this.pieces.has(rest.piece) && { cut: this.pieces.get(rest.piece)!.cut }),
    }
    const row: KeptMark = { key: kept.markKey(this.job, id), job: this.job, mark, sent: 0 }
    this.marks = [...this.marks, row]
    if (mark.kind === 'withdrawn') this.reckon()
    else this.state = added(this.state, mark)
    void this.put(row, photo)
    return mark
  }

  private async put(row: KeptMark, photo?: Blob): Promise<void> {
    await this.keep([row])
    if (photo) await this.keepPhoto({ name: row.mark.photo!, job: this.job, blob: photo, sent: 0 })
    this.others.postMessage(this.job)
    clearTimeout(this.soon)
    this.soon = setTimeout(() => void this.sync(), 60) // after the paint
  }

  private async keep(rows: KeptMark[]): Promise<void> {
    try {
      await kept.keepMarks(this.shelf, rows)
      reserve.drop(rows)
      if (!this.behind && !this.loose.size) this.full = ''
    } catch (e) {
      this.aside(rows, e)
    }
  }

  /** Where the shelf is full: what nobody else has goes to the reserve, the rest is fetched again. */
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
  private async catchUp(): Promise<void> {
    if (!this.behind) return
    try {
      await kept.keepMarks(this.shelf, $state.snapshot(this.marks))
      reserve.drop(this.marks)
      this.behind = false
      this.full = ''
    } catch {
      // still full; it is said already
    }
  }

  private async keepPhoto(p: KeptPhoto): Promise<void> {
    try {
      await this.shelf.put('photos', p)
    } catch {
      this.loose.set(p.name, p)
      this.full =
        'The phone is full: the mark is kept, its photo is only on this open page. Leave it open until it is sent.'
    }
    await this.countPhotos()
  }
  private async countPhotos(): Promise<void> {
    const waiting = (await kept.photosOf(this.shelf, this.job)).filter((p) => !p.sent)
    this.photosWaiting = waiting.length + this.loose.size
  }

  /** Sends what waits, takes what others marked, and the newest plan. One at a time. */
  async sync(): Promise<void> {
    if (this.busy) {
      this.again = true
      return
    }
    this.busy = true
    this.line = 'sending'
    try {
      await this.catchUp()
      await this.swap()
      await this.renew()
      await this.sendPhotos()
      this.line = 'sent'
      this.refusal = ''
    } catch (e) {
      this.stopped(e)
    }
    this.busy = false
    if (!this.again) return
    this.again = false
    if (this.line === 'sent') await this.sync()
  }

  private stopped(e: unknown): void {
    if (e instanceof Silence) {
      this.line = 'silent'
      if (this.unsent.length) void sendLater()
    } else if (e instanceof Refusal && e.status === 401) this.line = 'signed-out'
    else {
      this.line = 'refused'
      this.refusal = e instanceof Refusal ? e.said : (e as Error).message
    }
    if (!this.pack && this.line === 'refused') this.failed = this.refusal
  }

  private async swap(): Promise<void> {
    const begun = this.cursor
    const strangers: Mark[] = []
    await exchange({
      device: this.device,
      cursor: begun,
      marks: () => this.marks,
      ask: (body) => send.marks(this.job, { ...body, ...(this.scheme && { scheme: this.scheme }) }),
      take: async (rows, out) => {
        const now = new Map(this.marks.map((m) => [m.mark.id, m]))
        if (begun && !out.restart)
          strangers.push(...rows.map((r) => r.mark).filter((m) => m.device === this.device && !now.has(m.id)))
        for (const r of rows) now.set(r.mark.id, r)
        this.took([...now.values()])
        await this.keep(rows)
        this.clock = out.clock.text
        if (out.told.length) this.told = out.told
        this.cursor = out.cursor
        await this.rowIs({ clock: out.clock.text, ...(!this.behind && { cursor: out.cursor }) })
      },
      job: this.job,
    })
    if (strangers.length) await this.wasPutBack(strangers)
  }

  /** Marks of this very phone that it does not know: it stands where it stood some time ago. */
  private async wasPutBack(marks: Mark[]): Promise<void> {
    this.putBack = putBackText(marks, saidKind)
    this.device = await deviceOf(this.shelf, true) // the other copy of it may still be in use
    await this.rowIs({ putBack: this.putBack })
  }
  async knowsPutBack(): Promise<void> {
    this.putBack = ''
    await this.rowIs({ putBack: undefined })
  }

  private async rowIs(change: Partial<KeptJob>): Promise<void> {
    if (!this.row) return
    this.row = { ...this.row, ...change }
    await this.shelf.put('jobs', this.row).catch(() => {
      this.full = 'The phone is full: marks are kept, but the newest plan is not. Free some room.'
    })
  }

  /** The newest pack, and what it changes for the crew. */
  private async renew(): Promise<void> {
    if (!this.scheme) this.scheme = await send.firstScheme(this.job)
    const here = this.row?.scheme === this.scheme ? this.row : undefined
    const known = here?.revision
    const newest = await send.pack(this.job, this.scheme, here?.tag)
    if (newest === undefined) return
    const { text, tag } = newest
    const pack = JSON.parse(text) as Pack
    const row: KeptJob = {
      id: this.job,
      title: pack.title,
      scheme: pack.scheme,
      revision: pack.revision,
      taken: new Date().toISOString(),
      pack: text,
      tag,
      cursor: this.behind ? (this.row?.cursor ?? '') : this.cursor,
      clock: this.clock,
      putBack: this.putBack || undefined,
    }
    if (known !== undefined && known !== pack.revision) await this.compare(known)
    this.has(row)
    this.reckon()
    await this.rowIs({})
  }
  private async compare(from: number): Promise<void> {
    this.news = await send.difference(this.job, this.scheme, from).catch((e) => {
      if (e instanceof Silence) throw e
      return undefined
    })
  }

  private async sendPhotos(): Promise<void> {
    const waiting = (await kept.photosOf(this.shelf, this.job)).filter((p) => !p.sent)
    for (const p of [...waiting, ...this.loose.values()]) {
      await send.photo(this.job, p.name, p.blob)
      this.loose.delete(p.name)
      await this.shelf.put('photos', { ...p, sent: 1 }).catch(() => this.shelf.delete('photos', p.name))
      await this.countPhotos()
    }
  }

  /** After a spoiled piece: what is left on the reels is planned anew, where the office answers. */
  async plan(): Promise<void> {
    await this.sync()
    if (this.line !== 'sent') return
    try {
      this.recut = await send.recut(this.job, this.scheme, [])
      await this.rowIs({ recut: JSON.stringify(this.recut) })
    } catch (e) {
      if (!(e instanceof Silence)) this.stopped(e)
    }
  }
}
