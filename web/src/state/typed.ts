// What is typed and not yet entered outlives a reload, in this tab: it stands in its place again.

const key = (place: string) => `coilwright typed ${location.hash} ${place}`

export const typedAt = (place: string): string | undefined => sessionStorage.getItem(key(place)) ?? undefined

/** Keeps what is typed at a place as it stands now, or nothing; gives the way to forget it. */
export function keepTyped(place: string, text: string | undefined): () => void {
  const at = key(place)
  const forget = () => sessionStorage.removeItem(at)
  try {
    if (text === undefined) forget()
    else sessionStorage.setItem(at, text)
  } catch {
    // no room for it: it lasts as long as the page
  }
  return forget
}
