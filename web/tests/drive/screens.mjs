// Writes a picture of every screen, phone and desk, into docs/screens.

import { mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { browser, desk, open, phone, root, serve } from './lib.mjs'
import { everyScreen } from './places.mjs'

const folder = join(root, 'docs', 'screens')
rmSync(folder, { recursive: true, force: true })
mkdirSync(folder, { recursive: true })
const server = await serve()
const chrome = await browser()
const id = (await (await fetch(`${server.url}api/jobs`)).json()).jobs[0].id
for (const [size, screen] of [
  ['desk', desk],
  ['phone', phone],
]) {
  const context = await chrome.newContext({
    ...screen,
    deviceScaleFactor: 1,
    colorScheme: size === 'desk' ? 'light' : 'light',
  })
  const page = await open(context, server.url, [])
  await everyScreen(page, server.url, id, async (name) => {
    await page.waitForTimeout(350)
    await page.screenshot({ path: join(folder, `${name}-${size}.png`) })
  })
  await context.close()
}
const dark = await chrome.newContext({ ...desk, colorScheme: 'dark' })
const page = await open(dark, server.url, [])
await everyScreen(page, server.url, id, async (name) => {
  if (!['walls-one', 'steel-piece'].includes(name)) return
  await page.waitForTimeout(350)
  await page.screenshot({ path: join(folder, `${name}-dark.png`) })
})
await chrome.close()
await server.stop()
console.log(`pictures in ${folder}`)
