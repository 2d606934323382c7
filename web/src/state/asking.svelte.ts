// The number that is being asked for, so that the drawing can lay the tape on it.

import type { Pt } from '../api/types'

export interface Span {
  wall: string
  from: Pt
  to: Pt
  text: string
}

class Asking {
  span = $state.raw<Span | undefined>()
}

export const asking = new Asking()
