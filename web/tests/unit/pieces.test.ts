import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Piece } from '../../src/api/types'
import { numbersByWall } from '../../src/text/pieces'

const piece = (wall: string, number: string) => ({ id: `${wall}.${number}`, wall, number }) as Piece

describe('a list of pieces', () => {
  it('is told wall by wall, a run by its ends', () => {
    const pieces = ['1-1', '1-2', '1-3', '1-10', '1-11'].map((n) => piece('south', n))
    const layout = { pieces: [...pieces, piece('east', '2-1')] }
    expect(numbersByWall(layout, ['east.2-1', ...pieces.map((p) => p.id)])).toEqual([
      { wall: 'south', numbers: '1-1 to 1-3, 1-10, 1-11' },
      { wall: 'east', numbers: '2-1' },
    ])
  })

  it('keeps what no layout knows', () => {
    expect(numbersByWall(undefined, ['a', 'b'])).toEqual([{ wall: '', numbers: 'a, b' }])
  })

  it('names each piece asked for once and no other', () => {
    const all = Array.from({ length: 40 }, (_, i) =>
      piece(i < 25 ? 'south' : 'east', i < 25 ? `1-${i + 1}` : `2-${i - 24}`),
    )
    fc.assert(
      fc.property(fc.subarray(all), (some) => {
        const told = numbersByWall(
          { pieces: all },
          some.map((p) => p.id),
        ).flatMap((w) =>
          w.numbers.split(', ').flatMap((run) => {
            const [from, to] = run.split(' to ')
            const [wall, first] = from!.split('-')
            const last = to ? Number(to.split('-')[1]) : Number(first)
            return Array.from({ length: last - Number(first) + 1 }, (_, k) => `${wall}-${Number(first) + k}`)
          }),
        )
        expect(told.sort()).toEqual(some.map((p) => p.number!).sort())
      }),
    )
  })
})
