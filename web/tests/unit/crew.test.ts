import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { codeOf } from '../../src/site/code'
import { nanometres, offBy, parts, typedText } from '../../src/site/lengths'
import { feetLeft, feetRead } from '../../src/site/reels'
import { celsius } from '../../src/site/sensor'
import { placed } from '../../src/site/sketch'
import { type Mark, stateOf } from '../../src/site/tally'
import type { Formable, Pack, PackWall, Recut, SetUp, SitePiece } from '../../src/site/wire'
import {
  gapNow,
  gates,
  keyOfCode,
  lyingLike,
  mayForm,
  nextToHang,
  sameRun,
  setupNow,
  turnOf,
  unmeasured,
} from '../../src/site/work'

let made = 0
const mark = (kind: Mark['kind'], piece: string, more: Partial<Mark> = {}): Mark => ({
  id: `m${++made}`,
  count: made,
  device: 'phone-1',
  by: 'JK',
  at: '',
  kind,
  piece,
  ...more,
})
const formable = (key: string, setup: string, coil: string, length_in = 120): Formable => ({
  key,
  id: key,
  wall: 'south',
  setup,
  coil,
  length: "10'",
  length_in,
  label: key,
})
const setup = (id: string, n: number, reels: SetUp['reels']): SetUp => ({
  id,
  n,
  panel: 'p',
  panel_title: 'Panel',
  texture: 'grain',
  texture_rollers: 'in',
  colour: 'slate',
  colour_title: 'Slate',
  thickness: '0.0179 in',
  width: '14 1/2 in',
  minutes: 20,
  steps: [],
  reels,
})
const blanks = [
  ...['a', 'b', 'c'].map((k) => formable(k, 's1', 'C1')),
  formable('d', 's1', 'C2'),
  formable('e', 's2', 'C3'),
]
const pack = {
  machine: { threading_scrap_ft: 3, cut_loss_in: 0.125, first_piece_within: { in: 0.0625 } },
  setups: [
    setup('s1', 1, [
      { coil: 'C1', pieces: ['a', 'b', 'c'] },
      { coil: 'C2', pieces: ['d'] },
    ]),
    setup('s2', 2, [{ coil: 'C3', pieces: ['e'] }]),
  ],
  pieces: [],
  blanks,
  coils: [
    { id: 'C1', length_ft: 40 },
    { id: 'C2', length_ft: 100 },
    { id: 'C3', length_ft: 100 },
  ],
} as unknown as Pack
const byKey = new Map(blanks.map((b) => [b.key, b]))
function job(marks: Mark[], recut?: Recut) {
  return { pack, byKey, recut, state: stateOf(byKey.keys(), marks), left: feetLeft(pack, marks) }
}
const threaded = (coil: string, id: string) => mark('loaded', coil, { note: id })

describe('at the machine', () => {
  test('set-up by set-up, coil by coil', () => {
    const order: string[] = []
    const marks: Mark[] = []
    for (let s = setupNow(job(marks)); s; s = setupNow(job(marks))) {
      const turn = turnOf(s, job(marks))!
      order.push(`${s.id} ${turn.reel.coil} ${turn.piece.key}`)
      marks.push(threaded(turn.reel.coil, s.id), mark('formed', turn.piece.key))
    }
    expect(order).toEqual(['s1 C1 a', 's1 C1 b', 's1 C1 c', 's1 C2 d', 's2 C3 e'])
  })
  test('a spoiled piece comes next, off the coil that is on, if that holds enough', () => {
    const marks = [threaded('C1', 's1'), mark('formed', 'a'), mark('formed', 'b'), mark('spoiled', 'a')]
    expect(turnOf(pack.setups[0]!, job(marks))).toMatchObject({
      piece: { key: 'a' },
      reel: { coil: 'C1' },
      inSetup: 3,
    })
    // 40 - 3 - 2 x 10.01 ft are left; after reading 5 ft on the reel nothing of 10 ft fits.
    const read = [...marks, mark('reel', 'C1', { text: '5 ft' }), threaded('C2', 's1')]
    expect(turnOf(pack.setups[0]!, job(read))).toMatchObject({ piece: { key: 'a' }, reel: { coil: 'C2' } })
  })
  test("the office's new plan stands in place of the old order, with what was spoiled since before it", () => {
    const recut = {
      next: [
        { coil: 'C2', pieces: ['c', 'd'] },
        { coil: 'C3', pieces: ['e'] },
      ],
      left_out: [],
    } as unknown as Recut
    const marks = [threaded('C2', 's1'), mark('formed', 'a'), mark('formed', 'b')]
    expect(turnOf(pack.setups[0]!, job(marks, recut))).toMatchObject({ piece: { key: 'c' }, inSetup: 2 })
    marks.push(mark('spoiled', 'b'))
    expect(turnOf(pack.setups[0]!, job(marks, recut))).toMatchObject({ piece: { key: 'b' }, inSetup: 3 })
  })
  test('that plan holds under another pack of the same run, and not under another run', () => {
    const released = { ...pack, release: { state: 'released', says: '', why: [] } } as Pack
    expect(sameRun(pack, released)).toBe(true)
    expect(sameRun(pack, { ...pack, setups: pack.setups.slice(1) })).toBe(false)
    expect(sameRun(pack, { ...pack, coils: pack.coils.map((c) => ({ ...c, length_ft: 90 })) })).toBe(false)
  })
  test('the first piece after threading is asked for until it is measured', () => {
    const marks = [threaded('C1', 's1')]
    const first = () => unmeasured(job(marks), pack.setups[0]!)?.piece
    expect(first()).toBeUndefined()
    marks.push(mark('formed', 'a'))
    expect(first()).toBe('a')
    marks.push(mark('checked', 's1', { text: `10' 1/16"`, note: 'a' }))
    expect(first()).toBeUndefined()
  })
  test('where it was off, the next piece is measured too, spoiled or not', () => {
    const off = (piece: string) => mark('checked', 's1', { text: `9' 11 7/8"`, note: piece })
    const marks = [threaded('C1', 's1'), mark('formed', 'a'), off('a')]
    const first = () => unmeasured(job(marks), pack.setups[0]!)?.piece
    expect(first()).toBeUndefined()
    marks.push(mark('spoiled', 'a'), mark('formed', 'a'))
    expect(first()).toBe('a')
    marks.push(off('a'), mark('formed', 'b'))
    expect(first()).toBe('b')
    marks.push(mark('checked', 's1', { text: "10'", note: 'b' }), mark('formed', 'c'))
    expect(first()).toBeUndefined()
  })
})

describe('feet left on a coil', () => {
  test('threading, forming and spoiling take off it; the reel itself knows best', () => {
    const takes = (120 + 0.125) / 12
    const marks = [threaded('C1', 's1'), mark('formed', 'a'), mark('spoiled', 'a'), mark('spoiled', 'b')]
    // Spoiling a formed piece takes no more steel; one spoiled on the machine does.
    expect(feetLeft(pack, marks).get('C1')).toBeCloseTo(40 - 3 - 2 * takes, 9)
    marks.push(mark('reel', 'C1', { text: '12.5 ft' }), mark('formed', 'b'))
    expect(feetLeft(pack, marks).get('C1')).toBeCloseTo(12.5 - takes, 9)
  })
  test('readings', () => {
    expect(feetRead('212.5 ft')).toBe(212.5)
    expect(feetRead('10 m')).toBeCloseTo(32.8084, 4)
    expect(nanometres(`13/16"`)).toBe((13 / 16) * 25_400_000)
    expect(nanometres(`2' 13/16"`)).toBe((24 + 13 / 16) * 25_400_000)
    for (const t of ['', '12', '-3 ft', '1e3 ft', "12'"]) expect(feetRead(t)).toBeUndefined()
  })
})

describe('at the wall', () => {
  const wall = {
    id: 'south',
    order: [{ pieces: ['a', 'b'] }, { pieces: ['c'] }],
    quality: [
      { id: 'barrier', gate: true },
      { id: 'nails', gate: false },
    ],
  } as unknown as PackWall
  test('bottom up, and nothing before its check', () => {
    const marks = [mark('formed', 'b'), mark('hung', 'a')]
    expect(nextToHang(wall, stateOf(byKey.keys(), marks))).toBe('b')
    expect(gates(wall, stateOf([], [])).map((q) => q.id)).toEqual(['barrier'])
    expect(
      gates(wall, stateOf([], [mark('covered', 'south:barrier', { note: 'seen by the inspector' })])),
    ).toEqual([])
  })
  test('the gap comes from the steps that were sent', () => {
    const p = { gap_step: 1, gap_from_f: [90, 50, 10], hang_below_f: 110 } as unknown as SitePiece
    const gap = {
      gap: {
        steps: [{ text: '1/8"' }, { text: '1/4"' }, { text: '3/8"' }],
        colder: 'ask the office',
        shorten: ['', '1/4"'],
        shorten_one: ['', '1/8"'],
      },
    } as unknown as Pack
    expect(gapNow(gap, p, 60)).toEqual({ text: '1/4"', shorten: '', shorten_one: '', tooHot: false })
    expect(gapNow(gap, p, 20)).toEqual({ text: '3/8"', shorten: '1/4"', shorten_one: '1/8"', tooHot: false })
    expect(gapNow(gap, p, 120)).toMatchObject({ text: '1/8"', tooHot: true })
    expect(gapNow(gap, p, -20).text).toBe('ask the office')
  })
})

describe('lengths that were typed', () => {
  test('read exactly, or not at all', () => {
    expect(nanometres(`7' 5 3/8"`)).toBe(89.375 * 25_400_000)
    expect(nanometres('2270 mm')).toBe(2_270_000_000)
    expect(nanometres(`3/16"`)).toBe((3 / 16) * 25_400_000)
    for (const t of ['', '"', 'abc', `3/0"`, '12']) expect(nanometres(t)).toBeUndefined()
    expect(typedText('7 5 3/8', 'imperial')).toBe(`7' 5 3/8"`)
    expect(typedText('7', 'imperial')).toBeUndefined()
  })
  test('how far off, in words', () => {
    expect(offBy(`10'`, `9' 11 15/16"`, 'imperial')).toBe('1/16" shorter')
    expect(offBy(`10'`, `10' 1 1/2"`, 'imperial')).toBe('1 1/2" longer')
    expect(offBy('2270 mm', '2271.5 mm', 'metric')).toBe('1.5 mm longer')
    expect(offBy(`10'`, `120"`, 'imperial')).toBe('')
  })
  test('whatever is off in sixteenths is said in sixteenths', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 600 }), (n) => {
        const said = offBy(`20'`, `240 ${n}/16"`, 'imperial')
        expect(nanometres(said.replace(' longer', ''))).toBe((n * 25_400_000) / 16)
      }),
    )
  })
  test('in the parts in which it is called out', () => {
    const said = (t: string) => parts(t).map((p) => p.figure + p.unit)
    expect(said(`23' 4 1/8"`)).toEqual(['23ft', '4in', '1/8in'])
    expect(said(`32'`)).toEqual(['32ft'])
    expect(said(`11 15/16"`)).toEqual(['11in', '15/16in'])
    expect(said(`13/16"`)).toEqual(['13/16in'])
    expect(said(`4' 13/16"`)).toEqual(['4ft', '13/16in'])
    expect(said('7010 mm')).toEqual(['7010mm'])
    expect(said('something')).toEqual(['something'])
  })
})

test('figures of a sketch never lie over one another', () => {
  const some = fc.array(
    fc.record({ x: fc.nat(320), text: fc.constantFrom(`3' 4"`, `12' 11 15/16"`, `8"`) }),
    { maxLength: 9 },
  )
  fc.assert(
    fc.property(some, (list) => {
      const all = placed(
        list.map((m) => ({ ...m, y: 0, row: 0, anchor: 'start' as const })),
        320,
      )
      for (const a of all)
        for (const b of all)
          if (a !== b && a.row === b.row)
            expect(Math.abs(a.x - b.x)).toBeGreaterThanOrEqual(8 * Math.min(a.text.length, b.text.length))
    }),
  )
})

test('the code of a label is read back by zbar', async ({ skip }) => {
  const read = (file: string) =>
    execFileSync('zbarimg', ['--quiet', '--raw', '-Sdisable', '-Sqrcode.enable', file], { encoding: 'utf8' })
  if (spawnSync('zbarimg', ['--version']).error) return skip('zbarimg is not here')
  for (const text of ['CW/K3JQ7ZT5BPXW2M4A/MBUGKYZUNDFT', 'http://127.0.0.1:8017/#/site/k3jq7?scheme=A']) {
    const { path, size } = await codeOf(text)
    const file = join(mkdtempSync(join(tmpdir(), 'code-')), 'code.pgm')
    writeFileSync(file, drawn(path, size, 6))
    expect(read(file).trimEnd()).toBe(text)
  }
})

/** The path's squares as a picture (portable graymap). */
function drawn(path: string, size: number, scale: number): Buffer {
  const side = size * scale
  const dots = Buffer.alloc(side * side, 255)
  for (const [, x, y, long] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\d+z/g))
    for (let r = 0; r < scale; r++) {
      const from = (Number(y) * scale + r) * side + Number(x) * scale
      dots.fill(0, from, from + Number(long) * scale)
    }
  return Buffer.concat([Buffer.from(`P5 ${side} ${side} 255\n`), dots])
}

describe('steel that lost its place', () => {
  const piece = (key: string, cut: string) => ({ ...formable(key, 's1', 'C1'), cut }) as SitePiece
  const formedBefore = mark('formed', 'old', { cut: 'x', note: 'S-1-2' })
  test('is offered to a piece that waits and is cut the same, until it is taken', () => {
    const before = stateOf(['a', 'b'], [formedBefore])
    expect(lyingLike(before, piece('a', 'x'))).toEqual({ key: 'old', label: 'S-1-2' })
    expect(lyingLike(before, piece('b', 'y'))).toBeUndefined()
    const after = stateOf(['a', 'b'], [formedBefore, mark('moved', 'a', { text: 'old' })])
    expect(after.pieces.get('a')).toMatchObject({ place: 'ready', lies: 1 })
    expect(lyingLike(after, piece('b', 'x'))).toBeUndefined()
  })
  test('is not offered once it was spoiled, or where it hangs', () => {
    for (const then of ['spoiled', 'hung'] as const)
      expect(lyingLike(stateOf(['a'], [formedBefore, mark(then, 'old')]), piece('a', 'x'))).toBeUndefined()
  })
})

test('a label names its piece, a bundle its first one, a number its own; another job none', () => {
  const p = {
    qr: { prefix: 'CW/JOB/' },
    pieces: [
      { key: 'abc', number: 'S-1-1' },
      { key: 'def', number: 'S-1-2' },
    ],
    bundles: [{ id: 'south-1', first: 'def' }],
  } as unknown as Pack
  expect(keyOfCode(p, 'CW/JOB/ABC')).toBe('abc')
  expect(keyOfCode(p, ' cw/job/south-1')).toBe('def')
  expect(keyOfCode(p, 's-1-2 ')).toBe('def')
  expect(keyOfCode(p, 'CW/OTHER/ABC')).toBeUndefined()
})

test('nothing is formed of a signed house before it is released', () => {
  const of = (state: Pack['release']['state']) => mayForm({ release: { state } } as Pack)
  expect([of('unsigned'), of('open'), of('ready'), of('released')]).toEqual([true, false, false, true])
})

test("a thermometer's reading is in hundredths of a degree, signed", () => {
  const bytes = (...b: number[]) => new DataView(new Uint8Array(b).buffer)
  expect(celsius(bytes(0x0d, 0x09))).toBe(23.17)
  expect(celsius(bytes(0x18, 0xfc))).toBe(-10)
  expect(celsius(bytes(0x00, 0x80))).toBeUndefined()
})
