// Every screen of the page, by name, and how one gets there: for the pictures and for axe.

import { screen, setUp, take } from './crew.mjs'
import { crewLater, officeScreens } from './later.mjs'
import { addScene, noScene } from './scene.mjs'
import { number } from './sizes.mjs'

/** Walks through all screens of a page that is open on the jobs list, calling at each. */
export async function everyScreen(page, base, id, at) {
  const go = async (hash, ready) => {
    await page.goto(`${base}#/${hash}`)
    await page.locator(ready).first().waitFor()
  }
  const drawn = '[data-pieces]'
  await go('', 'main li')
  await at('jobs')
  await page.getByRole('button', { name: 'New house' }).click()
  await page.locator('.shapes input').nth(4).waitFor()
  await at('new-house')
  await go(`job/${id}/walls`, drawn)
  await at('walls-house')
  await go(`job/${id}/walls/east`, drawn)
  await at('walls-one')
  const sill = number(page, 'E1', 'Sill')
  await sill.focus()
  await page.keyboard.type('2 8')
  await at('walls-typing')
  await page.keyboard.press('Escape')
  await sill.blur()
  await page.getByRole('button', { name: '+ Window' }).click()
  await at('walls-opening')
  await go(`job/${id}/siding`, drawn)
  await page.locator('li:nth-child(3) dl').first().waitFor()
  await at('siding')
  await page.locator('h2:text("What hangs where")').evaluate((e) => e.scrollIntoView())
  await at('siding-zones')
  await go(`job/${id}/steel`, drawn)
  await page
    .getByText(/tail .* ft/)
    .first()
    .waitFor()
  await at('steel')
  await go(`job/${id}/steel/north`, drawn)
  await page.locator('tbody button').nth(3).click()
  await at('steel-piece')
  await page.locator('h2:text("Coils")').evaluate((e) => e.scrollIntoView())
  await at('steel-coils')
  await page.locator('.flags').click()
  await page.getByRole('dialog').waitFor()
  await at('warnings')
  await go(`job/${id}/papers`, 'img')
  await page.waitForFunction(() => document.querySelector('img')?.naturalWidth > 0)
  await at('papers')
  await go(`job/${id}/siding?look=round`, '[data-shown^="A "]')
  await page.getByRole('button', { name: 'Turn slowly' }).click()
  await at('all-round')
  await go(`job/${id}/siding?look=chip`, '.start')
  await at('chip')
  await onPhoto(page, base, id, go, at)
  await go(`job/${id}/site`, '[data-site] table')
  await at('site-office')
  await officeScreens(page, base, id, go, at)
  await crewScreens(page, id, at)
}

/** The screens that need a photo of the house: skipped where the scenes do not lie beside. */
async function onPhoto(page, base, id, go, at) {
  if (noScene) return
  const photos = (await (await fetch(`${base}api/jobs/${id}`)).json()).document.house.photos ?? []
  if (!photos.length) await addScene(base, id)
  const painted = { timeout: 120_000 }
  await go(`job/${id}/siding?photo=P1`, '.frame')
  await page.locator('[data-shown="A"]').waitFor(painted)
  await at('on-photo')
  const f = await page.locator('.frame').boundingBox()
  await page.mouse.click(f.x + 0.3 * f.width, f.y + 0.6 * f.height)
  await page.locator('[data-spot="south field"]').waitFor()
  await at('on-photo-zone')
  await page.getByRole('button', { name: 'At arm’s length' }).click()
  await page.locator('[data-closeup]').waitFor(painted)
  await at('at-arms-length')
  await page.keyboard.press('Escape')
  await page.getByRole('button', { name: 'Sun', exact: true }).click()
  await at('on-photo-sun')
  await page.getByRole('button', { name: 'Side by side' }).click()
  await page.locator('[data-beside-scheme="C"]').waitFor(painted)
  await at('side-by-side')
  await go(`job/${id}/walls?photo=P1`, '[data-size] b')
  await page.waitForFunction(() => document.querySelector('[data-board] img')?.naturalWidth > 0)
  await at('photo-marked')
  await page.locator('details summary').first().click()
  await page.locator('details[open] button').nth(2).click()
  await page.locator('[data-loupe]').waitFor()
  await at('photo-corner')
  await page.getByRole('button', { name: '+ Window' }).click()
  await page.locator('[data-asks]').waitFor()
  await at('photo-asking')
  await page.getByRole('button', { name: 'No more' }).click()
}

/** What a crew sees on its phone: the jobs, the checklist, a piece, a wall, and all about it. */
async function crewScreens(page, id, at) {
  await take(page, id, 'JK')
  await at('crew-choose')
  await screen(page, id, 'machine', '[data-machine]')
  const setups = page.locator('.pick select')
  await setups.selectOption({ index: (await setups.locator('option').count()) - 1 })
  await page.locator('[data-setup]').waitFor()
  await at('crew-setup')
  await setups.selectOption({ index: 0 })
  await page.locator('[data-setup], [data-formed]').first().waitFor()
  if (await page.locator('[data-setup]').count()) await setUp(page)
  await page.locator('[data-formed]').waitFor()
  await at('crew-machine')
  await crewLater(page, id, at)
  await screen(page, id, 'wall/east', '[data-wall]')
  await at('crew-wall')
  for (const more of await page.locator('main details > summary').all()) await more.click()
  await at('crew-wall-all')
}
