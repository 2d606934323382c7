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

async function sideways(page, name) {
  const over = await tooWide(page)
  return over > 0 ? [`${name}: ${over} px too wide`] : []
}
