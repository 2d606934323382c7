// A place in the job file in words, and as a link to where it is changed on the page.

import type { JobDoc, Problem } from '../api/types'
import { wallOfEdge } from '../house/walls'
import type { Route } from '../state/route.svelte'
import { say } from './words'

/** The steps of a JSON Pointer or of a path like $.house.walls[0].outline. */
export function stepsOf(where: string): string[] {
  if (where.startsWith('/')) {
    return where
      .slice(1)
      .split('/')
      .map((s) => s.replace(/~1/g, '/').replace(/~0/g, '~'))
  }
  return where
    .replace(/^\$\.?/, '')
    .replace(/\[(\d+)\]/g, '.$1')
    .split('.')
    .filter(Boolean)
}

/** "south, S1, from the left" for /house/walls/0/openings/0/at/0. */
export function placeWords(where: string, doc: JobDoc | undefined): string {
  const s = stepsOf(where)
  if (s[0] === 'house' && s[1] === 'walls' && s[2]) return wallWords(s, doc)
  if (s[0] === 'house' && s[1] === 'corners' && s[2]) {
    const walls = wallsMeeting(s, doc)
    return walls.length === 2 ? `corner of ${walls.join(' and ')}` : `corner ${Number(s[2]) + 1}`
  }
  if (s[0] === 'schemes' && s[1]) {
    const scheme = doc?.schemes[Number(s[1])]
    const zone = s[2] === 'zones' && s[3] ? scheme?.zones[Number(s[3])]?.id : undefined
    const rest = s.slice(zone ? 4 : 2).filter((x) => !/^\d+$/.test(x))
    return [`scheme ${scheme?.id ?? s[1]}`, zone && `zone ${zone}`, ...rest.map(say)]
      .filter(Boolean)
      .join(', ')
  }
  return s.map(say).join(', ') || 'the job'
}

/** The walls whose edges a corner joins. */
function wallsMeeting(s: string[], doc: JobDoc | undefined): string[] {
  const between = doc?.house.corners?.[Number(s[2])]?.between ?? []
  return between.map(wallOfEdge)
}

function wallWords(s: string[], doc: JobDoc | undefined): string {
  const wall = doc?.house.walls[Number(s[2])]
  const words = [wall?.id ?? `wall ${s[2]}`]
  if (s[3] === 'openings' && s[4]) {
    words.push(wall?.openings?.[Number(s[4])]?.id ?? `opening ${s[4]}`)
    const field: Record<string, string[]> = { at: ['from the left', 'sill'], size: ['width', 'height'] }
    if (s[5]) words.push(field[s[5]]?.[Number(s[6])] ?? (s[5] === 'at' ? 'place' : say(s[5])))
  } else if (s[3] === 'outline') words.push('its outline')
  else if (s[3]) words.push(say(s[3]))
  return words.join(', ')
}

/** Where on the page a problem is mended. */
export function placeRoute(p: Problem, doc: JobDoc | undefined): Partial<Route> {
  const s = stepsOf(p.pointer || p.where)
  const wall = p.wall ?? (s[1] === 'walls' ? doc?.house.walls[Number(s[2])]?.id : undefined)
  if (s[0] === 'schemes') {
    const scheme = p.scheme ?? doc?.schemes[Number(s[1])]?.id
    const lays = /strip|joint|leave|piece/.test(p.what)
    return { area: lays ? 'steel' : 'siding', scheme, at: wall ?? wallIn(p.what, doc) }
  }
  if (s[1] === 'corners') return { area: 'walls', at: wallsMeeting(s, doc)[0] }
  if (s[0] === 'house') return { area: 'walls', at: wall ?? wallIn(p.what, doc) }
  return { area: 'siding' }
}

function wallIn(text: string, doc: JobDoc | undefined): string | undefined {
  return doc?.house.walls.find((w) => text.includes(`wall ${w.id},`) || text.includes(`wall ${w.id} `))?.id
}
