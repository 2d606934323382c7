import { describe, expect, it } from 'vitest'
import type { HouseView, JobDoc } from '../../src/api/types'
import { plus } from '../../src/house/edits'
import { set } from '../../src/house/patch'
import { type Act, frameOf, putDown, resolved, UnsentShelf, written } from '../../src/state/unsent'

const doc = {
  house: { walls: [{ id: 's', outline: [], openings: [{ id: 'S1', at: ["1'", "2'"] }] }] },
  schemes: [{ id: 'A', zones: [] }],
} as unknown as JobDoc
const view = {} as HouseView
const at = (i: number) => ['house', 'walls', 0, 'openings', 0, 'at', i] as const

function storage(): Storage {
  const held = new Map<string, string>()
  return {
    getItem: (k: string) => held.get(k) ?? null,
    setItem: (k: string, v: string) => void held.set(k, v),
    removeItem: (k: string) => void held.delete(k),
    key: (i: number) => [...held.keys()][i] ?? null,
    get length() {
      return held.size
    },
    clear: () => held.clear(),
  }
}

describe('edits that were not sent', () => {
  it('are built one upon the other without the server, their lengths worked out later', async () => {
    const kept = await written(
      [
        {
          what: 'x',
          build: async (_d, _v, sums) => [set((await sums([[plus('3'), plus('1/2')]]))[0], ...at(0))],
        },
        {
          what: 'x again',
          build: async (d, _v, sums) => {
            const old = (d.house.walls[0]!.openings![0]! as { at: string[] }).at[0]!
            return [set((await sums([[plus(old), plus('1')]]))[0], ...at(1))]
          },
        },
      ],
      doc,
      view,
      '7',
    )
    expect(kept.what).toEqual(['x', 'x again'])
    expect(kept.base).toBe('7')
    const patch = await resolved(JSON.parse(JSON.stringify(kept)), async (asked) =>
      asked.map((terms) => terms.map((t) => t.text).join('+')),
    )
    expect(patch.map((o) => o.value)).toEqual(['3+1/2', '3+1/2+1'])
  })

  it('are taken up by the same tab at once, from another only once it is silent', () => {
    const store = storage()
    let now = 1000
    const shelf = (tab: string) => new UnsentShelf('j', store, 'Ann', tab, () => now)
    const kept = { what: ['x'], base: '1', frame: '', patch: [], sums: [] }
    shelf('one').put([kept])
    expect(new UnsentShelf('k', store, 'Ann', 'one', () => now).take()).toEqual([])
    expect(shelf('two').take()).toEqual([])
    expect(shelf('one').take()).toEqual([kept])
    now += 31_000
    expect(shelf('two').take()).toEqual([kept])
    expect(shelf('one').take()).toEqual([])
    expect(shelf('two').take()).toEqual([kept])
    shelf('two').put([])
    expect(store.length).toBe(0)
  })

  it('are taken up for the person who made them, and for nobody else in the same browser', () => {
    const store = storage()
    const kept = { what: ['x'], base: '1', frame: '', patch: [], sums: [] }
    const of = (who: string) => new UnsentShelf('j', store, who, 'one', () => 100_000)
    of('Ann B').put([kept])
    expect(of('Carl').take()).toEqual([])
    expect(of('Carl').others()).toEqual(['Ann B'])
    of('Carl').put([{ ...kept, what: ['y'] }])
    expect(of('Ann').take()).toEqual([]) // whose name begins alike
    expect(of('Ann B').take()).toEqual([kept])
    expect(of('Ann B').others()).toEqual(['Carl'])
  })

  it('are not touched by a page that left once its next page has put its own there', () => {
    const store = storage()
    const kept = (what: string) => ({ what: [what], base: '1', frame: '', patch: [], sums: [] })
    let now = 1000
    const shelf = () => new UnsentShelf('j', store, 'Ann', 'one', () => now++)
    const [old, next] = [shelf(), shelf()]
    old.put([kept('x'), kept('y')])
    old.leave()
    old.put([kept('y')]) // x was saved after all
    expect(next.take()).toEqual([kept('y')])
    old.put([])
    expect(shelf().take()).toEqual([kept('y')])
  })

  it('whose places came or went are told apart by the frame', () => {
    const other = structuredClone(doc)
    expect(frameOf(other)).toBe(frameOf(doc))
    other.house.walls.unshift({ id: 'n', outline: [], openings: [] } as never)
    expect(frameOf(other)).not.toBe(frameOf(doc))
  })

  it('that nobody can read any more are none', () => {
    const store = storage()
    store.setItem('coilwright unsent j Ann one', '{"list":')
    expect(new UnsentShelf('j', store, 'Ann', 'one').take()).toEqual([])
  })
})

describe('what waits is written down', () => {
  // Each edit writes its own name into the title, and says whose title it was built upon.
  const edit = (name: string) => ({
    what: name,
    build: async (d: JobDoc) => [set(`${d.title ?? ''}${name}`, 'title')],
  })
  const act = (a: Act) => ({ what: JSON.stringify(a), act: a })
  const down = async (...waiting: Parameters<typeof putDown>[0]) =>
    (await putDown(waiting, { ...doc, title: '-' }, view, '4')).map(
      (u) => u.act ?? u.patch.map((o) => o.value),
    )

  it('an undo of an edit that was never sent leaves both out', async () => {
    expect(await down(edit('a'), edit('b'), act('undo'), edit('c'))).toEqual([['-a', '-ac']])
  })
  it('the first edit may have been sent, so its undo is kept', async () => {
    expect(await down(edit('a'), act('undo'), edit('b'))).toEqual([['-a'], 'undo', ['-b']])
  })
  it('without an edit before it an undo is kept, and a redo of it', async () => {
    expect(await down(act('undo'), act('redo'), edit('a'))).toEqual(['undo', 'redo', ['-a']])
  })
  it('a redo brings back what an undo left out, the last one first', async () => {
    const all = [edit('a'), edit('b'), edit('c'), act('undo'), act('undo'), act('redo')]
    expect(await down(...all)).toEqual([['-a', '-ab']])
    expect(await down(...all.slice(0, 5), act('undo'), act('redo'), act('redo'))).toEqual([
      ['-a'],
      'undo',
      'redo',
      ['-b'],
    ])
  })
  it('a stage comes last, since no edit asks for it', async () => {
    expect(await down(edit('a'), act({ stage: 'offer' }), edit('b'))).toEqual([
      ['-a', '-ab'],
      { stage: 'offer' },
    ])
  })
})
