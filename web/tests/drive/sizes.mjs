// The numbers of a wall's openings in their fields: found by name, typed, and waited for.

import { until } from './lib.mjs'

export const number = (page, opening, name) =>
  page.locator(`[data-opening=${opening}]`).getByLabel(name, { exact: true })

export async function type(page, opening, name, text) {
  await number(page, opening, name).focus()
  await page.keyboard.type(text)
  await page.keyboard.press('Enter')
}

export const shows = (page, opening, name, text) =>
  until(
    () => number(page, opening, name).inputValue(),
    (now) => now === text,
  )
