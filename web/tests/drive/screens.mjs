// Writes a picture of every screen, phone and desk, into docs/screens.

import { mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { small } from './crew.mjs'
import { browser, desk, open, root, serve } from './lib.mjs'
import { everyScreen } from './places.mjs'

/** Screens that hold a photograph are kept as one. */
const photographs = /^(on-photo|photo-|side-by-side|at-arms-length|all-round)/
async function keep(page, name, size) {
  await page.waitForTimeout(350)
  const photo = photographs.test(name)
  const path = join(folder, `${name}-${size}.${photo ? 'jpg' : 'png'}`)
  await page.screenshot(photo ? { path, type: 'jpeg', quality: 80 } : { path })
}

/** Screens that are also kept as they look by night. */
const byNight = [
  'walls-one',
  'siding',
  'steel-piece',
  'offer',
  'tape-list',
  'owner',
  'crew-machine',
  'crew-wall',
]

const folder = join(root, 'docs', 'screens')
rmSync(folder, { recursive: true, force: true })
mkdirSync(folder, { recursive: true })
const server = await serve()
const chrome = await browser()
const id = (await (await fetch(`${server.url}api/jobs`)).json()).jobs[0].id
for (const [size, screen] of [
  ['desk', desk],
  ['phone', small],
]) {
  const context = await chrome.newContext({
    ...screen,
    deviceScaleFactor: 1,
    colorScheme: 'light',
  })
  const page = await open(context, server.url, [])
  await everyScreen(page, server.url, id, (name) => keep(page, name, size))
  await context.close()
}
const dark = await chrome.newContext({ ...desk, colorScheme: 'dark' })
const page = await open(dark, server.url, [])
await everyScreen(page, server.url, id, async (name) => {
  if (byNight.includes(name)) await keep(page, name, 'dark')
})
await chrome.close()
await server.stop()
console.log(`pictures in ${folder}`)
