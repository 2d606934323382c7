// axe-core finds nothing on any screen: light and dark, desk and phone.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { axe, chrome, desk, id, open, phone, server, skip, stage, tooWide } from './lib.mjs'
import { everyScreen } from './places.mjs'

// The same screen as the one before, further down: axe reads a whole screen at once.
const scrolled = ['siding-zones', 'steel-coils']

stage()

for (const [size, screen] of [
  ['desk', desk],
  ['phone', phone],
]) {
  test(`every screen, ${size}`, { skip }, async () => {
    const faults = []
    const context = await chrome.newContext({ ...screen, deviceScaleFactor: 1, colorScheme: 'light' })
    const page = await open(context, server.url, faults)
    const found = []
    let seen = 0
    await everyScreen(page, server.url, id, async (name) => {
      if (scrolled.includes(name)) return
      found.push(...(await axe(page, `${name}, light`)), ...(await sideways(page, name)))
      await page.emulateMedia({ colorScheme: 'dark' })
      found.push(...(await axe(page, `${name}, dark`, ['color-contrast']))) // all else is as by day
      await page.emulateMedia({ colorScheme: 'light' })
      seen++
    })
    await context.close()
    assert.deepEqual([...found, ...faults], [])
    assert.ok(seen >= 11, `${seen} screens were looked at`)
  })
}

for (const [size, screen] of [
  ['desk', desk],
  ['phone', phone],
])
  test(`every screen with the browser’s text twice as large, ${size}`, { skip }, async () => {
    const context = await chrome.newContext({ ...screen, deviceScaleFactor: 1 })
    const page = await open(context, 'about:blank', [])
    const browser = await context.newCDPSession(page)
    await browser.send('Page.setFontSizes', { fontSizes: { standard: 32 } })
    await page.goto(server.url)
    const sizes = new Set()
    const found = []
    await everyScreen(page, server.url, id, async (name) => {
      found.push(...(await sideways(page, name)))
      sizes.add(await page.evaluate(() => getComputedStyle(document.documentElement).fontSize))
    })
    await context.close()
    assert.deepEqual(found, [])
    assert.deepEqual([...sizes], [size === 'desk' ? '32px' : '19.5px'])
  })

test('what is chosen and what steel looks like, in the colours of who needs their own', {
  skip,
}, async () => {
  const context = await chrome.newContext({ ...desk, forcedColors: 'active' })
  const page = await open(context, `${server.url}#/job/${id}/walls`, [])
  /** The grounds of what a selector finds. */
  const grounds = (what) =>
    page.locator(what).evaluateAll((all) => all.map((e) => getComputedStyle(e).backgroundColor))
  const differ = async (chosen, rest) => {
    await page.locator(chosen).first().waitFor()
    const [[one, ...more], others] = [await grounds(chosen), await grounds(rest)]
    assert.deepEqual([more, others.includes(one), others.length > 0], [[], false, true], chosen)
  }
  await differ('header nav a[aria-current]', 'header nav a:not([aria-current])')
  await differ('.sources label:has(:checked)', '.sources label:not(:has(:checked))')
  await page.goto(`${server.url}#/job/${id}/siding`)
  await page.locator('.strips').first().waitFor()
  const steel = await grounds('fieldset:first-of-type .strips span')
  assert.equal(new Set(steel.slice(0, 8)).size, 8)
  await page.goto(`${server.url}#/job/${id}/papers`)
  await differ('button[aria-pressed=true]', 'button[aria-pressed=false]')
  await context.close()
})

test('nothing moves where little movement is asked for', { skip }, async () => {
  const context = await chrome.newContext({ ...phone, reducedMotion: 'reduce' })
  const page = await open(context, `${server.url}#/job/${id}/walls/south`, [])
  await page.addInitScript(() => {
    const scroll = Element.prototype.scrollIntoView
    Element.prototype.scrollIntoView = function (how) {
      window.moved = how?.behavior
      return scroll.call(this, how)
    }
  })
  await page.reload()
  await page.locator('[data-opening=S1] input').first().tap()
  await page.waitForFunction(() => window.moved !== undefined)
  assert.equal(await page.evaluate(() => window.moved), 'instant')
  assert.deepEqual(await page.evaluate(() => document.getAnimations().map((a) => a.playState)), [])
  await context.close()
})

async function sideways(page, name) {
  const over = await tooWide(page)
  return over > 0 ? [`${name}: ${over} px too wide`] : []
}
