// Phones and an office that loses answers, doubles them, and is put back to an older copy; a
// phone that is restored from a backup. In the end all hold the same marks, and none is lost.

import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Silence } from '../../src/api/refusal'
import { type KeptMark, markKey } from '../../src/site/kept'
import { exchange } from '../../src/site/sync'
import { type Mark, merge, nextCount, stateOf } from '../../src/site/tally'
import type { MarksIn, MarksOut } from '../../src/site/wire'

/** The office as the wire describes it: a list that only grows, and a cursor into it. */
class Office {
  list: Mark[] = []
  life = 1
  most = 3 // small, so that answers come in parts

  ask(body: MarksIn): MarksOut {
    const known = new Map(this.list.map((m) => [m.id, m]))
    const refused: MarksOut['refused'] = []
    for (const [index, m] of body.marks.entries()) {
      if (m.text === 'no') refused.push({ id: m.id, index, why: 'it cannot be', mend: 'ask' })
      else if (!known.has(m.id)) this.list.push(m)
      else if (merge([known.get(m.id)!], [m])[0] === m && known.get(m.id) !== m) {
        this.list = this.list.filter((o) => o.id !== m.id)
        this.list.push(m)
      }
    }
    const [life, at] = body.after.split(':').map(Number)
    const restart = body.after !== '' && life !== this.life
    const from = body.after === '' || restart ? 0 : Math.min(at!, this.list.length)
    const marks = this.list.slice(from, from + this.most)
    return {
      accepted: body.marks.filter((m) => m.text !== 'no').map((m) => m.id),
      refused,
      told: [],
      cursor: `${this.life}:${from + marks.length}`,
      marks: marks.map((m) => ({ ...m, seq: 1, received: '' })),
      more: from + marks.length < this.list.length,
      restart,
      clock: { now: '', skew_s: 0, text: '' },
      photos_wanted: [],
    }
  }
}

class Phone {
  rows: KeptMark[] = []
  cursor = ''
  made = 0
  constructor(readonly name: string) {}

  mark(piece: string, text?: string): void {
    const id = `${this.name}-${this.made++}-${this.rows.length}`
    const mark: Mark = {
      id,
      count: nextCount(this.rows.map((r) => r.mark)),
      device: this.name,
      by: 'JK',
      at: '',
      kind: 'formed',
      piece,
      text,
    }
    this.rows = [...this.rows, { key: markKey('j', id), job: 'j', mark, sent: 0 }]
  }
  async swap(office: Office, lost = false): Promise<void> {
    await exchange({
      job: 'j',
      device: this.name,
      cursor: this.cursor,
      marks: () => this.rows,
      ask: async (body) => {
        const out = office.ask(structuredClone(body))
        if (lost) throw new Silence() // it was taken, and its answer never came
        return out
      },
      take: async (rows, out) => {
        const now = new Map(this.rows.map((r) => [r.mark.id, r]))
        for (const r of rows) now.set(r.mark.id, r)
        this.rows = [...now.values()]
        this.cursor = out.cursor
      },
    }).catch((e) => {
      if (!(e instanceof Silence)) throw e
    })
  }
  get marks(): Mark[] {
    return merge(this.rows.map((r) => r.mark))
  }
}

const act = fc.record({
  phone: fc.nat(2),
  what: fc.constantFrom(
    'mark',
    'mark',
    'mark',
    'swap',
    'swap',
    'lost',
    'office restored',
    'phone saved',
    'phone restored',
  ),
  piece: fc.constantFrom('1', '2', '3'),
})

test('whatever happens on the way, all agree in the end and nothing that was sent is lost', async () => {
  await fc.assert(
    fc.asyncProperty(fc.array(act, { maxLength: 60 }), async (acts) => {
      const office = new Office()
      const phones = ['a', 'b', 'c'].map((n) => new Phone(n))
      const saved: { rows: KeptMark[]; cursor: string }[] = phones.map(() => ({ rows: [], cursor: '' }))
      const ever = new Set<string>()
      for (const { phone, what, piece } of acts) {
        const p = phones[phone]!
        if (what === 'mark') p.mark(piece)
        else if (what === 'swap' || what === 'lost') await p.swap(office, what === 'lost')
        else if (what === 'phone saved') saved[phone] = { rows: p.rows, cursor: p.cursor }
        else if (what === 'phone restored') Object.assign(p, saved[phone], { made: p.made + 1000 })
        else {
          office.list = office.list.slice(0, office.list.length >> 1)
          office.life++
        }
        for (const q of phones) for (const m of q.marks) ever.add(m.id)
      }
      const before = new Set(phones.flatMap((p) => p.marks.map((m) => m.id)))
      for (let i = 0; i < 3; i++) for (const p of phones) await p.swap(office)
      const all = merge(office.list)
      for (const id of before) expect(all.some((m) => m.id === id)).toBe(true)
      for (const p of phones) {
        expect(p.marks).toEqual(all)
        expect(p.rows.every((r) => r.sent === 1)).toBe(true)
        expect(stateOf(['1', '2', '3'], p.marks)).toEqual(stateOf(['1', '2', '3'], all))
      }
    }),
    { numRuns: 200 },
  )
})

describe('an answer', () => {
  test('what is refused stays on the phone with the reason, and is not sent again', async () => {
    const office = new Office()
    const p = new Phone('a')
    p.mark('1', 'no')
    p.mark('2')
    await p.swap(office)
    expect(p.rows.map((r) => [r.sent, r.refused?.why])).toEqual([
      [2, 'it cannot be'],
      [1, undefined],
    ])
    await p.swap(office)
    expect(office.list).toHaveLength(1)
  })
  test('more than the server takes at once goes in parts', async () => {
    const office = new Office()
    office.most = 1000
    const p = new Phone('a')
    for (let i = 0; i < 1203; i++) p.mark('1')
    await p.swap(office)
    expect(office.list).toHaveLength(1203)
    expect(p.rows.every((r) => r.sent === 1)).toBe(true)
  })
})
