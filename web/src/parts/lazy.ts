// Parts of the page that are fetched apart from the first.

/** Fetches parts once the page has nothing else to do, so that they are there when they are asked for. */
export function afterwards(...parts: (() => Promise<unknown>)[]): void {
  const fetchAll = () => {
    for (const part of parts) void part().catch(() => {}) // asked for again where it is needed
  }
  // The one browser without idle callbacks waits a moment instead.
  if ('requestIdleCallback' in window) requestIdleCallback(fetchAll, { timeout: 5000 })
  else setTimeout(fetchAll, 1000)
}
