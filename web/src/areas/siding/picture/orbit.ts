// Where the eye stands around the house: an angle around it from the front, one over the
// ground, both in radians, and how far off in sizes of the house.

export interface Eye {
  around: number
  over: number
  off: number
}

/** Level with the middle of the walls, as somebody on the ground sees them: no roof is part of the body. */
export const front: Eye = { around: 0, over: 0, off: 2.5 }

/** Keeps the eye above the ground, off the zenith, and neither inside nor out of sight. */
export const held = (e: Eye): Eye => ({
  around: e.around,
  over: Math.min(1.35, Math.max(-0.05, e.over)),
  off: Math.min(6, Math.max(0.7, e.off)),
})

/** The eye's direction as glTF counts: y up, the front looking along z. */
export function eyeAt(e: Eye): [number, number, number] {
  const level = Math.cos(e.over)
  return [level * Math.sin(e.around), Math.sin(e.over), level * Math.cos(e.around)]
}

const step = Math.PI / 24
const steps: Record<string, (e: Eye) => Eye> = {
  ArrowLeft: (e) => ({ ...e, around: e.around - step }),
  ArrowRight: (e) => ({ ...e, around: e.around + step }),
  ArrowUp: (e) => ({ ...e, over: e.over + step / 2 }),
  ArrowDown: (e) => ({ ...e, over: e.over - step / 2 }),
  '+': (e) => ({ ...e, off: e.off / 1.15 }),
  '=': (e) => ({ ...e, off: e.off / 1.15 }),
  '-': (e) => ({ ...e, off: e.off * 1.15 }),
  Home: () => front,
}

/** Where a key moves the eye to; undefined where it moves nothing. */
export function moved(e: Eye, key: string): Eye | undefined {
  const to = Object.hasOwn(steps, key) ? steps[key] : undefined
  return to && held(to(e))
}
