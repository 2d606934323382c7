import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Pt } from '../../src/api/types'
import { likelyLines, takeLines } from '../../src/areas/walls/photo/lines'
import {
  addCorner,
  addLine,
  addOpening,
  besides,
  cornerName,
  cornersOf,
  dropLast,
  dropLine,
  dropOpening,
  dropWall,
  isOf,
  joined,
  knownLength,
  lineNumber,
  type Marks,
  noMarks,
  rowName,
  setLength,
  sizeRows,
} from '../../src/areas/walls/photo/marks'
import {
  backward,
  fitted,
  held,
  rectangle,
  squareTo,
  takeable,
  through,
  toPhoto,
  toScreen,
  wallAt,
  zoomed,
} from '../../src/areas/walls/photo/plane'

/** A wall marked at four places, counter-clockwise from the lower left. */
function marked(id: string, places: Pt[], from: Marks = noMarks('photo-1.jpg')): Marks {
  return places.reduce((m, at, k) => addCorner(m, id, `${id} ${cornerName('eave', k)}`, at)[0], from)
}
const box: Pt[] = [
  [100, 400],
  [500, 400],
  [500, 200],
  [100, 200],
]

describe('marks on a photo', () => {
  it('asks for a wall’s corners in turn and names them by the trade', () => {
    const m = marked('south', box)
    expect(m.walls[0]!.outline).toEqual(cornersOf.eave.map((c) => `south ${c}`))
    expect(cornersOf.gable[3]).toBe('ridge')
    expect(cornerName('other', 5)).toBe('corner 6')
  })
  it('likely windows are offered on marked walls, once each', () => {
    const at = (u: number, v: number) => ({
      corners: [
        [u, v + 40],
        [u + 30, v + 40],
        [u + 30, v],
        [u, v],
      ] as Pt[],
    })
    const [on, beside] = [at(200, 300), at(600, 300)]
    expect(takeable(noMarks('photo-1.jpg'), [on, beside])).toEqual([on, beside])
    const m = marked('south', box)
    expect(takeable(m, [on, beside])).toEqual([on])
    const [taken] = addOpening(m, 'south', 'S1', 'window', at(195, 295).corners)
    expect(takeable(taken, [on, at(300, 300)])).toEqual([at(300, 300)])
  })
  it('lines are offered where they run level or plumb on a marked wall, and say something new', () => {
    // The wall leans back to the right: what is level on it runs to where its edges meet.
    const m = marked('south', [
      [100, 400],
      [500, 360],
      [500, 240],
      [100, 200],
    ])
    const level: [Pt, Pt][] = [
      [
        [110, 300],
        [490, 300],
      ],
      [
        [120, 303],
        [300, 302],
      ], // beside the first
      [
        [120, 250],
        [480, 250],
      ], // level in the photo, not on the wall
      [
        [60, 300],
        [300, 300],
      ], // begins beside the wall
    ]
    const upright: [Pt, Pt][] = [
      [
        [200, 370],
        [200, 240],
      ],
      [
        [300, 370],
        [330, 240],
      ],
    ]
    const seen = { level: [{ lines: level }], upright: { lines: upright }, windows: [] }
    const offered = likelyLines(m, seen)
    expect(offered.map((l) => [l.as, l.ends])).toEqual([
      ['level', level[0]],
      ['plumb', upright[0]],
    ])
    expect(likelyLines(noMarks('photo-1.jpg'), seen)).toEqual([])
    const taken = takeLines(m, offered)
    expect(taken.walls[0]!.level!.map((names) => names.map((n) => taken.points[n]))).toEqual([level[0]])
    expect(taken.walls[0]!.plumb![0]!.length).toBe(2)
    expect(likelyLines(taken, seen)).toEqual([])
    const back = dropLine(dropLine(taken, 'level', 'south', 0), 'plumb', 'south', 0)
    expect(back.points).toEqual(m.points)
    expect([0, 25, 26].map(lineNumber)).toEqual(['a', 'z', 'aa'])
  })
  it('an opening’s corners are its own even where two openings have one name', () => {
    let m = marked('south', box)
    ;[m] = addOpening(m, 'south', 'S1', 'window', box)
    const [twice, names] = addOpening(m, 'south', 'S1', 'window', box)
    expect(new Set([...m.walls[0]!.openings![0]!.corners, ...names]).size).toBe(8)
    expect(Object.keys(twice.points)).toHaveLength(12)
  })
  it('taking away leaves nothing that names what is gone', () => {
    let m = marked('south', box)
    ;[m] = addOpening(m, 'south', 'S1', 'door', box)
    const [a, b] = m.walls[0]!.openings![0]!.corners
    m = setLength(m, a!, b!, '43 in', '1/8 in')
    expect(knownLength(m, b!, a!)?.length).toBe('43 in')
    const gone = dropOpening(m, 'south', 'S1')
    expect(gone.lengths).toEqual([])
    expect(Object.keys(gone.points)).toHaveLength(4)
    expect(dropWall(m, 'south')).toMatchObject({ points: {}, walls: [], lengths: [] })
    expect(dropLast(gone, 'south').walls[0]!.outline).toHaveLength(3)
    expect(Object.keys(dropLast(gone, 'south').points)).toHaveLength(3)
  })
  it('a length typed again replaces, and one taken away is gone', () => {
    const m = marked('south', box)
    const [a, b] = m.walls[0]!.outline as [string, string]
    const twice = setLength(setLength(m, a, b, "32'"), b, a, '31\' 10"')
    expect(twice.lengths).toEqual([{ between: [b, a], length: '31\' 10"' }])
    expect(setLength(twice, a, b).lengths).toEqual([])
  })
  it('walls that share a marked corner meet there, once, and only on opposite sides', () => {
    const right: Pt[] = [
      [500, 400],
      [700, 380],
      [700, 220],
      [500, 200],
    ]
    let m = marked('south', box)
    const [low, , , high] = right
    ;[m] = addCorner(m, 'east', 'south lower right corner', low!)
    ;[m] = addCorner(m, 'east', 'east a', right[1]!)
    ;[m] = addCorner(m, 'east', 'east b', right[2]!)
    ;[m] = addCorner(m, 'east', 'south upper right corner', high!)
    const whole = joined(m)
    expect(whole.corners).toEqual([{ between: ['south.right', 'east.left'], kind: 'outside' }])
    expect(joined(whole)).toBe(whole)
    expect(joined(marked('south', box)).corners).toBeUndefined()
    expect(dropWall(whole, 'east').corners).toEqual([])
  })
  it('rows are the edges and each opening’s width and height, by their corners', () => {
    let m = marked('south', box)
    ;[m] = addOpening(m, 'south', 'S1', 'window', box)
    const rows = sizeRows(m)
    expect(rows.map(rowName)).toEqual([
      'south, base',
      'south, right end',
      'south, top',
      'south, left end',
      'S1 width',
      'S1 height',
    ])
    expect(isOf({ wall: 'south', opening: 'S1', corners: [0, 1] }, rows[4]!)).toBe(true)
    expect(isOf({ wall: 'south', corners: [0, 1] }, rows[4]!)).toBe(false)
    expect(besides(m, rows[0]!.ends[0])).toEqual(['south lower right corner', 'south upper left corner'])
    expect(sizeRows(dropLast(dropLast(m, 'south'), 'south'))).toEqual([])
  })
  it('lines go where they belong', () => {
    const m = addLine(marked('south', box), 'level', 'south', ['a', 'b'])
    expect(m.walls[0]!.level).toEqual([['a', 'b']])
    expect(addLine(m, 'straight', '', ['a', 'b', 'c']).straight).toEqual([['a', 'b', 'c']])
  })
})

const place = fc.tuple(
  fc.double({ min: 0, max: 1600, noNaN: true }),
  fc.double({ min: 0, max: 1200, noNaN: true }),
)
const near = (a: Pt, b: Pt, by = 1e-6) => Math.hypot(a[0] - b[0], a[1] - b[1]) < by

describe('the photo on the board', () => {
  it('what is seen at a place comes back to it, however near it is brought', () => {
    fc.assert(
      fc.property(place, place, fc.double({ min: 0.2, max: 5, noNaN: true }), (p, about, by) => {
        const lay = zoomed(fitted([1600, 1200], [800, 500]), by, about, 0.05)
        expect(near(toPhoto(lay, toScreen(lay, p as Pt)), p as Pt)).toBe(true)
      }),
    )
  })
  it('the place under the pointer stays while the photo comes nearer', () => {
    fc.assert(
      fc.property(place, fc.double({ min: 0.2, max: 5, noNaN: true }), (about, by) => {
        const lay = fitted([1600, 1200], [800, 500])
        const under = toPhoto(lay, about as Pt)
        expect(near(toScreen(zoomed(lay, by, about as Pt, 0.01), under), about as Pt, 1e-6)).toBe(true)
      }),
    )
  })
  it('it cannot be pushed off the board', () => {
    const lay = held({ scale: 1, x: 5000, y: -5000 }, [1600, 1200], [800, 500])
    expect([lay.x, lay.y]).toEqual([740, -1140])
  })
})

describe('a rectangle on a wall as a photo shows it', () => {
  // Judge: a pinhole camera turned by an angle about the upright looks at a wall; it shares
  // no code with the page.
  const shot = (turn: number) => {
    const [c, s] = [Math.cos(turn), Math.sin(turn)]
    return ([x, y]: Pt): Pt => {
      const [px, pz] = [c * (x - 200), 500 - s * (x - 200)]
      return [800 + (1200 * px) / pz, 600 - (1200 * (y - 60)) / pz]
    }
  }
  it('is the opening that two of its opposite corners bound, whichever they are', () => {
    fc.assert(
      fc.property(fc.double({ min: -0.9, max: 0.9, noNaN: true }), fc.boolean(), (turn, falling) => {
        const see = shot(turn)
        const m = marked(
          'south',
          (
            [
              [0, 0],
              [400, 0],
              [400, 108],
              [0, 108],
            ] as Pt[]
          ).map(see),
        )
        const truth = (
          [
            [120, 30],
            [180, 30],
            [180, 90],
            [120, 90],
          ] as Pt[]
        ).map(see)
        const [p, q] = falling ? [truth[3]!, truth[1]!] : [truth[2]!, truth[0]!]
        const got = rectangle(m, m.walls[0], p, q)
        for (const [k, c] of got.entries()) expect(near(c, truth[k]!, 1e-4)).toBe(true)
      }),
    )
  })
  it('stands upright where the wall is not marked whole, or lies on one line', () => {
    const upright = [
      [10, 90],
      [50, 90],
      [50, 20],
      [10, 20],
    ]
    expect(rectangle(noMarks('x'), undefined, [50, 20], [10, 90])).toEqual(upright)
    const flat = marked('south', [
      [0, 0],
      [1, 1],
      [2, 2],
      [3, 3],
    ])
    expect(rectangle(flat, flat.walls[0], [50, 20], [10, 90])).toEqual(upright)
  })
  it('maps there and back', () => {
    const m = squareTo([
      [100, 400],
      [520, 430],
      [500, 190],
      [110, 210],
    ])!
    const p = through(backward(m), through(m, [0.3, 0.7]))
    expect(near(p, [0.3, 0.7], 1e-9)).toBe(true)
    expect(near(through(m, [0, 1]), [110, 210], 1e-9)).toBe(true)
  })
  it('knows the wall that a place lies on', () => {
    const m = marked('south', box)
    expect(wallAt(m, [300, 300])?.id).toBe('south')
    expect(wallAt(m, [50, 300])).toBeUndefined()
  })
})
