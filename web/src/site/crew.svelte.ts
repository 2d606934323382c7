// One job on a crew's phone: its pack, its marks, and the way between the phone and the
// office. Whatever is marked shows at once, lies on the phone next, and is sent when it can.

import { passes, Refusal, wordsOf } from '../api/refusal'
import { drawn } from '../state/store'
import * as kept from './kept'
import { deviceOf, type KeptJob, type KeptMark } from './kept'
import { putBackText, sendLater } from './putback'
import { feetLeft } from './reels'
import { Room } from './room.svelte'
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
import { type Job, sameRun, waits } from './work'

export type Line = 'new' | 'sending' | 'sent' | 'silent' | 'signed-out' | 'refused'
export interface Said {
  kind: Kind
  piece: string
  text?: string
  note?: string
  photo?: Blob
  /** The name of a photo that was marked before, which this says more of. */
  shown?: string
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
  /** What a person should know: the clock, what was refused. */
  clock = $state('')
  refusal = $state('')
  told = $state.raw<Told[]>([])
  /** What is known of marks that this phone lost. */
  putBack = $state('')
  news = $state.raw<Difference>()
  recut = $state.raw<Recut>()
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
  readonly toForm = $derived(this.formables.filter((p) => waits(this.state, p.key)).length)
  readonly unsent = $derived(this.marks.filter((m) => m.sent !== 1))
  readonly left = $derived(this.pack ? feetLeft(this.pack, this.all) : new Map<string, number>())

  readonly room: Room
  private device = ''
  private row: KeptJob | undefined
  private timer: ReturnType<typeof setInterval> | undefined
  private soon: ReturnType<typeof setTimeout> | undefined
  private running: Promise<void> | undefined
  private again = false
  private closed = false
  /** Marks that are being kept. */
  private readonly keeping = new Set<Promise<void>>()
  private highest = 0
  private cursor = ''
  private readonly others = new BroadcastChannel('coilwright-site')

  constructor(
    readonly job: string,
    scheme = '',
  ) {
    this.scheme = scheme
    this.room = new Room(job)
  }

  /** Nothing while there is no pack. */
  get work(): Job | undefined {
    const { pack, state, byKey, left, recut } = this
    return pack && { pack, state, byKey, left, recut }
  }
  /** This phone's last mark of a sort that still stands: what a tap too many takes back. */
  last(fits: (m: Mark) => boolean): Mark | undefined {
    const gone = takenBack(merge(this.all.filter((m) => m.kind === 'withdrawn')))
    let found: Mark | undefined
    for (const { mark: m } of this.marks)
      if (m.device === this.device && fits(m) && !gone.has(m.id) && !(found && compare(found, m) > 0))
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
      await this.room.open()
      const { shelf } = this.room
      this.device = await deviceOf(shelf)
      this.by = (await shelf.get('phone', 'by')) ?? ''
      const [day, degrees] = ((await shelf.get('phone', 'temp')) ?? '').split(' ')
      if (day === today()) this.temp = Number(degrees)
      const row = await shelf.get('jobs', this.job)
      this.marks = await kept.marksOf(shelf, this.job)
      await this.room.countPhotos()
      if (row && (!this.scheme || row.scheme === this.scheme)) this.has(row)
      this.cursor = this.row?.cursor ?? ''
      this.reckon()
    } catch (e) {
      this.failed = `This browser keeps nothing on the phone (${(e as Error).message}). Leave private mode, or free some room.`
      return
    }
    if (this.closed) return this.room.close()
    void navigator.storage?.persist?.()
    addEventListener('online', this.wake)
    document.addEventListener('visibilitychange', this.wake)
    addEventListener('pagehide', this.leave)
    this.others.addEventListener('message', this.heard)
    this.timer = setInterval(this.wake, 20_000)
    await this.sync()
  }

  /** The page leaves the job: what is being kept or sent comes to its end first. */
  async close(): Promise<void> {
    this.closed = true
    removeEventListener('online', this.wake)
    document.removeEventListener('visibilitychange', this.wake)
    removeEventListener('pagehide', this.leave)
    clearInterval(this.timer)
    clearTimeout(this.soon)
    await Promise.all([...this.keeping, this.running])
    this.others.close()
    this.room.close()
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
    const { shelf } = this.room
    const row = await shelf.get('jobs', this.job)
    if (row && (row.tag !== this.row?.tag || row.recut !== this.row?.recut)) this.has(row)
    const lying = await kept.marksOf(shelf, this.job)
    const rows = new Map(lying.map((m) => [m.key, m]))
    for (const m of this.marks) {
      const other = rows.get(m.key) // what was marked or sent here meanwhile is not undone
      if (!other || m.sent === 1) rows.set(m.key, m)
    }
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
    await this.room.shelf.put('phone', `${today()} ${fahrenheit}`, 'temp')
  }

  async call(name: string): Promise<void> {
    this.by = name.trim()
    await this.room.shelf.put('phone', this.by, 'by')
  }

  /** Marks: shown at once, kept next, sent soon. */
  mark(said: Said): Mark {
    const { photo, shown, ...rest } = said
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
      ...(shown && { photo: shown }),
      ...(rest.kind === 'formed' && this.pieces.has(rest.piece) && { cut: this.pieces.get(rest.piece)!.cut }),
    }
    const row: KeptMark = { key: kept.markKey(this.job, id), job: this.job, mark, sent: 0 }
    this.marks = [...this.marks, row]
    if (mark.kind === 'withdrawn') this.reckon()
    else this.state = added(this.state, mark)
    const keeping = this.put(row, photo)
    this.keeping.add(keeping)
    void keeping.finally(() => this.keeping.delete(keeping))
    return mark
  }

  private async put(row: KeptMark, photo?: Blob): Promise<void> {
    await this.room.keep([row])
    if (photo) await this.room.keepPhoto({ name: row.mark.photo!, job: this.job, blob: photo, sent: 0 })
    this.others.postMessage(this.job)
    clearTimeout(this.soon)
    if (this.closed) return // the next page of the job hears of it, and sends it
    this.soon = setTimeout(() => void this.sync(), 60) // after the paint
  }

  /** Sends what waits, takes what others marked, and the newest plan. One at a time: asked meanwhile,
      it is done once more, and over when that is. */
  sync(): Promise<void> {
    this.again = true
    this.running ??= this.rounds()
    return this.running
  }
  private async rounds(): Promise<void> {
    do {
      this.again = false
      await this.round()
    } while (this.again && this.line === 'sent' && !this.closed)
    this.running = undefined
  }
  private async round(): Promise<void> {
    this.line = 'sending'
    try {
      await this.room.catchUp(this.marks)
      await this.swap()
      await this.renew()
      await this.sendPhotos()
      this.line = 'sent'
      this.refusal = ''
    } catch (e) {
      this.stopped(e)
    }
  }

  private stopped(e: unknown): void {
    if (passes(e)) {
      this.line = 'silent'
      if (this.unsent.length) void sendLater()
    } else if (e instanceof Refusal && e.status === 401) this.line = 'signed-out'
    else {
      this.line = 'refused'
      const [fault] = (e instanceof Refusal ? e.problems : []) as { what: string }[]
      this.refusal = fault ? `The office has a fault of this house to mend first: ${fault.what}.` : wordsOf(e)
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
        if (begun && !out.restart) strangers.push(...(await this.lost(rows.map((r) => r.mark))))
        const now = new Map(this.marks.map((m) => [m.mark.id, m]))
        for (const r of rows) now.set(r.mark.id, r)
        this.took([...now.values()])
        await this.room.keep(rows)
        this.clock = out.clock.text
        if (out.told.length) this.told = out.told
        this.cursor = out.cursor
        await this.rowIs({ clock: out.clock.text, ...(!this.room.behind && { cursor: out.cursor }) })
      },
      job: this.job,
    })
    if (strangers.length) await this.wasPutBack(strangers)
  }

  /** Those of this very phone that lie nowhere on it: another of its pages may have made some. */
  private async lost(marks: Mark[]): Promise<Mark[]> {
    const known = new Set(this.all.map((m) => m.id))
    const strange = marks.filter((m) => m.device === this.device && !known.has(m.id))
    if (!strange.length) return []
    const lying = new Set((await kept.marksOf(this.room.shelf, this.job)).map((m) => m.mark.id))
    return strange.filter((m) => !lying.has(m.id))
  }

  /** Marks of this very phone that it does not know: it stands where it stood some time ago. */
  private async wasPutBack(marks: Mark[]): Promise<void> {
    this.putBack = putBackText(marks, saidKind)
    this.device = await deviceOf(this.room.shelf, true) // the other copy of it may still be in use
    await this.rowIs({ putBack: this.putBack })
  }
  async knowsPutBack(): Promise<void> {
    this.putBack = ''
    await this.rowIs({ putBack: undefined })
  }

  private async rowIs(change: Partial<KeptJob>): Promise<void> {
    if (!this.row) return
    this.row = { ...this.row, ...change }
    await this.room.keepJob(this.row)
  }

  /** The newest pack, and what it changes for the crew. */
  private async renew(): Promise<void> {
    if (!this.scheme) this.scheme = await send.firstScheme(this.job)
    const here = this.row?.scheme === this.scheme ? this.row : undefined
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
      cursor: this.room.behind ? (this.row?.cursor ?? '') : this.cursor,
      clock: this.clock,
      recut: here?.recut && (await this.planFor(pack, here.recut)),
      putBack: this.putBack || undefined,
    }
    if (here && here.revision !== pack.revision) await this.compare(here.revision)
    this.has(row)
    this.reckon()
    await this.rowIs({})
    this.others.postMessage(this.job)
  }
  /** The plan after spoiled pieces, under a newer pack: as it is where the run is, else made anew. */
  private async planFor(pack: Pack, recut: string): Promise<string | undefined> {
    if (this.pack && sameRun(this.pack, pack)) return recut
    return send.recut(this.job, this.scheme, []).then(JSON.stringify, (e) => {
      if (passes(e)) throw e
      return undefined
    })
  }
  private async compare(from: number): Promise<void> {
    this.news = await send.difference(this.job, this.scheme, from).catch((e) => {
      if (passes(e)) throw e
      return undefined
    })
  }

  private async sendPhotos(): Promise<void> {
    for (const p of await this.room.photos()) {
      await send.photo(this.job, p.name, p.blob)
      await this.room.photoIsSent(p)
    }
  }

  /** After a spoiled piece: what is left on the reels is planned anew, where the office answers. */
  async plan(): Promise<void> {
    await this.sync()
    if (this.line !== 'sent') return
    try {
      this.recut = await send.recut(this.job, this.scheme, [])
      await this.rowIs({ recut: JSON.stringify(this.recut) })
      this.others.postMessage(this.job)
    } catch (e) {
      if (!passes(e)) this.stopped(e)
    }
  }
}
