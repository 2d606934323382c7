import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { Silence } from '../../src/api/refusal'
import { latest } from '../../src/state/latest'
import { live } from '../../src/state/live'

/** The browser's own line, as far as it is used (HTML, 9.2). */
class Line extends EventTarget {
  static readonly CLOSED = 2
  static made: Line[] = []
  readyState = 0
  constructor(readonly url: string) {
    super()
    Line.made.push(this)
  }
  close() {
    this.readyState = Line.CLOSED
  }
  says(name: string, data: unknown) {
    this.readyState = 1
    this.dispatchEvent(Object.assign(new Event(name), { data: JSON.stringify(data) }))
  }
  breaks(readyState: number) {
    this.readyState = readyState
    this.dispatchEvent(new Event('error'))
  }
}

beforeEach(() => {
  Line.made = []
  vi.stubGlobal('EventSource', Line)
  vi.useFakeTimers()
})
afterEach(() => {
  vi.useRealTimers()
  vi.unstubAllGlobals()
})

describe('the line of news', () => {
  it('that the browser gives up is opened anew; one that it opens itself is left to it', async () => {
    const heard: unknown[] = []
    const end = live('alder', ['revision'], (data) => heard.push(data))
    Line.made[0]!.says('hello', { revision: 1 })
    Line.made[0]!.breaks(0)
    await vi.advanceTimersByTimeAsync(60_000)
    expect(Line.made).toHaveLength(1)
    Line.made[0]!.breaks(Line.CLOSED)
    await vi.advanceTimersByTimeAsync(1000)
    Line.made[1]!.breaks(Line.CLOSED)
    await vi.advanceTimersByTimeAsync(2000)
    expect(Line.made).toHaveLength(3)
    Line.made[2]!.says('hello', { revision: 4 })
    Line.made[2]!.says('revision', { revision: 5 })
    Line.made[2]!.says('marks', { cursor: 6 })
    expect(heard).toEqual([{ revision: 1 }, { revision: 4 }, { revision: 5 }])
    end()
    Line.made[2]!.breaks(Line.CLOSED)
    await vi.advanceTimersByTimeAsync(60_000)
    expect(Line.made).toHaveLength(3)
  })

  it('tells that the server is there again: what waits for it is asked', async () => {
    const end = live('alder', [], () => {})
    const ask = latest()
    const question = vi.fn(() => Promise.reject(new Silence()))
    void ask(question, () => {})
    await vi.advanceTimersByTimeAsync(300_000)
    question.mockClear()
    await vi.advanceTimersByTimeAsync(2000)
    Line.made[0]!.says('hello', { revision: 1 })
    await vi.advanceTimersByTimeAsync(0)
    expect(question).toHaveBeenCalledTimes(1)
    ask.forget()
    end()
  })
})
