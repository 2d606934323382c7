// Where the person is, kept in the address so that back, reload and a sent link work.
// #/ the jobs; #/job/ID/walls/south; #/job/ID/steel?scheme=B; #/job/ID/siding?photo=P1;
// #/owner/TOKEN for an owner; #/book/words the shop's book; #/site the crew's screens: #/site/ID, #/site/ID/machine,
// #/site/ID/wall/south

export const areas = ['walls', 'siding', 'steel', 'offer', 'papers', 'site'] as const
export type Area = (typeof areas)[number]
/** Areas that have no drawing of the house above them. */
export const sheets: readonly Area[] = ['offer', 'papers', 'site']

export interface Route {
  job?: string
  /** The token of an owner's link. */
  owner?: string
  /** The part of the shop's book that is open. */
  book?: string
  /** The crew's screens. */
  site?: SiteRoute
  area: Area
  at?: string
  scheme?: string
  /** A photo of the job, which the area shows in the drawing's place. */
  photo?: string
  /** The house all round, or an owner's chip of colour. */
  look?: Look
}
export const looks = ['round', 'chip'] as const
export type Look = (typeof looks)[number]

export interface SiteRoute {
  job?: string
  screen?: 'machine' | 'wall'
  wall?: string
}

export function readRoute(hash: string): Route {
  const [path = '', query = ''] = hash.replace(/^#\/?/, '').split('?')
  const steps = path.split('/').filter(Boolean).map(decoded)
  const asked = new URLSearchParams(query)
  const scheme = asked.get('scheme') ?? undefined
  const photo = asked.get('photo') ?? undefined
  const look = looks.find((l) => l === asked.get('look'))
  if (steps[0] === 'owner' && steps[1]) return { area: 'offer', owner: steps[1] }
  if (steps[0] === 'book') return { area: 'offer', book: steps[1] ?? 'prices' }
  if (steps[0] === 'site') return { area: 'site', site: siteRoute(steps), scheme }
  if (steps[0] !== 'job' || !steps[1]) return { area: 'walls' }
  const area = areas.find((a) => a === steps[2]) ?? 'walls'
  return { job: steps[1], area, at: steps[3], scheme, photo, look }
}

function siteRoute([, job, screen, wall]: string[]): SiteRoute {
  if (screen === 'wall' && wall) return { job, screen, wall }
  return { job, screen: screen === 'machine' ? screen : undefined }
}

function decoded(step: string): string {
  try {
    return decodeURIComponent(step)
  } catch {
    return step
  }
}

export function writeRoute(r: Route): string {
  if (r.book) return `#/book/${encodeURIComponent(r.book)}`
  if (!r.job) return '#/'
  const steps = ['job', r.job, r.area, ...(r.at ? [r.at] : [])].map(encodeURIComponent)
  const asked = (['scheme', 'photo', 'look'] as const).flatMap((k) =>
    r[k] ? [`${k}=${encodeURIComponent(r[k])}`] : [],
  )
  return `#/${steps.join('/')}${asked.length ? `?${asked.join('&')}` : ''}`
}

class Here {
  now = $state<Route>(readRoute(location.hash))
  constructor() {
    addEventListener('hashchange', () => {
      this.now = readRoute(location.hash)
    })
  }
  go(to: Partial<Route>): void {
    location.hash = writeRoute({ ...this.now, ...to })
  }
  link(to: Partial<Route>): string {
    return writeRoute({ ...this.now, ...to })
  }
}

export const here = new Here()
