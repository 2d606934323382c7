import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { likelier, plainLength, press, readTyped } from '../../src/text/marks'

const length = (typed: string, units: 'imperial' | 'metric' = 'imperial') => {
  const r = readTyped(typed, units)
  return r.is === 'length' ? r.text : r.is === 'either' ? r.choices.join(' or ') : r.is
}

describe('what is typed gets its marks', () => {
  it.each([
    ['7 5 3/8', `7' 5 3/8"`],
    ['7-5-3/8', `7' 5 3/8"`],
    ['7 5', `7' 5"`],
    ['43 1/4', `43 1/4"`],
    ['3/8', `3/8"`],
    ["7'5 3/8", `7' 5 3/8`],
    ['7 ft 5 3/8 in', `7' 5 3/8"`],
    ['-1 4', `-1' 4"`],
    ['0', '0'],
    ['2270 mm', '2270 mm'],
    ['32', `32' or 32"`],
    ['89.375', `89.375' or 89.375"`],
    ['', 'empty'],
    ['−3/4', `-3/4"`],
    ['7′ 5″', `7' 5"`],
  ])('%s reads %s', (typed, read) => expect(length(typed)).toBe(read))

  it.each([
    ['2270', '2270 mm'],
    ['2.27', '2.27 m or 2.27 mm'],
    ['40', '40 mm or 40 m'],
    ["7' 5", `7' 5`],
  ])('metric %s reads %s', (typed, read) => expect(length(typed, 'metric')).toBe(read))

  it('takes every feet, inches and fraction as it was meant', () => {
    fc.assert(
      fc.property(fc.nat(300), fc.nat(11), fc.integer({ min: 1, max: 15 }), (f, i, s) => {
        expect(length(`${f} ${i} ${s}/16`)).toBe(`${f}' ${i} ${s}/16"`)
      }),
    )
  })

  it('never throws and never invents digits', () => {
    fc.assert(
      fc.property(fc.string(), (typed) => {
        const r = readTyped(typed, 'imperial')
        if (r.is !== 'length' || r.text === '0') return
        expect(r.text.replace(/\D/g, '')).toBe(typed.replace(/''/g, '').replace(/\D/g, ''))
      }),
    )
  })
})

describe('a length so plain that the server is not asked first', () => {
  it.each([`10' 3"`, `7' 5 3/8"`, `36"`, `43 1/4"`, `32'`, `-1' 4"`, '0', '2270 mm'])('%s', (t) =>
    expect(plainLength.test(t)).toBe(true),
  )
  it.each([`7' 12"`, `7' 5 3/0"`, `7' 5 2/8"`, `7.5' 3"`, '12', `7' 5" x`, `9999'`, `7'5 3/8`, '', '-'])(
    'but %s is asked about',
    (t) => expect(plainLength.test(t)).toBe(false),
  )
})

describe('of two readings the likelier stands near what was there', () => {
  it('feet beside a wall, inches beside a window', () => {
    expect(likelier([`32'`, `32"`], 30 * 12)).toBe(0)
    expect(likelier([`36'`, `36"`], 31)).toBe(1)
    expect(likelier([`36'`, `36"`], undefined)).toBe(0)
  })
})

describe('the big keys write what a person would', () => {
  const tap = (...keys: string[]) => keys.reduce(press, '')
  it.each([
    [['7', "'", '5', '3/8'], `7' 5 3/8`],
    [['7', "'", '5', '3/8', '7/16'], `7' 5 7/16`],
    [['3/8'], '3/8'],
    [['4', '3', '1/4', '"'], `43 1/4"`],
    [['1', '2', 'back', '3'], '13'],
    [['minus', '4'], '-4'],
    [["'"], ''],
  ])('%j', (keys, written) => expect(tap(...keys)).toBe(written))
})
