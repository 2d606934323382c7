// One open job: the document as this page has it, what the server worked out from it,
// and the edits on their way.

import * as api from '../api/calls'
import type { Stage } from '../api/client'
import { passes, Refusal, wordsOf } from '../api/refusal'
import type { HouseView, JobDoc, Layout, Problem } from '../api/types'
import { applied } from '../house/patch'
import { pauses } from './again'
import { type Aside, AsideShelf } from './aside'
import { live } from './live'
import { type Edit, Outbox, type Trouble } from './outbox'
import { joinedLayout, joinedView } from './parts'
import { type Act, type Build, frameOf, putDown, resolved, tabName, type Unsent, UnsentShelf } from './unsent'

export interface Tally {
  pieces: number
  coil_ft: number
  of_coil: boolean
  squares: number
  slivers: number
  warnings: number
}

export class OpenJob {
  id: string
  title = $state('')
  stage = $state('visit')
  revision = $state(0)
  /** Names that revision with its document. */
  private tag = ''
  document = $state.raw<JobDoc | undefined>()
  view = $state.raw<HouseView | undefined>()
  problems = $state.raw<Problem[]>([])
  layout = $state.raw<Layout | undefined>()
  /** The layout is of an earlier state, because this one cannot be laid out. */
  stale = $state(false)
  scheme = $state('')
  before = $state.raw<Tally | undefined>()
  waiting = $state(0)
  trouble = $state.raw<Trouble>()
  news = $state('')
  failed = $state('')
  readonly outbox = new Outbox(
    (count, trouble) => this.noted(count, trouble),
    (edits, why) => this.setAside(edits, why),
  )
  /** Edits that the server cannot take any more: the person decides. */
  aside = $state.raw<Aside[]>([])
  private readonly asideShelf: AsideShelf
  private puttingAside: Promise<void> = Promise.resolve()
  /** The revision that view and layout are of; 0 where the layout is of an earlier state. */
  private holds = 0
  /** Every edit that waits is kept in the browser too: the page may be closed. */
  safe = $state(false)
  private readonly shelf: UnsentShelf
  private shelving: ReturnType<typeof setTimeout> | undefined
  private shelved = 0
  private deaf = () => {}
  private noticed: ReturnType<typeof setTimeout> | undefined
  /** The newest event that came while an edit waited. */
  private missed: api.News | undefined
  private closed = false

  /** who is the person whose edits these are. */
  constructor(
    id: string,
    scheme = '',
    readonly who = '',
  ) {
    this.id = id
    this.scheme = scheme
    this.shelf = new UnsentShelf(id, localStorage, who, tabName(sessionStorage))
    this.asideShelf = new AsideShelf(id, localStorage, who)
    this.aside = this.asideShelf.list()
  }

  /** The house cannot stand as it is: nothing follows from it, which is said once. */
  get faulty(): boolean {
    return this.problems.some((p) => p.severity === 'error')
  }
  /** Nothing was entered yet: what is missing is no fault. */
  get empty(): boolean {
    return this.view?.walls.length === 0 && this.problems.filter((p) => p.severity === 'error').length <= 1
  }
  get tally(): Tally | undefined {
    const l = this.layout
    return l ? tallyOf(l, this.problems.length) : undefined
  }
  private get asked(): api.Asked {
    return { who: this.who, scheme: this.scheme, holds: this.layout?.scheme === this.scheme ? this.holds : 0 }
  }
  get schemeAt(): number {
    return Math.max(0, this.document?.schemes.findIndex((s) => s.id === this.scheme) ?? 0)
  }

  async open(): Promise<void> {
    try {
      await this.fetch()
      if (this.closed) return
      this.listen()
      this.goOn()
    } catch (e) {
      this.failed = wordsOf(e)
    }
  }

  /** The job as the server has it now. */
  async fetch(): Promise<void> {
    await this.show(await api.job(this.id))
  }

  /** What the job is now, unless an edit’s answer has brought a newer state of what is shown. */
  private async show(job: api.JobAnswer): Promise<void> {
    if (this.document && job.revision < this.revision) return
    this.title = job.title
    this.stage = job.stage
    this.revision = job.revision
    this.tag = job.tag
    this.document = job.document
    this.view = job.view
    this.problems = job.problems ?? []
    if (!job.document.schemes.some((s) => s.id === this.scheme))
      this.scheme = job.document.schemes[0]?.id ?? ''
    await this.layAtLast()
  }

  /** Asks a silent server again and again: what is shown until then is marked as stale. */
  private async layAtLast(): Promise<void> {
    const pause = pauses()
    for (const { scheme } = this; !this.closed && scheme === this.scheme; ) {
      try {
        return await this.lay()
      } catch (e) {
        if (!passes(e)) throw e
        this.stale = true
        await pause()
      }
    }
  }

  async lay(): Promise<void> {
    const { revision, scheme } = this
    if (!scheme) return this.laid(undefined)
    const layout = await api.layout(this.id, scheme).catch((e) => {
      if (passes(e) || !(e instanceof Refusal)) throw e
      return undefined
    })
    if (scheme !== this.scheme) return // another was chosen meanwhile, and asked for
    if (revision === this.revision) this.laid(layout)
    else if (this.layout?.scheme !== scheme) await this.lay() // an edit's answer was of the scheme before
  }

  /** An answer without a layout that can be shown: the layout is asked for by itself. */
  private laidAnew(): void {
    this.holds = 0
    void this.layAtLast().catch(() => {})
  }

  private laid(layout: Layout | undefined): void {
    this.stale = !layout
    this.holds = layout ? this.revision : 0
    if (!layout) return
    this.layout = layout
    this.problems = merged(this.problems, [
      ...(layout.warnings ?? []),
      ...pieceWarnings(layout, this.schemeAt),
    ])
  }

  async choose(scheme: string): Promise<void> {
    if (scheme === this.scheme) return
    this.scheme = scheme
    this.before = undefined
    await this.layAtLast()
  }

  /** Puts an edit on its way. The page shows it at once where it can. */
  change(what: string, build: Build): Promise<void> {
    return this.outbox.put({ what, build, send: () => this.send(what, build) })
  }

  /** Puts what an earlier page could not send on its way. */
  private goOn(): void {
    const list = this.shelf.take()
    // The first may have been sent without an answer: for its own revision it is not done twice.
    for (const [i, kept] of list.entries()) this.putKept(kept, i ? undefined : kept.base)
    const others = this.shelf.others()
    if (others.length)
      this.tell(`Kept in this browser until they sign in here: edits by ${others.join(', ')}`)
  }

  /** Nothing that was typed is lost: what the server cannot take is kept as it was made. */
  private setAside(edits: Edit[], refusal: Refusal): void {
    const { document: doc, view, tag } = this
    const why = lostGround[refusal.status] ?? refusal.said
    const at = Date.now()
    const list = doc && view ? putDown(edits, doc, view, tag) : Promise.reject(new Error('no job yet'))
    const words = () => [{ what: edits.map((e) => e.what), base: '', frame: '', patch: [], sums: [] }]
    this.puttingAside = Promise.all([list.catch(words), this.puttingAside]).then(([all]) => {
      this.asideShelf.add(all.filter(outlasts).map((kept) => ({ kept, why, at })))
      this.aside = this.asideShelf.list()
    })
  }

  get asideSafe(): boolean {
    return !this.aside.length || this.asideShelf.safe
  }

  /** The edit has its places in the job as it is now. */
  fits({ kept }: Aside): boolean {
    return Boolean(kept.act || (this.document && kept.frame === frameOf(this.document)))
  }

  /** Puts an edit that was put aside on its way again, onto the job as it is now. */
  doAgain(one: Aside): void {
    this.letGo(one)
    this.putKept({ ...one.kept, base: this.tag })
    void this.shelve()
  }

  letGo(one: Aside): void {
    this.asideShelf.take(one)
    this.aside = this.asideShelf.list()
  }

  private putKept(kept: Unsent, base?: string): void {
    const send = () => (kept.act ? this.carryOut(kept.act, base) : this.sendKept(kept))
    this.outbox.put({ what: kept.what.join('; '), kept, send }).catch(() => {}) // it was told
  }

  private async sendKept(kept: Unsent): Promise<void> {
    const { document: doc } = this
    if (!doc) return
    const patch = await resolved(kept, (sums) => api.sums(doc.units ?? 'imperial', sums))
    const next = kept.base === this.tag ? applied(doc, patch) : undefined
    const what = kept.what.join('; ').slice(0, 300)
    const { asked } = this
    const answer = await api.change(this.id, kept.base, asked, what, patch)
    this.took(answer, answer.document ?? next ?? (await api.job(this.id)).document, this.tally, asked)
    this.tell(`Kept in this browser, now saved: ${what}`)
  }

  /** Keeps what waits in the browser. */
  private async shelve(): Promise<void> {
    clearTimeout(this.shelving)
    this.shelving = undefined
    const turn = ++this.shelved
    try {
      const { document: doc, view, tag } = this
      if (!doc || !view) return
      const list = await putDown([...this.outbox.edits], doc, view, tag)
      await this.puttingAside // before it leaves its place here
      if (turn !== this.shelved) return
      this.shelf.put(list)
      this.safe = true
    } catch {
      if (turn === this.shelved) this.safe = false // the page then asks before it is left
    }
  }

  /** What waits longer than a moment, or has met trouble, is kept. */
  private keepUnsent(count: number, trouble: Trouble): void {
    if (!count || trouble) return void this.shelve()
    this.safe = false
    this.shelving ??= setTimeout(() => void this.shelve(), 300)
  }

  /** The same for a button, which has no field to show a refusal in: it is told instead. */
  do(what: string, build: Build): void {
    this.change(what, build).catch(() => {})
  }

  private async send(what: string, build: Build): Promise<void> {
    const { document: doc, view, revision, tag } = this
    if (!doc || !view) return
    const units = doc.units ?? 'imperial'
    const patch = await build(doc, view, (sums) => api.sums(units, sums))
    if (!patch.length) return
    const before = this.tally
    const next = applied(doc, patch)
    const { asked } = this
    const answer = await api.change(this.id, tag, asked, what, patch)
    this.took(answer, answer.document ?? next, before, asked)
    // The next revision is this edit's own, which may have come before without an answer.
    if (answer.merged && answer.revision > revision + 1)
      this.tell('Somebody else changed this job too: both changes are in.')
  }

  private took(
    answer: api.ChangeAnswer,
    document: JobDoc,
    before: Tally | undefined,
    asked: api.Asked,
  ): void {
    this.revision = answer.revision
    this.tag = answer.tag
    this.document = document
    this.title = document.title ?? this.title
    this.problems = answer.problems ?? []
    this.before = before
    const order = document.house.walls.map((w) => w.id)
    const { same } = answer
    if (answer.view) this.view = same && this.view ? joinedView(this.view, answer.view, order) : answer.view
    if (asked.scheme !== this.scheme) return this.laidAnew() // another was chosen since
    this.laid(
      same && answer.layout && this.layout
        ? joinedLayout(this.layout, answer.layout, same, order)
        : answer.layout,
    )
  }

  step(which: 'undo' | 'redo'): void {
    this.act(which, which)
  }

  move(stage: string): void {
    this.act(`Stage ${stage}`, { stage })
  }

  private act(what: string, act: Act): void {
    this.outbox.put({ what, act, send: () => this.carryOut(act) }).catch(() => {}) // it was told
  }

  private async carryOut(act: Act, base?: string): Promise<void> {
    if (typeof act === 'object') {
      const moved = await api.setStage(this.id, this.who, act.stage as Stage)
      this.stage = act.stage
      if (moved.revision === this.revision + 1) {
        this.revision = moved.revision
        this.tag = moved.tag
      } else this.missed = { revision: moved.revision } // what lies between is not shown yet
      return
    }
    const before = this.tally
    const { asked } = this
    const answer = await api.step(this.id, base ?? this.tag, asked, act)
    this.took(answer, answer.document ?? (await api.job(this.id)).document, before, asked)
  }

  /** After a conflict: take what the other one wrote, put this edit on top of it, or put it aside. */
  async settle(keep: 'mine' | 'theirs' | 'neither'): Promise<void> {
    const [edit] = this.outbox.edits
    if (keep === 'theirs') this.outbox.drop()
    if (keep === 'neither') this.outbox.setAside(1, new Refusal(409, 'Somebody changed the same.', ''))
    this.trouble = undefined
    await this.fetch().catch(() => {}) // without an answer the edit meets the same again, or silence
    const kept = keep === 'mine' && edit?.kept
    if (kept && !kept.act && this.document) {
      if (frameOf(this.document) === kept.frame) kept.base = this.tag
      else this.outbox.setAside(1, new Refusal(409, 'Walls or zones came or went meanwhile.', ''))
    }
    await this.outbox.run()
  }

  private noted(count: number, trouble: Trouble): void {
    this.waiting = count
    this.trouble = trouble
    this.keepUnsent(count, trouble)
    if (!count) this.catchUp()
    if (trouble?.kind === 'refused' && !trouble.refusal.conflicts.length) this.tell(trouble.refusal.said)
    if (trouble?.kind === 'refused' && trouble.refusal.status === 422) void this.fetch().catch(() => {})
    if (trouble?.kind === 'refused' && trouble.refusal.status === 412) {
      const { kept } = trouble.edit // one of an earlier page may be no fault of what is shown
      void this.lookBack(!kept || kept.base === this.tag)
    }
  }

  tell(news: string): void {
    this.news = news
    clearTimeout(this.noticed)
    this.noticed = setTimeout(() => {
      this.news = ''
    }, 8000)
  }

  private listen(): void {
    this.deaf = live(this.id, ['revision'], (data, name) => {
      const event = data as api.News
      const same = event.revision === this.revision && event.tag === this.tag
      if (name === 'hello' && event.revision <= this.revision && !same) return void this.lookBack()
      this.missed = event
      if (!this.waiting) this.catchUp()
    })
  }

  /**
   * Where the server's data were put back to an older copy, shows what there is now: a smaller
   * revision, another one of the same number, or any, where what is shown was refused as a base.
   */
  private async lookBack(refused = false): Promise<void> {
    const { revision, tag } = this
    const job = await api.job(this.id).catch(() => undefined)
    if (this.closed || !job) return
    const other = job.revision < revision || (job.revision === revision && job.tag !== tag)
    if (!other && !refused) return // what came late was older, nothing else
    if (this.waiting) this.outbox.setAside(this.waiting, new Refusal(412, 'Older data', ''))
    this.revision = 0
    await this.show(job)
    this.tell('The server’s data were put back to an older copy: what was changed after it is gone.')
  }

  /** Shows what others did: where an edit waits, only once its answer has not. */
  private catchUp(): void {
    const event = this.missed
    this.missed = undefined
    if (!this.closed && event && event.revision > this.revision)
      void this.hear(event).catch(() => {
        this.missed ??= event // with the next news, or the next edit
      })
  }

  private async hear(event: api.News): Promise<void> {
    const job = await api.job(this.id)
    if (this.waiting) this.missed ??= event // an edit was typed meanwhile
    if (this.waiting || job.revision < this.revision) return
    await this.show(job)
    this.tell(`${event.by || 'Another page'}: ${event.what ?? 'changed this job'}`)
  }

  /** Keeps what waits; nothing more is sent from here, for another person may be signed in next. */
  close(): void {
    this.closed = true
    this.deaf()
    this.shelf.leave()
    if (this.waiting) void this.shelve()
    this.outbox.stop()
  }
}

/** Why nothing that was made for a job can be saved any more. */
const lostGround: Record<number, string> = {
  404: 'The job was put aside, or is not on the server any more.',
  412: 'The server does not have what this edit was made for: its data were put back to an older copy, or the job was changed 2,000 times since.',
}

/** An undo that has nothing left to take back is nothing that anybody could do again. */
const outlasts = ({ act }: Unsent) => !act || typeof act === 'object'

/** The title of the server's refusal: another person is signed in than made the edits. */
export const otherName = 'Somebody else is signed in'

/** What is doubtful about single pieces, each leading to its piece. */
function pieceWarnings(l: Layout, scheme: number): Problem[] {
  return l.pieces.flatMap((p) =>
    p.warnings.map((what) => ({
      severity: 'warning' as const,
      where: `/schemes/${scheme}`,
      what: `Piece ${p.number ?? p.id}, course ${p.course}: ${what}`,
      mend: 'Another datum, or another height of the zone, may do away with it.',
      wall: p.wall,
      scheme: l.scheme,
      piece: p.id,
    })),
  )
}

/** What reading and what the layout found, each once. */
function merged(a: Problem[], b: Problem[]): Problem[] {
  const key = (p: Problem) => `${p.where} ${p.what}`
  const known = new Set(a.map(key))
  return [...a, ...b.filter((p) => !known.has(key(p)))]
}

export function tallyOf(l: Layout, warnings: number): Tally {
  return {
    pieces: l.totals.pieces,
    coil_ft: l.totals.coil_ft ?? l.totals.panel_ft,
    of_coil: l.totals.coil_ft !== undefined,
    squares: l.totals.region_ft2 / 100,
    slivers: l.totals.slivers,
    warnings,
  }
}
