// Enter walks from number to number, as one calls them out along the wall.

/** Focuses the next number field of the same sheet; at the last one, a button that asks for it. */
export function enterNext(from: HTMLElement): void {
  const sheet = from.closest<HTMLElement>('[data-numbers]')
  if (!sheet) return from.blur()
  const all = [...sheet.querySelectorAll<HTMLElement>('[data-number], [data-last]')].filter(
    (e) => e.offsetParent,
  )
  const next = all[all.indexOf(from) + 1]
  if (!next) return from.blur()
  next.focus()
}
