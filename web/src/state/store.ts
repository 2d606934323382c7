// What is needed beside the browser's own stores: names by chance, and the names under a store's part.

/** Enough letters by chance that no two phones or tabs ever draw the same. */
export function drawn(bytes = 16): string {
  return [...crypto.getRandomValues(new Uint8Array(bytes))]
    .map((b) => b.toString(16).padStart(2, '0'))
    .join('')
}

/** The names in a store that begin so. */
export const namesUnder = (store: Pick<Storage, 'key' | 'length'>, start: string): string[] =>
  Array.from({ length: store.length }, (_, i) => store.key(i) ?? '').filter((name) => name.startsWith(start))
