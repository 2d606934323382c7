// What the server tells a crew's phone about a job (the pack), and how marks go to and fro.
// Lengths are worked out and written by the server; _in and _ft are for drawing and adding.

import type { Pt } from '../api/types'
import type { Kind, Mark } from './tally'

export interface Length {
  in: number
  text: string
}
export interface Pack {
  job: string
  title: string
  scheme: string
  scheme_title: string
  revision: number
  units: 'imperial' | 'metric'
  install_temp_f: number
  temp: string
  house_invented: boolean
  book: string
  machine: {
    threading_scrap_ft: number
    threading_scrap: string
    cut_loss_in: number
    cut_loss: string
    first_piece_within: Length
  }
  setups: SetUp[]
  pieces: SitePiece[]
  blanks: Blank[]
  coils: PackCoil[]
  bundles: Bundle[]
  walls: PackWall[]
  gap: Gap
  wind: Wind
  carry: { rule: string; stop_mph: number; text: string }
  cautions: { where: Caution; text: string }[]
  left_out: { piece: string; why: string; unfit: boolean }[]
  qr: { prefix: string }
  release: { state: 'unsigned' | 'open' | 'ready' | 'released'; says: string; why: string[] }
}
/** Pieces that are carried together: from the first to the last that hangs. */
export interface Bundle {
  id: string
  wall: string
  setup: string
  first: string
  last: string
  count: number
  weight_lb: number
  people: number
}
export type Caution = 'load' | 'thread' | 'run' | 'jam' | 'carry' | 'hang' | 'wall' | 'site'
export interface Step {
  id: 'power' | 'rollers' | 'texture' | 'coil' | 'thread' | 'first'
  what: string
  caution: string
}
export interface SetUp {
  id: string
  n: number
  panel: string
  panel_title: string
  texture: string
  texture_rollers: 'in' | 'out'
  colour: string
  colour_title: string
  thickness: string
  width: string
  minutes: number
  steps: Step[]
  reels: { coil: string; pieces: string[] }[]
}
export interface End {
  cut: string
  angle_deg: number
  receiver: string
  gap: string
}
export interface Notch {
  opening: string
  where: 'top' | 'bottom' | 'left' | 'right' | 'inside'
  square: boolean
  x_in: number
  y_in: number
  w_in: number
  h_in: number
  from: string
  to: string
  width: string
  height: string
  up: string
}
/** What the machine forms: a piece of a wall, or a flat blank. */
export interface Formable {
  key: string
  id: string
  wall: string
  setup: string
  coil: string
  length: string
  length_in: number
  label: string
}
export type Blank = Formable
export interface SitePiece extends Formable {
  number: string
  zone: string
  course: number
  panel: string
  vertical: boolean
  cover_in: number
  across_in: number
  rip?: Length
  at_in: Pt
  at: [string, string]
  shape: Pt[]
  holes?: Pt[][]
  ends: [End, End]
  notches?: Notch[]
  marks_low?: [string, string]
  marks_high?: [string, string]
  gap_step: number
  gap_from_f: number[]
  hang_below_f?: number
  weight_lb: number
  people: number
  warnings?: string[]
  /** The same for pieces cut the same, wherever they hang. */
  cut: string
  /** Not fit to cut by the shop's rule, and cut on somebody's word. */
  on_word?: { name: string; reason: string; unfit: string }
}
export interface PackCoil {
  id: string
  /** What a person calls it. */
  name: string
  lot: string
  colour: string
  thickness: string
  width: string
  bought: boolean
  length_ft: number
  plus_minus_ft: number
  used_ft: number
  tail_ft: number
  pieces: number
}
export interface PackWall {
  id: string
  width: string
  height: string
  outline_in: Pt[]
  edges: string[]
  openings: { id: string; kind: string; outline_in: Pt[] }[]
  order: { zone: string; course: number; line: string; line_in: number; pieces: string[] }[]
  pole: { y_in: number; y: string; from_datum: string; text: string }[]
  gaps: { columns: string[]; rows: { temp_f: number; temp: string; gaps: string[] }[] }
  nails: string
  sizes: Size[]
  quality: Quality[]
  edge_strip: string
}
export interface Size {
  id: string
  what: string
  value: string
  value_in: number
  opening: string
}
export interface Quality {
  id: string
  what: string
  when: 'before' | 'start' | 'during' | 'end'
  photo: boolean
  gate: boolean
  source: string
}
export interface Gap {
  steps: Length[]
  colder: string
  shorten: string[]
  shorten_one: string[]
  rule: string
  text: string
  lowest_f: number
  highest_f: number
}
export interface Wind {
  known: boolean
  asks: { field: string; what: string; where: string }[]
  inputs: { what: string; value: string; from: string }[]
  pulls: { zone: string; what: string; strength_psf: number; allowable_psf: number; push_psf: number }[]
  nailing: {
    panel: string
    zone: string
    apart: string
    pulled_lb: number
    holds_lb: number
    rated_psf: number
    ok: boolean
    text: string
  }[]
  slot: string
  text: string
}

export interface MarksIn {
  after: string
  now: string
  device: string
  scheme?: string
  marks: Mark[]
}
export interface Refused {
  id: string
  index: number
  why: string
  mend: string
}
export interface Told {
  id: string
  what: string
  text: string
}
export interface MarksOut {
  accepted: string[]
  refused: Refused[]
  told: Told[]
  cursor: string
  marks: (Mark & { seq?: number; received?: string })[]
  more: boolean
  restart: boolean
  clock: { now: string; skew_s: number; text: string }
  photos_wanted: string[]
}

export interface Was {
  key: string
  id: string
  number: string
  wall: string
  label: string
  state: 'waiting' | 'ready' | 'hung'
}
export interface Difference {
  from: number
  to: number
  same: number
  renamed: { key: string; was: string; now: string }[]
  changed: { was: Was; now: SitePiece; what: string[]; formed: boolean }[]
  gone: Was[]
  added: SitePiece[]
  walls: string[]
}
export interface Recut {
  given: {
    piece: string
    coil: string
    how: 'tail' | 'moved' | 'stock' | 'buy'
    thread: boolean
    other_lot: boolean
    text: string
  }[]
  moved: { piece: string; from: string; to: string }[]
  next: { coil: string; lot: string; pieces: string[]; left_ft: number; tail_ft: number }[]
  buy: { colour: string; length_ft: number; count: number }[]
  left_out: { piece: string; why: string }[]
  text: string
}

/** What a person says of a mark in a list. */
export const saidKind: Record<Kind, string> = {
  formed: 'formed',
  spoiled: 'spoiled',
  hung: 'hung',
  'taken-off': 'taken off',
  measured: 'size reported',
  covered: 'seen',
  checked: 'first piece measured',
  loaded: 'coil loaded',
  reel: 'reel read',
  moved: 'serves here',
  withdrawn: 'taken back',
}
