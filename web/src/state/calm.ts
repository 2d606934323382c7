/** The person asked for as little movement as can be. */
export const calm = (): boolean => matchMedia('(prefers-reduced-motion: reduce)').matches
