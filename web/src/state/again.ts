// When a server that does not answer is asked again.

/** Between two questions, in ms: each time twice as long. */
const [shortest, longest] = [1000, 60_000]

let hastened = 0
const waiting = new Set<() => void>()

/** The server may be there again, or a person waits for it: what waits is asked soon. */
export function goOn(): void {
  hastened++
  for (const over of waiting) over()
}

/** Goes on whenever the browser is online again or the person does something; begun once, by the page. */
export function heed(page: EventTarget): void {
  for (const what of ['online', 'pointerdown', 'keydown'])
    page.addEventListener(what, goOn, { capture: true })
}

/** Gives a way to wait before the next question: longer each time, and no longer than till goOn. */
export function pauses(): () => Promise<void> {
  let ms = shortest
  return async () => {
    const more = ms - shortest
    ms = Math.min(2 * ms, longest)
    const before = hastened
    await new Promise((done) => setTimeout(done, shortest))
    if (!more || before !== hastened) return
    await new Promise<void>((done) => {
      const over = () => {
        clearTimeout(wait)
        waiting.delete(over)
        done()
      }
      const wait = setTimeout(over, more)
      waiting.add(over)
    })
  }
}
