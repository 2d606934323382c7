import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { JobDoc, WallView } from '../../src/api/types'
import {
  addOpening,
  freeName,
  marked,
  moveLine,
  openingNumber,
  openingNumbers,
  placed,
  type Term,
} from '../../src/house/edits'
import { houseLines, linesOf, tapeOrder } from '../../src/house/lines'
import { applied, type Op } from '../../src/house/patch'
import { copyWall, freeWallId, mirrorWall, newWall, removeWall, ringOf } from '../../src/house/walls'

const alder = JSON.parse(
  readFileSync(new URL('../../../examples/alder.json', import.meta.url), 'utf8'),
) as JobDoc
const stepped = JSON.parse(
  readFileSync(new URL('../../../examples/cross-gable.json', import.meta.url), 'utf8'),
) as JobDoc
const tape = { by: 'tape' as const, plus_minus: '1/8 in' }

// Judge: lengths as plain inches, sharing no code with the page or the server.
function inches(text: string | number): number {
  if (typeof text === 'number') return text
  const sign = text.startsWith('-') ? -1 : 1
  const m = /^(?:([\d.]+)')?\s*(?:([\d.]+)?\s*(?:(\d+)\/(\d+))?\s*(?:"|in)?)?$/.exec(text.replace(/^-/, ''))!
  const [, feet = '0', whole = '0', top = '0', bottom = '1'] = m
  return sign * (Number(feet) * 12 + Number(whole) + Number(top) / Number(bottom))
}
const sums = async (asked: Term[][]) =>
  asked.map((terms) => {
    const of = { '1': 1, '-1': -1, '1/2': 0.5, '-1/2': -0.5 }
    return `${terms.reduce((s, t) => s + of[t.times] * inches(t.text), 0)} in`
  })

function viewOf(doc: JobDoc, at: number): WallView {
  const w = doc.house.walls[at]!
  const outline = w.outline.map((p): [string, string] => [marked(p[0]), marked(p[1])])
  return {
    id: w.id,
    outline,
    outline_in: outline.map((p) => [inches(p[0]), inches(p[1])]),
    edges: w.edges,
    width: '',
    height: '',
    openings: [],
    measured: { by: w.measured?.by ?? 'assumed' },
  }
}

describe('a wall as the numbers of a tape', () => {
  it('a gable end has width, eave, ridge and where the ridge stands', () => {
    const lines = tapeOrder(viewOf(alder, 1))
    expect(lines.map((l) => [l.name, l.text, l.corners])).toEqual([
      ['Width', "26'", [1, 2]],
      ['Eave height', `9' 1"`, [2, 4]],
      ['Ridge height', `15' 7"`, [3]],
      ['Ridge from the left', "13'", [3]],
    ])
    expect(lines[3]!.middle).toBe(true)
  })

  it('the whole house asks each shared number once', () => {
    const lines = houseLines(alder.house.walls.map((_, i) => viewOf(alder, i)))
    expect(lines.map((l) => [l.name, l.text, l.of.map((o) => o.wall)])).toEqual([
      ['Width', `34' 6"`, [0, 2]],
      ['Width', "26'", [1, 3]],
      ['Eave height', `9' 1"`, [0, 1, 2, 3]],
      ['Ridge height', `15' 7"`, [1, 3]],
    ])
  })

  it('every corner but those at the left end stands on one line of each axis', () => {
    for (const [i, w] of alder.house.walls.entries()) {
      const ups = linesOf(viewOf(alder, i), 1).flatMap((l) => l.corners)
      expect(ups.sort()).toEqual(w.outline.map((_, c) => c))
    }
  })
})

describe('edits are patches of typed text', () => {
  it('a ridge typed as high as the eave, or over an end of the wall, keeps its field', async () => {
    for (const [name, text] of [
      ['Ridge height', `9' 1"`],
      ['Eave height', `15' 7"`],
      ['Ridge from the left', "26'"],
    ] as const) {
      const view = viewOf(alder, 1)
      const line = tapeOrder(view).find((l) => l.name === name)!
      const typed = applied(alder, await moveLine(alder, view, 1, line, text, tape, undefined, sums))
      const lines = tapeOrder(viewOf(typed, 1))
      expect(lines.map((l) => l.name)).toEqual(tapeOrder(view).map((l) => l.name))
      const again = lines.find((l) => l.name === name)!
      expect(again.corners).toEqual(line.corners)
    }
  })

  it('two steps typed alike, or as far out as the wall, keep their fields', async () => {
    const north = stepped.house.walls.findIndex((w) => w.id === 'north')
    for (const [which, name, text] of [
      [north, 'Step from the left 1', "25'"],
      [north, 'Step from the left 2', "15'"],
      [north, 'Step from the left 2', "40'"],
    ] as const) {
      const view = viewOf(stepped, which)
      const line = tapeOrder(view).find((l) => l.name === name)!
      const typed = applied(stepped, await moveLine(stepped, view, which, line, text, tape, undefined, sums))
      const fields = (v: WallView) => tapeOrder(v).map((l) => [l.name, l.corners])
      expect(fields(viewOf(typed, which))).toEqual(fields(view))
    }
    const at = stepped.house.walls.findIndex((w) => w.id === 'south-left')
    for (const [name, text] of [
      ['Base 1', '0'],
      ['Base 2', `-1' 4"`],
    ] as const) {
      const view = viewOf(stepped, at)
      const line = linesOf(view, 1).find((l) => l.name === name)!
      const typed = applied(stepped, await moveLine(stepped, view, at, line, text, tape, undefined, sums))
      const fields = (v: WallView) => new Set(linesOf(v, 1).map((l) => `${l.corners}`))
      expect(fields(viewOf(typed, at))).toEqual(fields(view))
    }
  })

  it('two eaves of one wall are two fields, each of its own corners', () => {
    const corners: [number, number][] = [
      [0, 0],
      [30, 0],
      [30, 8],
      [12, 8],
      [12, 10],
      [0, 10],
    ]
    const view: WallView = {
      ...viewOf(alder, 0),
      outline: corners.map(([x, y]) => [`${x} in`, `${y} in`]),
      outline_in: corners,
      edges: ['base', 'outside-corner', 'eave', 'inside-corner', 'eave', 'outside-corner'],
    }
    expect(tapeOrder(view).map((l) => [l.name, l.corners])).toEqual([
      ['Width', [1, 2]],
      ['Eave height 2', [4, 5]],
      ['Eave height 1', [2, 3]],
      ['Step from the left', [3, 4]],
    ])
    expect(houseLines([view]).map((l) => l.name)).toEqual(['Width', 'Eave height', 'Eave height'])
  })

  it('a new width moves both right corners and the ridge that stood in the middle', async () => {
    const view = viewOf(alder, 1)
    const [width, , , ridge] = tapeOrder(view)
    const plan = { by: 'plan' as const }
    const ops = await moveLine(alder, view, 1, width!, "28'", plan, ridge, sums)
    const after = applied(alder, ops).house.walls[1]!
    expect(after.outline[1]![0]).toEqual({ length: "28'", measured: plan })
    expect(after.outline[3]![0]).toEqual({ length: '168 in', measured: plan })
    expect(after.outline[3]![1]).toBe(`15' 7"`)
    expect(alder.house.walls[1]!.outline[1]![0]).toBe("26'")
  })

  it('when the last number is taped the wall says tape, and openings keep what they had', async () => {
    let doc = structuredClone(alder)
    doc.house.walls[1]!.measured = { by: 'assumed' }
    for (const name of ['Width', 'Eave height', 'Ridge height']) {
      const view = viewOf(doc, 1)
      const lines = tapeOrder(view)
      const line = lines.find((l) => l.name === name)!
      const ridge = lines.find((l) => l.middle)
      doc = applied(doc, await moveLine(doc, view, 1, line, line.text, tape, ridge, sums))
    }
    expect(doc.house.walls[1]!.measured).toEqual(tape)
    expect(doc.house.walls[1]!.outline[2]).toEqual(["26'", `9' 1"`])
    expect(doc.house.walls[1]!.openings![0]!.measured).toEqual({ by: 'assumed' })
  })

  it('an opening from the right end is placed by the server, not here', async () => {
    const asked: Term[][][] = []
    const spy = async (a: Term[][]) => {
      asked.push(a)
      return sums(a)
    }
    const p = {
      id: 'E9',
      kind: 'window',
      from: 'right' as const,
      across: "2'",
      sill: "3'",
      width: "3'",
      height: "4'",
    }
    expect((await placed(p, "26'", tape, spy)).at).toEqual(['252 in', "3'"])
    expect(asked).toHaveLength(1)
    expect((await placed({ ...p, from: 'left' }, "26'", tape, spy)).at).toEqual(["2'", "3'"])
    expect(asked).toHaveLength(1)
  })

  it('all four numbers of an opening typed make its own pedigree', () => {
    let doc = structuredClone(alder)
    const before = doc.house.walls[0]!.openings![0]!
    const numbers = { width: '40 in', height: '50 in', across: "3'", sill: "2'" }
    for (const [which] of openingNumbers('left'))
      doc = applied(doc, openingNumber(doc, 0, 0, which, numbers[which], tape))
    expect(doc.house.walls[0]!.openings![0]).toEqual({
      ...before,
      at: ["3'", "2'"],
      size: ['40 in', '50 in'],
      measured: tape,
    })
  })
})

describe('walls copied, mirrored and joined', () => {
  it('mirrored twice is the wall itself', async () => {
    for (const [i, w] of alder.house.walls.entries()) {
      const width = viewOf(alder, i).outline[1]![0]
      const twice = await mirrorWall(await mirrorWall(w, width, sums), width, sums)
      const plain = (x: typeof w) =>
        [x.outline, (x.openings ?? []).map((o) => [o.at, o.size])].flat(9).map((n) => inches(n as string))
      expect(plain(twice)).toEqual(plain(w))
      expect(twice.edges).toEqual(w.edges)
    }
  })

  it('a mirror is counter-clockwise still', async () => {
    const lean: JobDoc = structuredClone(alder)
    lean.house.walls[1]!.outline[3] = ['60 in', "15'"]
    const m = await mirrorWall(lean.house.walls[1]!, "26'", sums)
    const pts = m.outline.map((p) => [inches(p[0] as string), inches(p[1] as string)] as const)
    const area = pts.reduce((s, p, i) => {
      const q = pts[(i + 1) % pts.length]!
      return s + p[0] * q[1] - q[0] * p[1]
    }, 0)
    expect(area).toBeGreaterThan(0)
    expect(pts.some((p) => p[0] === 312 - 60 && p[1] === 180)).toBe(true)
  })

  it('a copy was not measured', () => {
    const doc = structuredClone(alder)
    doc.house.walls.pop()
    const copy = copyWall(doc, doc.house.walls[1]!)
    expect(copy.id).toBe('west')
    expect(copy.measured).toEqual({ by: 'assumed' })
    expect(copy.openings!.map((o) => o.id)).toEqual(['W1', 'W2', 'W3'])
    expect(copy.faces_deg).toBe(272)
  })

  it('the ring of the example house is the one in its file', () => {
    expect(ringOf(alder)).toEqual(alder.house.corners)
  })

  it('the far side is called after the way it faces, and the ring goes by it', () => {
    const doc: JobDoc = { ...alder, house: { walls: [] } }
    for (const shape of ['gable', 'eave'] as const) {
      doc.house.walls.push(newWall(doc, shape))
      doc.house.walls.push(copyWall(doc, doc.house.walls.at(-1)!))
    }
    expect(doc.house.walls.map((w) => w.id)).toEqual(['south', 'north', 'east', 'west'])
    expect(ringOf(doc).map((c) => [...c.between, c.kind])).toEqual([
      ['south.right', 'east.left', 'outside'],
      ['east.right', 'north.left', 'outside'],
      ['north.right', 'west.left', 'outside'],
      ['west.right', 'south.left', 'outside'],
    ])
  })

  it('new walls go around the house and names stay free', () => {
    const doc: JobDoc = { ...alder, house: { walls: [] } }
    const ids: string[] = []
    for (let i = 0; i < 6; i++) {
      ids.push(freeWallId(doc))
      doc.house.walls.push(newWall(doc, i % 2 ? 'gable' : 'eave'))
    }
    expect(ids).toEqual(['south', 'east', 'north', 'west', 'wall-5', 'wall-6'])
    expect(freeName(['S1', 'S2'], 'south')).toBe('S3')
  })

  it('a wall taken away takes its own corners along, and not those of one whose name goes on', () => {
    const doc = structuredClone(alder)
    for (const [i, id] of ['No', 'No. 2', 'No. 3'].entries()) doc.house.walls[i]!.id = id
    doc.house.walls.length = 3
    doc.house.corners = ringOf(doc)
    doc.house.corners.push({ between: ['No. 2.edge[2]', 'No. 3.edge[2]'], kind: 'inside' })
    const { walls, corners } = applied(doc, removeWall(doc, 'No')).house
    expect(walls.map((w) => w.id)).toEqual(['No. 2', 'No. 3'])
    expect(corners!.map((c) => c.between)).toEqual([
      ['No. 2.right', 'No. 3.left'],
      ['No. 2.edge[2]', 'No. 3.edge[2]'],
    ])
    expect(removeWall({ ...doc, house: { walls } }, 'No'), 'pressed twice').toEqual([])
  })
})

describe('patches', () => {
  it('an opening is added where there was no list', () => {
    const doc: JobDoc = { ...alder, house: { walls: [{ id: 'a', outline: [], edges: [] }] } }
    const o = {
      id: 'A1',
      kind: 'door',
      at: ['0', '0'] as [string, string],
      size: ["3'", "7'"] as [string, string],
    }
    const once = applied(doc, addOpening(doc, 0, o))
    expect(applied(once, addOpening(once, 0, { ...o, id: 'A2' })).house.walls[0]!.openings).toHaveLength(2)
  })

  it('adding and taking away gives the same list back', () => {
    fc.assert(
      fc.property(fc.array(fc.jsonValue()), fc.jsonValue(), fc.nat(), (list, value, n) => {
        const at = n % (list.length + 1)
        const add: Op = { op: 'add', path: `/l/${at}`, value }
        const back = applied({ l: list }, [add, { op: 'remove', path: `/l/${at}` }])
        expect(back.l).toEqual(list)
      }),
    )
  })

  it('shares what no operation touches, and the document stays as it was', () => {
    const before = { walls: [{ at: [1, 2] }, { at: [3] }], title: 'x' }
    const kept = structuredClone(before)
    const after = applied(before, [
      { op: 'add', path: '/walls/0/at/-', value: 9 },
      { op: 'replace', path: '/walls/0/at/0', value: 7 },
    ])
    expect(after).toEqual({ walls: [{ at: [7, 2, 9] }, { at: [3] }], title: 'x' })
    expect(before).toEqual(kept)
    expect(after.walls[1]).toBe(before.walls[1])
  })
  it('a name of the language itself is only a name', () => {
    const got = applied({ a: {} }, [{ op: 'add', path: '/a/__proto__', value: { x: 1 } }])
    expect(Object.hasOwn(got.a, '__proto__')).toBe(true)
    expect(({} as { x?: number }).x).toBeUndefined()
  })
})
