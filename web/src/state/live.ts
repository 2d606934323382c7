// The server's line of news about a job.

import { goOn, pauses } from './again'

/**
 * Calls back for each event of some names; hello comes whenever the line is there, with what stands
 * then, since something may have come before it did. The browser opens a broken line anew, but gives
 * up where a gateway answers for the server (HTML, 9.2.3): then it is opened anew here. Gives a way
 * to end it.
 */
export function live(id: string, names: string[], heard: (data: unknown, name: string) => void): () => void {
  let source: EventSource | undefined
  let over = false
  let pause = pauses()
  const lost = async () => {
    if (source?.readyState !== EventSource.CLOSED) return
    await pause()
    if (!over) begin()
  }
  function begin() {
    source = new EventSource(`/api/jobs/${encodeURIComponent(id)}/live`)
    for (const name of ['hello', ...names])
      source.addEventListener(name, (e) => heard(JSON.parse((e as MessageEvent<string>).data), name))
    source.addEventListener('hello', () => {
      pause = pauses()
      goOn()
    })
    source.addEventListener('error', lost)
  }
  begin()
  return () => {
    over = true
    source?.close()
  }
}
