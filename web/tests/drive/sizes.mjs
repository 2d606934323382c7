// The sizes of a wall's openings in their fields: found, typed, and waited for.

export const number = (page, opening, i) => page.locator(`[data-opening=${opening}] [data-number]`).nth(i)

export async function type(page, opening, i, text) {
  await number(page, opening, i).focus()
  await page.keyboard.type(text)
  await page.keyboard.press('Enter')
}

export const shows = (page, opening, i, text) =>
  page.waitForFunction(
    ([o, n, t]) => document.querySelectorAll(`[data-opening=${o}] [data-number]`)[n]?.value === t,
    [opening, i, text],
  )
