// The pictures of one photo, by scheme: the one that is looked at first, the others
// fetched behind it so that changing over takes no time.

import { wordsOf } from '../../../api/refusal'
import { file, pictureUrl, type SunAt } from './calls'

export interface Picture {
  key: string
  url: string
}

export class Painted {
  pictures = $state.raw<Record<string, Picture>>({})
  busy = $state.raw<Record<string, string>>({})
  failed = $state('')
  private stops = new Map<string, AbortController>()

  constructor(
    private readonly job: string,
    private readonly photo: string,
    private readonly width = 1600,
  ) {}

  /** Fetches the picture of a scheme as the job stands; the old one stays until then. */
  async want(scheme: string, revision: number, sun?: SunAt): Promise<void> {
    const key = `${revision} ${sun ? `${sun.azimuth_deg} ${sun.elevation_deg}` : 'own'}`
    if (this.pictures[scheme]?.key === key || this.busy[scheme] === key) return
    this.stops.get(scheme)?.abort()
    const stop = new AbortController()
    this.stops.set(scheme, stop)
    this.busy = { ...this.busy, [scheme]: key }
    try {
      const url = URL.createObjectURL(
        await file(pictureUrl(this.job, this.photo, scheme, this.width, sun), stop.signal),
      )
      const ready = new Image()
      ready.src = url
      await ready.decode().catch(() => {})
      if (stop.signal.aborted) return URL.revokeObjectURL(url)
      const before = this.pictures[scheme]?.url
      this.pictures = { ...this.pictures, [scheme]: { key, url } }
      this.failed = ''
      if (before) setTimeout(() => URL.revokeObjectURL(before), 1000)
    } catch (e) {
      if (stop.signal.aborted) return
      this.failed = wordsOf(e)
    }
    const { [scheme]: _, ...rest } = this.busy
    this.busy = rest
  }

  close(): void {
    for (const s of this.stops.values()) s.abort()
    for (const p of Object.values(this.pictures)) URL.revokeObjectURL(p.url)
  }
}
