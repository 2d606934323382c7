import { describe, expect, it, vi } from 'vitest'
import { Refusal, Silence } from '../../src/api/refusal'
import { Outbox, type Trouble } from '../../src/state/outbox'

function watched() {
  const seen: { count: number; trouble: Trouble }[] = []
  return { box: new Outbox((count, trouble) => seen.push({ count, trouble })), seen }
}

describe('edits on their way', () => {
  it('are sent one at a time in the order they were made', async () => {
    const { box } = watched()
    const log: string[] = []
    const slow = (name: string) => ({
      what: name,
      send: async () => {
        log.push(`${name} starts`)
        await new Promise((r) => setTimeout(r, 3))
        log.push(`${name} ends`)
      },
    })
    await Promise.all([box.put(slow('a')), box.put(slow('b'))])
    expect(log).toEqual(['a starts', 'a ends', 'b starts', 'b ends'])
    expect(box.count).toBe(0)
  })

  it('stay while the server is silent and go out when it is back', async () => {
    vi.useFakeTimers()
    const { box, seen } = watched()
    let up = false
    const sent: string[] = []
    const edit = (what: string) => ({
      what,
      send: async () => {
        if (!up) throw new Silence()
        sent.push(what)
      },
    })
    const both = [box.put(edit('first')), box.put(edit('second'))]
    await vi.advanceTimersByTimeAsync(100)
    expect(seen.at(-1)).toEqual({ count: 2, trouble: { kind: 'silence' } })
    up = true
    await vi.advanceTimersByTimeAsync(9000)
    await Promise.all(both)
    expect(sent).toEqual(['first', 'second'])
    vi.useRealTimers()
  })

  it('a refused edit is given back to its field, and the next one still goes', async () => {
    const { box } = watched()
    const bad = box.put({ what: 'bad', send: () => Promise.reject(new Refusal(422, 'no', 'no length')) })
    const sent = vi.fn(async () => {})
    const good = box.put({ what: 'good', send: sent })
    await expect(bad).rejects.toThrow('no length')
    await good
    expect(sent).toHaveBeenCalledOnce()
  })

  it('a conflict keeps the edit until somebody decides', async () => {
    const { box, seen } = watched()
    let theirs = true
    const settled = vi.fn()
    const put = box.put({
      what: 'moved',
      send: async () => {
        if (theirs) throw new Refusal(409, 'both', 'both changed S1', [{ path: '/title' }])
      },
    })
    void put.then(settled)
    await new Promise((r) => setTimeout(r, 5))
    expect(seen.at(-1)?.trouble?.kind).toBe('refused')
    expect(box.count).toBe(1)
    expect(settled).not.toHaveBeenCalled()
    theirs = false
    await box.run()
    await put
    expect(box.count).toBe(0)
  })

  it('once stopped, an edit under way that fails stays as it was kept, and nothing more is sent', async () => {
    const { box, seen } = watched()
    let fail = (_: unknown) => {}
    const first = () => new Promise<void>((_, no) => (fail = no))
    const second = vi.fn(async () => {})
    void box.put({ what: 'first', send: first })
    void box.put({ what: 'second', send: second })
    const told = seen.length
    box.stop()
    fail(new Silence())
    await new Promise((r) => setTimeout(r, 5))
    await box.run()
    expect(seen.length).toBe(told)
    expect(box.count).toBe(2)
    expect(second).not.toHaveBeenCalled()
  })

  it('once stopped, an edit under way that is saved waits no longer, and the next is not sent', async () => {
    const { box, seen } = watched()
    let saved = () => {}
    const second = vi.fn(async () => {})
    const put = box.put({ what: 'first', send: () => new Promise<void>((yes) => (saved = yes)) })
    void box.put({ what: 'second', send: second })
    box.stop()
    saved()
    await put
    expect(seen.at(-1)).toEqual({ count: 1, trouble: undefined })
    expect(second).not.toHaveBeenCalled()
  })
})
