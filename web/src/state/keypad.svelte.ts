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
}

export const keys = new Keys()
