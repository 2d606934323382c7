// One open job whose server is slow: answers overtake each other, and the newest state stands.

import { beforeEach, describe, expect, it, vi } from 'vitest'
import * as api from '../../src/api/calls'
import { Refusal, Silence } from '../../src/api/refusal'
import { set } from '../../src/house/patch'
import { OpenJob } from '../../src/state/job.svelte'
import { live } from '../../src/state/live'
import { frameOf, UnsentShelf } from '../../src/state/unsent'

vi.mock('../../src/api/calls')
vi.mock('../../src/state/live')
const calls = vi.mocked(api)

const turn = () => new Promise((done) => setTimeout(done, 1))
const document = (title = '') => ({
  title,
  house: { walls: [] },
  schemes: ['A', 'B', 'C'].map((id) => ({ id, zones: [] })),
})
const answer = (revision: number, title = '', tag = `${revision}`) =>
  ({ id: 'j', title, stage: 'visit', revision, tag, document: document(title), view: { walls: [] } }) as never
const layout = (scheme: string) =>
  ({ scheme, pieces: [], totals: { pieces: 0, panel_ft: 0, region_ft2: 0, slivers: 0 } }) as never

/** What was asked and has no answer yet. */
let asked: { what: string; give: (answer: never) => void; fail: (why: unknown) => void }[] = []
const question = (what: string) => new Promise<never>((give, fail) => asked.push({ what, give, fail }))
function one(what: string) {
  const at = asked.findIndex((a) => a.what === what)
  expect(at, `${what} of ${asked.map((a) => a.what)}`).toBeGreaterThanOrEqual(0)
  return asked.splice(at, 1)[0]!
}
let heard: (event: api.News, name?: string) => void = () => {}

beforeEach(() => {
  asked = []
  const items = new Map<string, string>()
  const store = {
    getItem: (k: string) => items.get(k) ?? null,
    setItem: (k: string, v: string) => void items.set(k, v),
    removeItem: (k: string) => void items.delete(k),
    key: (i: number) => [...items.keys()][i] ?? null,
    get length() {
      return items.size
    },
  }
  vi.stubGlobal('localStorage', store)
  vi.stubGlobal('sessionStorage', store)
  calls.job.mockImplementation(() => question('job'))
  calls.layout.mockImplementation((_, scheme) => question(`layout ${scheme}`))
  calls.change.mockImplementation((_job, _revision, { scheme }) => question(`change ${scheme}`))
  vi.mocked(live).mockImplementation((_id, _names, then) => {
    heard = (event, name = 'revision') => then(event, name)
    return () => {}
  })
})

async function opened(): Promise<OpenJob> {
  const job = new OpenJob('j', 'A')
  void job.open()
  one('job').give(answer(1))
  await turn()
  one('layout A').give(layout('A'))
  await turn()
  return job
}
const edit = (job: OpenJob, title: string) =>
  job.change(title, () => [{ op: 'replace', path: '/title', value: title }])

describe('an open job on a slow net', () => {
  it('shows the scheme that was chosen last, in whatever order the layouts come', async () => {
    const job = await opened()
    void job.choose('B')
    void job.choose('C')
    one('layout C').give(layout('C'))
    await turn()
    one('layout B').give(layout('B'))
    await turn()
    expect(job.layout?.scheme).toBe('C')
  })

  for (const late of ['layout', 'edit'])
    it(`shows the chosen scheme where an edit of the one before is under way, the ${late} late`, async () => {
      const job = await opened()
      void edit(job, 'x')
      await turn()
      void job.choose('C')
      const [change, fresh] = [one('change A'), one('layout C')]
      const saved = () => change.give({ revision: 2, tag: '2', layout: layout('A'), same: [] } as never)
      const laid = () => fresh.give(layout('C'))
      for (const come of late === 'edit' ? [laid, saved] : [saved, laid]) {
        come()
        await turn()
      }
      for (const a of asked.splice(0)) a.give(layout('C')) // asked anew for the revision of the edit
      await turn()
      expect([job.layout?.scheme, job.revision]).toEqual(['C', 2])
    })

  it('shows what there is once the server’s data were put back to an older copy', async () => {
    for (const how of ['its line of news', 'a refused edit']) {
      const job = await opened()
      const first = edit(job, 'gone')
      await turn()
      one('change A').give({ revision: 5, tag: '5', layout: layout('A'), same: [] } as never)
      await first
      if (how === 'a refused edit') {
        void edit(job, 'more').catch(() => {})
        await turn()
        one('change A').fail(new Refusal(412, 'The job has moved on', ''))
      } else heard({ revision: 3 }, 'hello')
      await turn()
      one('job').give(answer(3, 'as it was'))
      await turn()
      one('layout A').give(layout('A'))
      await turn()
      expect([how, job.title, job.revision]).toEqual([how, 'as it was', 3])
      expect(job.news).toMatch(/put back to an older copy/)
    }
  })

  it('shows what there is where others went on from older data that were put back', async () => {
    for (const at of [5, 6]) {
      const job = await opened()
      const first = edit(job, 'gone')
      await turn()
      one('change A').give({ revision: 5, tag: '5', layout: layout('A'), same: [] } as never)
      await first
      if (at === 6) {
        void edit(job, 'more').catch(() => {})
        await turn()
        expect(calls.change.mock.lastCall?.[1]).toBe('5')
        one('change A').fail(new Refusal(412, 'The job has moved on', ''))
      } else heard({ revision: 5, tag: '5 of theirs' }, 'hello')
      await turn()
      one('job').give(answer(at, 'theirs', `${at} of theirs`))
      await turn()
      one('layout A').give(layout('A'))
      await turn()
      expect([at, job.title, job.revision, job.aside.length]).toEqual([at, 'theirs', at, at - 5])
      expect(job.news).toMatch(/put back to an older copy/)
      for (const one of job.aside) job.letGo(one)
    }
  })

  it('says nothing of older data where its line of news comes again', async () => {
    const job = await opened()
    heard({ revision: 1, tag: '1' }, 'hello')
    await turn()
    expect([asked, job.news]).toEqual([[], ''])
  })

  it('does not take a line that says late what was for data put back', async () => {
    const job = await opened()
    const edited = edit(job, 'newer')
    await turn()
    one('change A').give({ revision: 2, tag: '2', layout: layout('A'), same: [] } as never)
    await edited
    heard({ revision: 1 }, 'hello')
    await turn()
    one('job').give(answer(2, 'newer'))
    await turn()
    expect([job.title, job.revision, job.news]).toEqual(['newer', 2, ''])
  })

  it('hears of a change that was made before its line was there', async () => {
    const job = await opened()
    heard({ revision: 1, by: 'Ann' })
    await turn()
    expect(asked).toEqual([])
    heard({ revision: 2, by: 'Ann' })
    await turn()
    one('job').give(answer(2, 'new'))
    await turn()
    expect([job.title, job.revision]).toEqual(['new', 2])
    one('layout A').give(layout('A'))
    await turn()
    expect(job.news).toBe('Ann: changed this job')
  })

  it('an old state that comes late does not stand over a newer one', async () => {
    const job = await opened()
    const bad = edit(job, 'bad')
    void edit(job, 'good')
    await turn()
    one('change A').fail(new Refusal(422, 'no', 'no length'))
    await expect(bad).rejects.toThrow()
    await turn()
    one('change A').give({ revision: 2, tag: '2', layout: layout('A'), same: [] } as never)
    await turn()
    one('job').give(answer(1, 'old')) // what the refused edit had the page ask
    await turn()
    expect([job.title, job.revision]).toEqual(['good', 2])
  })

  it('is shown where its stage was changed before it had come', async () => {
    calls.setStage.mockResolvedValue({ revision: 2 } as never)
    const job = new OpenJob('j', 'A')
    void job.open()
    job.move('design')
    await turn()
    one('job').give(answer(1, 'Here'))
    await turn()
    one('layout A').give(layout('A'))
    await turn()
    expect(job.document?.title).toBe('Here')
    expect(job.layout?.scheme).toBe('A')
  })

  it('shows what somebody else changed just before its stage was', async () => {
    const job = await opened()
    calls.setStage.mockResolvedValue({ revision: 3 } as never)
    job.move('design')
    await turn()
    expect(job.revision).toBe(1) // an edit typed now is put on what is shown
    one('job').give(answer(3, 'theirs'))
    await turn()
    expect([job.title, job.revision]).toEqual(['theirs', 3])
  })

  it('asks a silent server for the layout again, and a gateway that has no answer', async () => {
    vi.useFakeTimers()
    const job = new OpenJob('j', 'A')
    void job.open()
    one('job').give(answer(1))
    await vi.advanceTimersByTimeAsync(1)
    for (const why of [new Silence(), new Refusal(502, 'a gateway’s page', '')]) {
      one('layout A').fail(why)
      await vi.advanceTimersByTimeAsync(1)
      expect(job.stale).toBe(true)
      await vi.advanceTimersByTimeAsync(3000)
    }
    one('layout A').give(layout('A'))
    await vi.advanceTimersByTimeAsync(1)
    expect([job.stale, job.layout?.scheme, job.failed]).toEqual([false, 'A', ''])
    vi.useRealTimers()
  })

  for (const how of ['a refusal', 'its line of news'])
    it(`edits from before older data were put back are kept aside, none sent: ${how}`, async () => {
      const job = await opened()
      const first = edit(job, 'before')
      await turn()
      one('change A').give({ revision: 5, tag: '5', layout: layout('A'), same: [] } as never)
      await first
      const waiting = [edit(job, 'one'), edit(job, 'two')]
      await turn()
      const sent = one('change A')
      if (how === 'a refusal') sent.fail(new Refusal(412, 'The job has moved on', ''))
      else heard({ revision: 3 }, 'hello')
      await turn()
      one('job').give(answer(3, 'as it was'))
      await Promise.all(waiting) // no field has them back
      await turn()
      const later = edit(job, 'later')
      await turn()
      if (how !== 'a refusal') sent.fail(new Refusal(412, 'The job has moved on', '')) // late, after the next edit
      await turn()
      one('layout A').give(layout('A'))
      one('change A').give({ revision: 4, tag: '4', layout: layout('A'), same: [] } as never)
      await later
      expect([job.title, job.waiting, asked]).toEqual(['later', 0, []])
      expect(job.aside.map((a) => [a.kept.what, a.kept.patch.map((o) => o.value)])).toEqual([
        [
          ['one', 'two'],
          ['one', 'two'],
        ],
      ])
      expect(job.aside[0]!.why).toMatch(/older copy/)
      expect(new OpenJob('j', 'A').aside).toEqual(job.aside) // it outlives the page
      expect(new OpenJob('j', 'A', 'Bert').aside).toEqual([])
    })

  it('an edit that was kept aside is done again on the job as it is, or let go', async () => {
    const frame = frameOf(document() as never)
    const kept = (what: string) => ({ what: [what], base: '9', frame, patch: [set(what, 'title')], sums: [] })
    new UnsentShelf('j', localStorage, '', 'another').put([kept('one'), { ...kept('two'), frame: '' }])
    vi.spyOn(Date, 'now').mockReturnValue(Date.now() + 60_000) // that tab is silent
    const job = await opened()
    one('change A').fail(new Refusal(412, 'The job has moved on', ''))
    await turn()
    one('job').give(answer(1)) // whether older data were put back
    await turn()
    expect(job.aside.map((a) => [a.kept.what[0], job.fits(a)])).toEqual([
      ['one', true],
      ['two', false],
    ])
    job.doAgain(job.aside[0]!)
    await turn()
    expect(calls.change.mock.lastCall?.[1]).toBe('1') // its own revision never was
    one('change A').give({ revision: 2, tag: '2', layout: layout('A'), same: [] } as never)
    await turn()
    expect([job.title, job.aside.length]).toEqual(['one', 1])
    job.letGo(job.aside[0]!)
    expect(job.aside).toEqual([])
    expect(new OpenJob('j', 'A').aside).toEqual([])
    vi.restoreAllMocks()
  })

  it('a conflict that is put off keeps the edit aside', async () => {
    const job = await opened()
    void edit(job, 'mine')
    await turn()
    one('change A').fail(new Refusal(409, 'both', '', [{ path: '/title' }]))
    await turn()
    const settled = job.settle('neither')
    one('job').give(answer(2, 'theirs'))
    await turn()
    one('layout A').give(layout('A'))
    await settled
    expect([job.title, job.waiting, job.aside[0]?.kept.what]).toEqual(['theirs', 0, ['mine']])
  })

  it('a conflict that is settled while the server is silent waits, and is sent', async () => {
    const job = await opened()
    void edit(job, 'mine')
    await turn()
    one('change A').fail(new Refusal(409, 'both', '', [{ path: '/title' }]))
    await turn()
    const settled = job.settle('mine')
    one('job').fail(new Silence())
    await turn()
    one('change A').give({ revision: 3, tag: '3', layout: layout('A'), same: [] } as never)
    await settled
    expect([job.title, job.waiting]).toEqual(['mine', 0])
  })
})
