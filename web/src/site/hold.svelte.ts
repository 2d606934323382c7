// A glove taps twice where a finger taps once.

/** How long after a mark another tap is the same one, in ms. */
const bounce = 450

/** Says for a moment after a mark that what is tapped now was meant for that. */
export class Hold {
  now = $state(false)
  take(): void {
    this.now = true
    setTimeout(() => {
      this.now = false
    }, bounce)
  }
}
