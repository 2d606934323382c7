// A piece as a sketch: long is drawn shorter than high, so that notches can be seen; the
// figures beside it are the server's and hold, the drawing does not.

import type { Pt } from '../api/types'
import type { Notch, SitePiece } from './wire'

export interface Sketch {
  width: number
  height: number
  outline: string
  holes: string
  marks: Mark[]
}
/** A figure under or over the sketch, at x, on its own row so that none overlap. */
export interface Mark {
  x: number
  y: number
  row: number
  text: string
  anchor: 'start' | 'middle' | 'end'
}

const high = 64
export const rowHeight = 20

/** x and y in pixels for a piece drawn into a width. */
export function scaled(piece: Pick<SitePiece, 'length_in' | 'across_in'>, width: number) {
  const sx = width / Math.max(piece.length_in, 1)
  const sy = Math.min(high / Math.max(piece.across_in, 1), 8)
  const tall = piece.across_in * sy
  return { x: (v: number) => v * sx, y: (v: number) => tall - v * sy, tall }
}

const n = (v: number) => v.toFixed(1)
const ring = (points: Pt[], at: ReturnType<typeof scaled>) =>
  `M${points.map((p) => `${n(at.x(p[0]))} ${n(at.y(p[1]))}`).join('L')}Z`

export function sketch(piece: SitePiece, width: number): Sketch {
  const at = scaled(piece, width)
  return {
    width,
    height: at.tall,
    outline: ring(piece.shape, at),
    holes: (piece.holes ?? []).map((h) => ring(h, at)).join(''),
    marks: placed(
      (piece.notches ?? []).flatMap((c) => reaches(c, at, width)),
      width,
    ),
  }
}

/** From where to where a notch reaches, from the piece's left end. */
function reaches(c: Notch, at: ReturnType<typeof scaled>, width: number): Mark[] {
  const left = Math.min(Math.max(at.x(c.x_in), 0), width)
  const right = Math.min(Math.max(at.x(c.x_in + c.w_in), 0), width)
  const y = at.tall
  const mark = (x: number, text: string): Mark => ({ x, y, row: 0, text, anchor: anchorAt(x, width) })
  return [mark(left, c.from), mark(right, c.to)].filter((m) => m.text)
}

const anchorAt = (x: number, width: number): Mark['anchor'] =>
  x < width * 0.15 ? 'start' : x > width * 0.85 ? 'end' : 'middle'

/** Puts figures that would touch on rows of their own. */
export function placed(marks: Mark[], width: number): Mark[] {
  const ends: number[] = []
  return [...marks]
    .sort((a, b) => a.x - b.x)
    .map((m) => {
      const long = m.text.length * 8 + 10
      const from = m.anchor === 'start' ? m.x : m.anchor === 'end' ? m.x - long : m.x - long / 2
      let row = ends.findIndex((end) => from >= end)
      if (row < 0) row = ends.length
      ends[row] = Math.min(from + long, width + long)
      return { ...m, row }
    })
}
