// What a crew does on its phones, for the browser tests: naming itself, setting up, forming, hanging.

import { phone } from './lib.mjs'

/** A small phone in a hand. */
export const small = { ...phone, viewport: { width: 360, height: 740 } }

/** Opens a job on a phone of its own and says whose marks these are. */
export async function take(page, id, who, scheme = 'A') {
  await page.goto(`${new URL(page.url()).origin}/#/site/${id}?scheme=${scheme}`)
  await page.locator('main.who, main.choose').first().waitFor()
  if (await page.locator('main.who').count()) {
    await page.locator('[data-who] input').fill(who)
    await page.getByRole('button', { name: 'That is me' }).click()
  }
  await page.locator('main.choose').waitFor()
}

/** Goes to one of the crew's screens without loading the page again. */
export async function screen(page, id, at, ready, scheme = 'A') {
  await page.evaluate(([hash]) => (location.hash = hash), [`#/site/${id}/${at}?scheme=${scheme}`])
  await page.locator(ready).first().waitFor()
}

/** Ticks what the checklist asks for, types the lot, and threads the coil. */
export async function setUp(page, lot = 'B-2201') {
  for (const step of await page.locator('[data-step]').all()) await step.click()
  await page.locator('.lot input').fill(lot)
  await page.getByRole('button', { name: 'Confirm' }).click()
  const other = page.getByRole('button', { name: /all the same/ })
  if (await other.count()) await other.click()
  await page.locator('[data-threaded]').click()
}

const stages = '[data-setup], [data-first], [data-piece], [data-all-formed]'

/** Forms the next piece, with all that comes before it; gives its key, or nothing at the end. */
export async function form(page) {
  for (;;) {
    await page.locator(stages).first().waitFor()
    if (await page.locator('[data-setup]').count()) await setUp(page)
    else if (await page.locator('[data-first]').count())
      await page.getByRole('button', { name: /^It measures/ }).click()
    else if (await page.locator('[data-all-formed]').count()) return undefined
    else return pressed(page, '[data-formed]')
  }
}

/** Presses a button that holds itself for a moment after each press, and waits for what follows. */
export async function pressed(page, button) {
  const key = await page.locator('[data-piece]').getAttribute('data-piece')
  await page.locator(`${button}[aria-disabled=false]`).click()
  return key
}

/** Does every check of an open wall: seen, photographed, or, for one, said why not. */
export async function checks(page, picture) {
  const list = page.locator('[data-checks]')
  if (!(await list.evaluate((e) => e.open))) await list.locator('> summary').click()
  const items = await page.locator('[data-item]').all()
  let said = false
  for (const item of items) {
    if (await item.locator('.sound').count()) continue
    const camera = item.locator('input[type=file]')
    if (!(await camera.count())) await item.getByRole('button', { name: 'Seen' }).click()
    else if (!said) {
      await item.locator('form input').fill('Seen by the inspector, no camera at hand')
      await item.getByRole('button', { name: 'Without photo' }).click()
      said = true
    } else await camera.setInputFiles({ name: 'wall.png', mimeType: 'image/png', buffer: picture })
    await item.locator('.sound').waitFor()
  }
}

/** Waits until the phone has sent all it has. */
export const sent = (page) => page.locator('[data-line=sent][data-waiting="0"]').waitFor()
