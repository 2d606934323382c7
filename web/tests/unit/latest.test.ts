import { describe, expect, it, vi } from 'vitest'
import { refusal, Silence } from '../../src/api/refusal'
import { goOn, heed } from '../../src/state/again'
import { latest } from '../../src/state/latest'

/** A question whose answer comes when it is let go. */
function held<T>() {
  let answer = (_: T) => {}
  let refuse = (_: unknown) => {}
  const question = new Promise<T>((yes, no) => {
    answer = yes
    refuse = no
  })
  return { question, answer, refuse }
}

describe('of several questions the last one counts', () => {
  for (const order of [
    [0, 1],
    [1, 0],
  ])
    it(`whichever answer comes first: ${order}`, async () => {
      const ask = latest()
      const seen: string[] = []
      const questions = [held<string>(), held<string>()]
      const told = questions.map((q) =>
        ask(
          () => q.question,
          (a) => seen.push(a),
        ),
      )
      for (const i of order) questions[i]!.answer(`answer ${i}`)
      await Promise.all(told)
      expect(seen).toEqual(['answer 1'])
    })

  it('an older failure says nothing, the last one is told', async () => {
    const ask = latest()
    const seen: unknown[] = []
    const [old, last] = [held<string>(), held<string>()]
    const both = [old, last].map((q) =>
      ask(
        () => q.question,
        () => {},
        (why) => seen.push(why),
      ),
    )
    old.refuse('old')
    last.refuse('last')
    await Promise.all(both)
    expect(seen).toEqual(['last'])
  })
})

describe('a silent server', () => {
  it('is asked again until it answers, and each silence is told', async () => {
    vi.useFakeTimers()
    const ask = latest()
    const seen: unknown[] = []
    const answers = [new Silence(), refusal(502, 'a gateway’s page'), refusal(503, {}), 'here']
    const question = async () => {
      const next = answers.shift()
      if (next instanceof Error) throw next
      return next
    }
    const done = ask(question, seen.push.bind(seen), () => seen.push('silence'))
    await vi.runAllTimersAsync()
    await done
    expect(seen).toEqual(['silence', 'silence', 'silence', 'here'])
    vi.useRealTimers()
  })

  it('is left alone once what was asked is forgotten', async () => {
    vi.useFakeTimers()
    const ask = latest()
    const question = vi.fn(() => Promise.reject(new Silence()))
    void ask(question, () => {})
    await vi.advanceTimersByTimeAsync(2500)
    ask.forget()
    await vi.advanceTimersByTimeAsync(20_000)
    expect(question).toHaveBeenCalledTimes(2)
    vi.useRealTimers()
  })

  it('is asked more and more seldom, to once a minute', async () => {
    vi.useFakeTimers()
    const ask = latest()
    const question = vi.fn(() => Promise.reject(refusal(502, {})))
    void ask(question, () => {})
    await vi.advanceTimersByTimeAsync(3500)
    expect(question).toHaveBeenCalledTimes(3)
    await vi.advanceTimersByTimeAsync(600_000)
    expect(question.mock.calls.length).toBeLessThan(18)
    ask.forget()
    vi.useRealTimers()
  })

  it('is asked soon when there is reason: the browser is online, the person does something', async () => {
    vi.useFakeTimers()
    const page = new EventTarget()
    heed(page)
    const ask = latest()
    const question = vi.fn(() => Promise.reject(new Silence()))
    void ask(question, () => {})
    await vi.advanceTimersByTimeAsync(600_000)
    for (const what of ['online', 'pointerdown', 'keydown']) {
      await vi.advanceTimersByTimeAsync(5000)
      question.mockClear()
      page.dispatchEvent(new Event(what))
      await vi.advanceTimersByTimeAsync(0)
      expect(question, what).toHaveBeenCalledTimes(1)
      for (let i = 0; i < 30; i++) {
        page.dispatchEvent(new Event(what))
        await vi.advanceTimersByTimeAsync(10)
      }
      expect(question, 'however much a person does').toHaveBeenCalledTimes(1)
      await vi.advanceTimersByTimeAsync(1000)
    }
    ask.forget()
    goOn()
    vi.useRealTimers()
  })

  it('hears that nobody waits for an older answer any more', async () => {
    const ask = latest()
    const left: AbortSignal[] = []
    const question = (l: AbortSignal) => {
      left.push(l)
      return new Promise<void>(() => {})
    }
    void ask(question, () => {})
    void ask(question, () => {})
    expect(left.map((l) => l.aborted)).toEqual([true, false])
    ask.forget()
    expect(left.map((l) => l.aborted)).toEqual([true, true])
  })

  it('that refuses is not asked again', async () => {
    for (const why of [new Error('no'), refusal(404, {}), refusal(500, {})]) {
      const question = vi.fn(() => Promise.reject(why))
      await latest()(question, () => {})
      expect(question).toHaveBeenCalledTimes(1)
    }
  })
})
