// The job file as the page edits it, and the answers that it draws from. Names with
// _in are decimal inches for drawing; the text beside them is what a person reads.

import type { Units } from '../text/marks'
import type { Source } from '../text/words'

export type Pt = [number, number]
export interface Measured {
  by?: Source
  plus_minus?: string | number
}
export type NumberText = string | number | { length: string | number; measured?: Measured }
export type PtText = [NumberText, NumberText]

export interface OpeningDoc {
  id: string
  kind: string
  at?: PtText
  size?: PtText
  outline?: PtText[]
  measured?: Measured
}
export interface WallDoc {
  id: string
  outline: PtText[]
  edges: string[]
  faces_deg?: number
  openings?: OpeningDoc[]
  measured?: Measured
  over?: string
  overhang?: NumberText | NumberText[]
}
export interface CornerDoc {
  between: [string, string]
  kind: 'outside' | 'inside'
}
export type Where = 'gable' | 'rest' | { below?: NumberText; above?: NumberText; outline?: PtText[] }
export interface ZoneDoc {
  id: string
  walls: 'all' | string[]
  where: Where
  panel: string
  texture?: string
  colour?: string
  start?: string
  balance?: string
}
export interface SchemeDoc {
  id: string
  title?: string
  zones: ZoneDoc[]
  frieze?: NumberText
  trim_colour?: string
  datum?: NumberText | { between: [NumberText, NumberText] }
}
export interface JobDoc {
  format: string
  title?: string
  units?: Units
  house: { walls: WallDoc[]; corners?: CornerDoc[]; photos?: unknown[]; site?: WindDoc }
  schemes: SchemeDoc[]
  shop: Record<string, unknown>
  site?: SiteDoc
}
/** What the wind on the house depends on; not all of it is asked on the page. */
export interface WindDoc {
  edition?: string
  wind_mph?: number
  exposure?: string
  mean_roof_height?: string
  [more: string]: unknown
}
/** A line of the work around the panels. */
export interface Scope {
  what: string
  by?: string
  note?: string
}
/** What the visit to the house found out; what is left out is not known. */
export interface SiteDoc {
  owner?: string
  address?: string[]
  tear_off?: string
  scaffold_moves?: number
  start?: string
  finish?: string
  scope?: Scope[]
  not_included?: string[]
}

export interface Known {
  by: Source
  plus_minus?: string
  fit_to_cut?: boolean
}
export interface OpeningView {
  id: string
  kind: string
  outline_in: Pt[]
  at_in: Pt
  size_in: Pt
  at: [string, string]
  size: [string, string]
  from_right?: string
  head?: string
  boxed?: boolean
  measured?: Known
}
export interface WallView {
  id: string
  title?: string
  outline_in: Pt[]
  outline: [string, string][]
  readings?: Known[][]
  edges: string[]
  width: string
  height: string
  faces_deg?: number | null
  openings: OpeningView[]
  measured?: Known
}
export interface PlanView {
  ring: { wall: string; from_in: Pt; to_in: Pt; faces_deg?: number | null }[]
  closes: boolean
  joined?: boolean
  apart?: string[]
  gap_in?: number
  gap?: string
  what?: string
}
export interface HouseView {
  units: Units
  walls: WallView[]
  plan: PlanView
}

export interface Problem {
  severity: 'error' | 'warning'
  where: string
  pointer?: string
  what: string
  mend: string
  wall?: string
  opening?: string
  scheme?: string
  zone?: string
  piece?: string
}

export interface Piece {
  id: string
  number?: string
  wall: string
  zone: string
  course: number
  panel: string
  texture: string
  colour: string
  at_in: Pt
  length_in: number
  length: string
  cover_in: number
  rip_in: number | null
  rip?: string
  shape: Pt[]
  holes: Pt[][]
  notches: unknown[]
  ends: { side: string; receiver: string; angle_deg: number }[]
  measured: Known
  warnings: string[]
}
/** A zone on a wall as it is drawn: what it takes, and where its laps count from. */
export interface CoursesAnswer {
  zone: string
  wall: string
  panel: string
  texture: string
  colour: string
  vertical: boolean
  counted: boolean
  origin_in: number
  cover_in: number
  exposure_in: number
  laps: number
  outlines_in: Pt[][]
  holes_in: Pt[][]
  bands: { k: number; low_in: number; high_in: number }[]
}
export interface Drawn {
  id: string
  wall: string
  outline_in: Pt[]
  holes_in: Pt[][]
}
export interface Height {
  at_in: number
  at: string
  slivers: number
  rips_and_notches: number
  steel_ft2: number
}
export interface Heights {
  at_in: number
  at: string
  chosen: boolean
  range_in: Pt
  best_in: number
  best: string
  candidates: Height[]
}
export interface TrimLine {
  kind: string
  what: string
  wall: string
  length_in: number
  length: string
  count: number
  pieces: number
  area_ft2: number
  from: string
  note: string
}
export interface Layout {
  scheme: string
  datum_in: number
  datum: string
  pieces: Piece[]
  totals: {
    pieces: number
    region_ft2: number
    panel_ft: number
    joints: number
    slivers: number
    coil_ft?: number
  }
  heights: Heights
  drawn: Drawn[]
  friezes: { wall: string; outlines_in: Pt[][] }[]
  courses: CoursesAnswer[]
  trim: TrimLine[]
  warnings: Problem[]
}
