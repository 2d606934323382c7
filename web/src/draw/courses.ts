// The course heights of the house: what the story pole shows.

import type { Layout } from '../api/types'

export interface Course {
  n: number
  low_in: number
  high_in: number
}

/** The courses of the lying zone that covers most, over all walls. */
export function coursesOf(layout: Layout | undefined): Course[] {
  const lying = (layout?.courses ?? []).filter((c) => !c.vertical && !c.counted)
  const most = new Map<string, number>()
  for (const c of lying) most.set(c.zone, (most.get(c.zone) ?? 0) + c.bands.length)
  const zone = [...most].sort((a, b) => b[1] - a[1])[0]?.[0]
  const found = new Map<number, Course>()
  for (const c of lying.filter((c) => c.zone === zone)) {
    for (const b of c.bands) found.set(b.k, { n: b.k, low_in: b.low_in, high_in: b.high_in })
  }
  return [...found.values()].sort((a, b) => a.n - b.n)
}
