import { describe, expect, it } from 'vitest'
import type { JobDoc, Problem } from '../../src/api/types'
import { placeRoute, placeWords } from '../../src/text/places'
import { unitOf } from '../../src/text/words'

const doc = {
  house: {
    walls: [{ id: 'front' }, { id: 'No. 2' }],
    corners: [{ between: ['front.right', 'No. 2.edge[3]'], kind: 'outside' }],
  },
  schemes: [],
} as unknown as JobDoc

describe('a corner of the house', () => {
  it('is called by its two walls', () => {
    expect(placeWords('/house/corners/0', doc)).toBe('corner of front and No. 2')
  })
  it('is told where the page has no document', () => {
    expect(placeWords('$.house.corners[0]', undefined)).toBe('corner 1')
  })
  it('is mended at its first wall', () => {
    const p = { severity: 'warning', where: '$.house.corners[0]', what: '', mend: '' } as unknown as Problem
    expect(placeRoute(p, doc)).toEqual({ area: 'walls', at: 'front' })
  })
})

describe('a unit behind its quantity', () => {
  it('has a plural where it is a word', () => {
    const said = [
      ['hour', '4.5'],
      ['day', '1'],
      ['day', '3'],
      ['roll', '1.00'],
      ['ft', '12'],
      ['sq ft', '2'],
    ] as const
    expect(said.map(([u, q]) => unitOf(u, q))).toEqual(['hours', 'day', 'days', 'roll', 'ft', 'sq ft'])
  })
})
