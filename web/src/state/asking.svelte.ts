// The number that is being asked for, so that the drawing can lay the tape on it, and the
// wall whose numbers are asked next.

import type { Pt } from '../api/types'

export interface Span {
  wall: string
  from: Pt
  to: Pt
  text: string
}

class Asking {
  span = $state.raw<Span | undefined>()
  /** A new wall: its first number takes the keyboard once it is there. */
  wall = $state<string>()
}

export const asking = new Asking()
