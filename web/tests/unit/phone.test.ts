// One job on a slow phone: marks are made while others are read, sent or left.

import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { refusal } from '../../src/api/refusal'
import { Crew } from '../../src/site/crew.svelte'
import type { KeptMark } from '../../src/site/kept'
import * as kept from '../../src/site/kept'
import * as send from '../../src/site/send'

vi.mock('../../src/site/send')
vi.mock('../../src/site/kept', async (real) => ({
  ...(await real<typeof kept>()),
  openShelf: vi.fn(),
  deviceOf: vi.fn(),
  marksOf: vi.fn(),
  keepMarks: vi.fn(),
  photosOf: vi.fn(),
}))

const turn = () => new Promise((done) => setTimeout(done, 1))
function held<T>() {
  let give = (_: T) => {}
  const promise = new Promise<T>((done) => {
    give = done
  })
  return { promise, give }
}
const pack = { title: 'j', scheme: 'A', revision: 1, pieces: [], walls: [], setups: [], coils: [] }
const out = { accepted: [], refused: [], marks: [], told: [], cursor: 'c1', clock: { text: '' } }
let lying: KeptMark[]
let photos: unknown[]
let open: boolean
let channels: { job?: string; closed: boolean; listen?: (e: MessageEvent<string>) => void }[]

beforeEach(() => {
  ;[lying, photos, open, channels] = [[], [], true, []]
  const put = async (where: string, what: unknown) => {
    if (!open) throw new DOMException('closed', 'InvalidStateError')
    if (where === 'photos') photos.push(what)
  }
  const shelf = { get: async () => undefined, put, close: () => (open = false), delete: async () => {} }
  vi.mocked(kept.openShelf).mockResolvedValue(shelf as never)
  vi.mocked(kept.deviceOf).mockResolvedValue('phone-1')
  vi.mocked(kept.photosOf).mockImplementation(async () => [])
  vi.mocked(kept.marksOf).mockImplementation(async () => [...lying])
  vi.mocked(kept.keepMarks).mockImplementation(async (_, rows) => {
    const now = new Map([...lying, ...rows].map((r) => [r.key, r]))
    lying = [...now.values()]
  })
  vi.mocked(send.marks).mockImplementation(
    async (_, body) => ({ ...out, accepted: body.marks.map((m) => m.id) }) as never,
  )
  vi.mocked(send.pack).mockResolvedValue({ text: JSON.stringify(pack), tag: 't' })
  vi.mocked(send.recut).mockResolvedValue({ given: [] } as never)
  vi.stubGlobal('localStorage', { length: 0, key: () => null, removeItem: () => {} })
  vi.stubGlobal('addEventListener', () => {})
  vi.stubGlobal('removeEventListener', () => {})
  vi.stubGlobal('navigator', {})
  vi.stubGlobal('document', { addEventListener() {}, removeEventListener() {}, visibilityState: 'visible' })
  vi.stubGlobal(
    'BroadcastChannel',
    class {
      me: (typeof channels)[number] = { closed: false }
      constructor() {
        channels.push(this.me)
      }
      addEventListener(_: string, listen: (e: MessageEvent<string>) => void) {
        this.me.listen = listen
      }
      postMessage(job: string) {
        if (this.me.closed) throw new DOMException('closed', 'InvalidStateError')
        this.me.job = job
      }
      close() {
        this.me.closed = true
      }
    },
  )
})
afterEach(() => vi.unstubAllGlobals())

async function opened(): Promise<Crew> {
  const crew = new Crew('j', 'A')
  await crew.open()
  expect([crew.line, crew.failed]).toEqual(['sent', ''])
  return crew
}

describe('a phone that is slow', () => {
  it('takes a gateway that has no answer for silence, and a refusal for what it is', async () => {
    const crew = await opened()
    for (const [status, line] of [
      [502, 'silent'],
      [503, 'silent'],
      [504, 'silent'],
      [404, 'refused'],
    ] as const) {
      vi.mocked(send.pack).mockRejectedValueOnce(refusal(status, undefined))
      await crew.sync()
      expect([status, crew.line]).toEqual([status, line])
    }
    await crew.sync()
    expect(crew.line).toBe('sent')
    void crew.close()
  })

  it('keeps a mark that is made while the marks of another page are read', async () => {
    const crew = await opened()
    const reading = held<KeptMark[]>()
    vi.mocked(kept.marksOf).mockReturnValueOnce(reading.promise)
    channels[0]!.listen!({ data: 'j' } as MessageEvent<string>)
    await turn()
    const { id } = crew.mark({ kind: 'formed', piece: 'p' })
    reading.give([])
    await turn()
    expect(crew.marks.map((m) => m.mark.id)).toEqual([id])
    void crew.close()
  })

  it('does not take what was sent meanwhile for unsent', async () => {
    const crew = await opened()
    const reading = held<KeptMark[]>()
    crew.mark({ kind: 'formed', piece: 'p' })
    await turn()
    vi.mocked(kept.marksOf).mockReturnValueOnce(reading.promise)
    channels[0]!.listen!({ data: 'j' } as MessageEvent<string>)
    await turn()
    const before = [...lying] // as it was when it was read
    await crew.sync()
    expect(crew.unsent).toEqual([])
    reading.give(before)
    await turn()
    expect(crew.unsent).toEqual([])
    void crew.close()
  })

  it('plans a spoiled piece anew though it was just asking the office', async () => {
    const crew = await opened()
    const answer = held<never>()
    vi.mocked(send.marks).mockReturnValueOnce(answer.promise)
    void crew.sync()
    await turn()
    crew.mark({ kind: 'spoiled', piece: 'p' })
    const planned = crew.plan()
    answer.give(out as never)
    await planned
    expect(send.recut).toHaveBeenCalledOnce()
    expect(crew.unsent).toEqual([])
    void crew.close()
  })

  it('is not put back because another of its pages made the mark that the office tells of', async () => {
    const crew = await opened()
    const mark = { id: 'm1', kind: 'formed', piece: 'p', count: 1, device: 'phone-1', by: 'JK', at: '' }
    lying = [{ key: kept.markKey('j', 'm1'), job: 'j', mark: mark as never, sent: 0 }] // not heard of yet
    vi.mocked(send.marks).mockResolvedValueOnce({
      ...out,
      marks: [{ ...mark, seq: 1, received: '' }],
    } as never)
    await crew.sync()
    expect(crew.putBack).toBe('')
    lying = []
    const lost = { ...mark, id: 'm2', seq: 2, received: '' }
    vi.mocked(send.marks).mockResolvedValueOnce({ ...out, marks: [lost] } as never)
    await crew.sync()
    expect(crew.putBack).toMatch(/put back to an older copy/)
    void crew.close()
  })

  it('keeps mark and photo though its page is left at once', async () => {
    const crew = await opened()
    const keeping = held<void>()
    vi.mocked(kept.keepMarks).mockImplementationOnce(() => keeping.promise)
    crew.mark({ kind: 'seen' as never, piece: 'p', photo: new Blob(['x']) })
    const left = crew.close()
    await turn()
    keeping.give()
    await left
    expect([photos.length, open, channels[0]!.job, channels[0]!.closed]).toEqual([1, false, 'j', true])
  })

  it('that is left while it opens asks nothing any more', async () => {
    vi.mocked(send.marks).mockClear()
    const crew = new Crew('j', 'A')
    const opening = crew.open()
    await crew.close()
    await opening
    expect(send.marks).not.toHaveBeenCalled()
    expect(open).toBe(false)
  })
})
