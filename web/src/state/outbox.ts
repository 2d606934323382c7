// Edits on their way to the server, in order. One is sent at a time; what could not be
// sent stays and is sent again, so nothing that a person typed is lost.

import { Refusal, Silence } from '../api/refusal'
import { pauses } from './again'
import type { Act, Build, Unsent } from './unsent'

export interface Edit {
  what: string
  send: () => Promise<void>
  /** How the edit can be built again, without the server. */
  build?: Build
  /** What it asks the server to do, where it is no patch. */
  act?: Act
  /** The edit as an earlier page kept it. */
  kept?: Unsent
}
interface Waiting extends Edit {
  done: () => void
  failed: (why: unknown) => void
}
export type Trouble = { kind: 'silence' } | { kind: 'refused'; edit: Edit; refusal: Refusal } | undefined

export class Outbox {
  private waiting: Waiting[] = []
  private busy = false
  private over = false
  private pause = pauses()
  private turn = 0

  /** aside is told of edits that cannot be sent again, and of none that its field has back. */
  constructor(
    private readonly changed: (count: number, trouble: Trouble) => void,
    private readonly aside: (edits: Edit[], why: Refusal) => void = () => {},
  ) {}

  get count(): number {
    return this.waiting.length
  }

  get edits(): readonly Edit[] {
    return this.waiting
  }

  /** Resolves when the edit is saved or given up, rejects when the server refuses it. */
  put(edit: Edit): Promise<void> {
    const settled = new Promise<void>((done, failed) => {
      this.waiting.push({ ...edit, done, failed })
    })
    this.changed(this.count, undefined)
    void this.run()
    return settled
  }

  /** Sends what waits, oldest first, until all is gone or something stands in the way. */
  async run(): Promise<void> {
    if (this.busy || this.over) return
    this.busy = true
    this.turn++
    let trouble: Trouble
    while (this.waiting.length && !trouble && !this.over) trouble = await this.one(this.waiting[0]!)
    this.busy = false
    if (this.over) return // what still waits is as it was when the page left
    this.changed(this.count, trouble)
    if (trouble && again(trouble)) void this.again()
    else if (trouble && this.count && !keptBack(trouble)) void this.run()
  }

  private async one(edit: Waiting): Promise<Trouble> {
    try {
      await edit.send()
    } catch (e) {
      return this.stopped(edit, e)
    }
    this.pause = pauses()
    this.leaves(edit)
    edit.done()
    this.changed(this.count, undefined)
    return undefined
  }

  /** Silence, a conflict or a lost sign-in keep the edit; anything else ends its way. */
  private stopped(edit: Waiting, e: unknown): Trouble {
    if (!this.waiting.includes(edit)) return undefined // it was put aside meanwhile
    if (e instanceof Silence) return { kind: 'silence' }
    const refusal = e instanceof Refusal ? e : new Refusal(0, 'The page itself failed', String(e))
    if (groundless(refusal)) this.setAside(this.waiting.length, refusal)
    else if (!keeps(refusal) && edit.kept) this.setAside(1, refusal)
    else if (!keeps(refusal)) this.waiting.shift()!.failed(refusal)
    return { kind: 'refused', edit, refusal }
  }

  private leaves(edit: Waiting): void {
    this.waiting = this.waiting.filter((w) => w !== edit)
  }

  /** The first so many edits leave the line, to be had elsewhere. */
  setAside(many: number, why: Refusal): void {
    const edits = this.waiting.splice(0, many)
    this.aside(edits, why)
    for (const edit of edits) edit.done()
    this.changed(this.count, undefined)
  }

  /** Gives the edit at the head up, for instance because theirs is kept. */
  drop(): void {
    this.waiting.shift()?.done()
    this.changed(this.count, undefined)
  }

  private async again(): Promise<void> {
    const { turn } = this
    await this.pause()
    if (turn === this.turn) await this.run()
  }

  /** Sends nothing more. Of an edit under way only its success is told: then it waits no longer. */
  stop(): void {
    this.over = true
  }
}

const keeps = ({ status, conflicts }: Refusal) =>
  status === 401 || status >= 500 || (status === 409 && conflicts.length > 0)
/** What the edits were made for is not there any more: none of those that wait can be sent. */
const groundless = ({ status }: Refusal) => status === 412 || status === 404
const again = (t: NonNullable<Trouble>) => t.kind === 'silence' || t.refusal.status >= 500
const keptBack = (t: NonNullable<Trouble>) => t.kind === 'silence' || keeps(t.refusal)
