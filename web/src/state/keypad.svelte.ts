// The field that the big keys write into, if any.

export interface Field {
  label: string
  read: () => string
  write: (draft: string) => void
  enter: () => void
}

class Keys {
  field = $state.raw<Field | undefined>()
  /** Fingers, not a mouse: the page's own keys stand in for the phone's. */
  readonly touch = matchMedia('(pointer: coarse)').matches
  private pressed = false

  /** Hears when something is pressed and when it is let go. */
  press = (now: boolean) => () => {
    this.pressed = now
  }
  /**
   * A field that is left gives the keys up once the finger that left it is lifted: what lies
   * under that finger would else move away before it is pressed.
   */
  leave(field: Field | undefined): void {
    const give = () => {
      if (this.field === field) this.field = undefined
    }
    if (this.pressed) addEventListener('pointerup', () => setTimeout(give), { once: true })
    else setTimeout(give)
  }
}

export const keys = new Keys()
