// Every screen of the page, by name, and how one gets there: for the pictures and for axe.

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
  const sill = page.locator('[data-opening=E1] [data-number]').nth(1)
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
}
