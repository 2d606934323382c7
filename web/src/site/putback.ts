// A phone that was put back to an older copy of itself, and marks that it could not send yet.

import type { Kind, Mark } from './tally'

/** What can be known of it: what came back from the office, and that what never was sent is gone. */
export function putBackText(marks: Mark[], said: Record<Kind, string>): string {
  const last = marks.reduce((a, b) => (b.count > a.count ? b : a))
  const when = new Date(last.at)
  const at = Number.isNaN(when.getTime()) ? last.at : when.toLocaleString()
  const what = `${last.note || last.piece} ${said[last.kind]}`
  return `This phone was put back to an older copy of itself. ${marks.length === 1 ? 'One mark that it had sent has' : `${marks.length} marks that it had sent have`} come back from the office, the last of ${at}: ${what}. Whatever was marked here after that and never reached the office is gone, and nobody else has it: look at the pieces that lie there and at the wall, and mark again what is missing.`
}

interface Later {
  sync?: { register(tag: string): Promise<void> }
}
/** Asks the browser to send what waits as soon as there is network, even after the page is closed. */
export async function sendLater(): Promise<void> {
  const worker = (await navigator.serviceWorker?.getRegistration()) as Later | undefined
  await worker?.sync?.register('marks').catch(() => {}) // not every browser lets it; the page sends too
}
