// The field that the big keys write into, if any.

import { calm } from './calm'

export interface Field {
  label: string
  read: () => string
  write: (draft: string) => void
  enter: () => void
  /** What is amiss with what was typed, or how it is taken: the keys may cover the field's own word. */
  said?: () => string
}

/** How a press ends. */
const lifted = ['pointerup', 'pointercancel']

class Keys {
  field = $state.raw<Field | undefined>()
  /** Fingers, not a mouse: the page's own keys stand in for the phone's. */
  readonly touch = matchMedia('(pointer: coarse)').matches
  private pressed = false

  /** An input that has the focus is written by the big keys, above which it is moved. */
  take(field: Field, input: HTMLElement | undefined): void {
    this.field = field
    if (this.touch)
      setTimeout(() => input?.scrollIntoView({ block: 'start', behavior: calm() ? 'instant' : 'smooth' }), 30)
  }
  /** Hears when something is pressed and when it is let go. */
  press = (now: boolean) => () => {
    this.pressed = now
  }
  /**
   * A field that is left gives the keys up once the finger that left it is lifted or scrolls: what lies
   * under that finger would else move away before it is pressed.
   */
  leave(field: Field | undefined): void {
    const give = () => {
      if (this.field === field) this.field = undefined
    }
    if (!this.pressed) setTimeout(give)
    else for (const end of lifted) addEventListener(end, () => setTimeout(give), { once: true })
  }
}

export const keys = new Keys()
