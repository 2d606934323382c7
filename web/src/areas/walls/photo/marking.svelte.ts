// One photo being marked: what is asked of the person, what they pointed at, and what
// the server makes of it. The job's document holds the marks; what is on its way to it
// stands here.

import { wordsOf } from '../../../api/refusal'
import type { Pt } from '../../../api/types'
import { freeName } from '../../../house/edits'
import { set } from '../../../house/patch'
import type { OpenJob } from '../../../state/job.svelte'
import * as api from './calls'
import { type LikelyLine, likelyLines, takeLines } from './lines'
import * as mk from './marks'
import { middleOf, rectangle, takeable, wallAt } from './plane'

/** What the next place on the photo will be. */
export type Task =
  | { is: 'wall'; wall: string; shape: mk.Shape }
  | { is: 'opening'; wall: string; id: string; kind: string; first?: Pt }
  | { is: 'line'; as: 'straight' | 'level' | 'plumb'; wall: string; got: string[] }

interface Moved {
  from: Record<string, Pt>
  most: number
}

export class Marking {
  readonly job: OpenJob
  readonly id: string
  task = $state.raw<Task>()
  selected = $state<string>()
  snaps = $state(true)
  /** Screen pixels to one of the photo: how near a snap may reach depends on it. */
  scale = $state(1)
  moved = $state.raw<Moved>()
  measured = $state.raw<api.Measured>()
  proposed = $state.raw<api.Proposed>()
  looking = $state(false)
  said = $state('')
  private local = $state.raw<mk.Marks>()
  private asked = 0
  private later: ReturnType<typeof setTimeout> | undefined

  constructor(job: OpenJob, id: string) {
    this.job = job
    this.id = id
  }

  get photos(): mk.PhotoDoc[] {
    return (this.job.document?.house.photos ?? []) as mk.PhotoDoc[]
  }
  get entry(): mk.PhotoDoc | undefined {
    return this.photos.find((p) => p.id === this.id)
  }
  get marks(): mk.Marks {
    const kept = this.entry?.marks
    return this.local ?? (typeof kept === 'object' ? kept : mk.noMarks(this.entry?.file ?? ''))
  }
  /** The wall that openings go on when nothing else says which. */
  get wall(): mk.MarkedWall | undefined {
    return this.marks.walls[this.marks.walls.length - 1]
  }

  /** Shows new marks at once, has them measured, and puts them on their way into the job. */
  keep(what: string, marks: mk.Marks): void {
    const whole = mk.joined(marks)
    this.local = whole
    this.measure()
    this.job
      .change(`Photo ${this.id}: ${what}`, (doc) => {
        const at = (doc.house.photos ?? []).findIndex((p) => (p as mk.PhotoDoc).id === this.id)
        return at < 0 ? [] : [set(whole, 'house', 'photos', at, 'marks')]
      })
      .then(
        () => {
          if (this.local === whole) this.local = undefined
        },
        () => {
          if (this.local === whole) this.local = undefined
        },
      )
  }

  /** Asks for sizes, but not for each of many quick moves. */
  measure(): void {
    clearTimeout(this.later)
    this.later = setTimeout(() => void this.measureNow(), 40)
  }
  async measureNow(): Promise<void> {
    const mine = ++this.asked
    const photos = this.photos.map((p) =>
      p.id === this.id ? { photo: p.id, marks: this.marks } : { photo: p.id },
    )
    try {
      const got = await api.measure(this.job.id, photos)
      if (mine === this.asked) this.measured = got
    } catch {
      // the next mark asks again
    }
  }

  /** A place on the photo is pointed at: it becomes what was asked for. */
  async place(at: Pt, onto?: string): Promise<void> {
    const t = this.task
    if (!t) return
    this.moved = undefined
    if (t.is === 'wall') return this.corner(t, at, onto)
    if (t.is === 'opening') return this.opening(t, at)
    return this.linePoint(t, at, onto)
  }

  private async corner(t: Extract<Task, { is: 'wall' }>, at: Pt, onto?: string): Promise<void> {
    const got = mk.wallOf(this.marks, t.wall)?.outline ?? []
    const word = mk.cornerName(t.shape, got.length)
    if (onto && t.shape === 'other' && onto === got[0] && got.length > 2) return this.close(t.wall)
    const shared = onto && !got.includes(onto) ? onto : undefined
    const name = shared ?? mk.freePoint(this.marks, `${t.wall} ${word}`)
    const [next] = mk.addCorner(this.marks, t.wall, name, at)
    this.selected = name
    this.keep(`${word} of ${t.wall}`, next)
    if (t.shape !== 'other' && got.length + 1 === mk.cornersOf[t.shape].length) await this.close(t.wall)
  }

  /** All corners of a wall are marked: each goes on to where the photo's edges meet. */
  async close(wall: string): Promise<void> {
    this.task = undefined
    await this.snap(mk.wallOf(this.marks, wall)?.outline ?? [])
    const taped = this.photos.some((p) => typeof p.marks === 'object' && p.marks.lengths?.length)
    this.said = `${wall} is marked. Now its openings${taped || this.marks.lengths?.length ? '' : ', and one length that you taped'}.`
  }

  private async opening(t: Extract<Task, { is: 'opening' }>, at: Pt): Promise<void> {
    if (!t.first) {
      this.task = { ...t, first: at }
      return
    }
    const wall = mk.wallOf(this.marks, t.wall)
    this.task = undefined
    await this.put(t.wall, t.id, t.kind, rectangle(this.marks, wall, t.first, at))
    if (!this.task) this.ask(t.kind) // else the person asked for something else meanwhile
  }

  /** An opening with its four corners, brought on to the photo's edges. */
  async put(wall: string, id: string, kind: string, corners: Pt[]): Promise<void> {
    const [next, names] = mk.addOpening(this.marks, wall, id, kind, corners)
    this.selected = names[0]
    this.keep(`${kind} ${id}`, next)
    await this.snap(names)
  }

  /** The next opening of a kind is asked for. */
  ask(kind: string): void {
    const wall = this.wall
    if (!wall) return
    const known = this.job.document?.house.walls.find((w) => w.id === wall.id)?.openings ?? []
    const here = (wall.openings ?? []).map((o) => o.id)
    // An opening that the job has by now and the photo not yet keeps its name.
    const waiting = known.find((o) => o.kind === kind && !here.includes(o.id))
    const id = waiting?.id ?? freeName([...here, ...known.map((o) => o.id)], wall.id)
    this.task = { is: 'opening', wall: wall.id, id, kind }
  }

  accept(corners: Pt[]): void {
    const wall = wallAt(this.marks, middleOf(corners)) ?? this.wall
    if (!wall) return
    const known = this.job.document?.house.walls.find((w) => w.id === wall.id)?.openings ?? []
    const taken = [...(wall.openings ?? []), ...known].map((o) => o.id)
    void this.put(wall.id, freeName(taken, wall.id), 'window', corners)
    if (this.proposed)
      this.proposed = {
        ...this.proposed,
        windows: this.proposed.windows.filter((w) => w.corners !== corners),
      }
  }

  /** Lines of the marked walls that the photo shows and nobody took yet. */
  readonly likelyLines = $derived.by(() => (this.proposed ? likelyLines(this.marks, this.proposed) : []))
  take(lines: LikelyLine[]): void {
    const what = lines.length === 1 ? `a ${lines[0]!.as} line` : `${lines.length} lines`
    this.keep(`${what} of the photo`, takeLines(this.marks, lines))
  }

  private linePoint(t: Extract<Task, { is: 'line' }>, at: Pt, onto?: string): void {
    const name = onto ?? mk.freePoint(this.marks, `${t.as} ${t.got.length + 1}`)
    const points = onto ? this.marks.points : { ...this.marks.points, [name]: at }
    this.local = { ...this.marks, points }
    this.selected = name
    this.task = { ...t, got: [...t.got, name] }
  }
  endLine(): void {
    const t = this.task
    if (t?.is !== 'line') return
    this.task = undefined
    if (t.got.length >= (t.as === 'straight' ? 3 : 2))
      this.keep(`a ${t.as} line`, mk.addLine(this.marks, t.as, t.wall, t.got))
    else this.local = undefined
  }

  move(name: string, to: Pt, done: boolean): void {
    const next = mk.movePoints(this.marks, { [name]: to })
    if (!done) {
      this.local = next
      this.measure()
      return
    }
    this.moved = undefined
    this.keep(`${name} moved`, next)
  }

  /** Brings marks on to the edges that the photo shows; it can be refused afterwards. */
  async snap(names: string[]): Promise<void> {
    if (!this.snaps || !names.length) return
    const before = this.marks
    const reach = Math.min(8, Math.max(3, 10 / this.scale))
    const places = names.map((n) => {
      const next = mk.besides(before, n)
      const at = before.points[n]!
      return next ? { at, toward: next.map((m) => before.points[m]!) } : { at }
    })
    try {
      const got = await api.snap(this.job.id, this.id, reach, places)
      const from: Record<string, Pt> = {}
      const to: Record<string, Pt> = {}
      names.forEach((n, i) => {
        const now = this.marks.points[n]
        const g = got[i]!
        if (g.how === 'nowhere' || !now || now[0] !== places[i]!.at[0] || now[1] !== places[i]!.at[1]) return
        from[n] = now
        to[n] = [round(g.at[0]), round(g.at[1])]
      })
      const all = Object.keys(to)
      if (!all.length) return
      const most = Math.max(...all.map((n) => Math.hypot(to[n]![0] - from[n]![0], to[n]![1] - from[n]![1])))
      this.keep(`${all.length} marks on to the photo’s edges`, mk.movePoints(this.marks, to))
      this.moved = { from, most }
    } catch {
      // without an answer the marks stay where they were put
    }
  }
  /** The person knows better: the marks go back to where they were put. */
  refuseSnap(): void {
    const moved = this.moved
    if (!moved) return
    this.moved = undefined
    this.keep('marks where they were put', mk.movePoints(this.marks, moved.from))
  }

  back(): void {
    const t = this.task
    if (t?.is === 'wall' && mk.wallOf(this.marks, t.wall))
      this.keep(`last corner of ${t.wall} taken back`, mk.dropLast(this.marks, t.wall))
    else if (t?.is === 'opening' && t.first) this.task = { ...t, first: undefined }
  }
  cancel(): void {
    const t = this.task
    this.task = undefined
    if (t?.is === 'line') this.local = undefined
    if (t?.is === 'wall' && (mk.wallOf(this.marks, t.wall)?.outline.length ?? 0) < 3)
      this.keep(`${t.wall} left unmarked`, mk.dropWall(this.marks, t.wall))
  }

  async propose(): Promise<void> {
    this.looking = true
    try {
      const got = await api.proposals(this.job.id, this.id)
      this.proposed = { ...got, windows: takeable(this.marks, got.windows) }
      const found = this.proposed.windows.length || this.likelyLines.length
      this.said = found ? '' : 'No likely windows or lines found: mark them by hand.'
    } catch (e) {
      this.said = wordsOf(e)
    }
    this.looking = false
  }

  /** Draws the measured walls in the job; what tape says there stays. */
  async draw(walls: string[]): Promise<api.Drawing | undefined> {
    let made: api.Drawing | undefined
    const names = walls.join(', ')
    await this.job.change(`${names} drawn from photo ${this.id}`, async () => {
      made = await api.drawing(this.job.id, walls)
      return made.patch
    })
    return made
  }
}

const round = (v: number) => Math.round(v * 100) / 100
