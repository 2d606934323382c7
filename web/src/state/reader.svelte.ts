// How the person is reading the house now: with a tape unless they say otherwise.

import type { Measured } from '../api/types'
import type { Source } from '../text/words'

class Reader {
  by = $state<Source>('tape')
  plus_minus = $state<Record<string, string>>({ tape: '1/8 in', photo: '1/2 in', plan: '1/2 in' })
  get measured(): Measured {
    const spread = this.plus_minus[this.by]
    return spread ? { by: this.by, plus_minus: spread } : { by: this.by }
  }
}

export const reader = new Reader()
