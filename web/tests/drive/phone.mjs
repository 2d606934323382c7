// How the crew's screens bear a large job on a slow phone: 2,000 pieces, Chromium slowed down
// four times, no network. Prints; asserts nothing of time, since speed belongs to a machine.

import { screen, sent, setUp, small, take } from './crew.mjs'
import { browser, open, rowOfWalls, serve } from './lib.mjs'

const document = rowOfWalls(Number(process.env.WALLS ?? 50), '0')
const server = await serve()
const post = { method: 'POST', headers: { 'Content-Type': 'application/json', 'X-Coilwright': 'page' } }
const { id } = await (
  await fetch(`${server.url}api/jobs`, { ...post, body: JSON.stringify({ title: document.title, document }) })
).json()
const text = await (await fetch(`${server.url}api/jobs/${id}/schemes/A/site`)).text()
const pieces = JSON.parse(text).pieces.length
console.log(`${pieces} pieces, ${(text.length / 1e6).toFixed(2)} MB of pack`)

const chrome = await browser()
const context = await chrome.newContext({ ...small, deviceScaleFactor: 1 })
const page = await open(context, `${server.url}#/site`, [])
await take(page, id, 'JK')
await sent(page)
await page.evaluate(() => navigator.serviceWorker.ready)
await screen(page, id, 'machine', '[data-setup]')
await setUp(page)
await page.locator('[data-formed]').waitFor()
await sent(page)

const slow = await context.newCDPSession(page)
await slow.send('Emulation.setCPUThrottlingRate', { rate: 4 })
await context.setOffline(true)
// The main thread's own time is told beside the clock's: a machine that does other work as well
// makes the clock's time worthless, the thread's less so.
await slow.send('Performance.enable', { timeDomain: 'threadTicks' })
const busy = async () =>
  (await slow.send('Performance.getMetrics')).metrics.find((m) => m.name === 'TaskDuration').value * 1000
/** From the start of loading to the first piece on the screen. */
const opened = async (ready) => {
  await page.reload({ waitUntil: 'commit' })
  return page.evaluate(async (what) => {
    while (!document.querySelector(what)) await new Promise(requestAnimationFrame)
    await new Promise((r) => requestAnimationFrame(() => setTimeout(r)))
    return performance.now()
  }, ready)
}
const times = []
const cpu = []
for (let i = 0; i < 7; i++) {
  const before = await busy()
  times.push(await opened('[data-formed]'))
  const after = await busy()
  cpu.push(after > before ? after - before : after) // a new process begins at nothing
}
const p = (list, q) => [...list].sort((a, b) => a - b)[Math.floor((list.length - 1) * q)].toFixed(0)
console.log(
  `machine's screen opens, no network, 4 times slowed: p50 ${p(times, 0.5)} ms, worst ${p(times, 1)} ms by the clock; main thread busy p50 ${p(cpu, 0.5)} ms`,
)

/** From the tap to the next piece painted. */
const marked = () =>
  page.evaluate(async () => {
    const measured = document.querySelector('[data-first] .next')
    if (measured) {
      measured.click()
      await new Promise(requestAnimationFrame)
    }
    const before = document.querySelector('[data-piece]').dataset.piece
    const begun = performance.now()
    document.querySelector('button[data-formed]').click()
    while (document.querySelector('[data-piece]')?.dataset.piece === before)
      await new Promise((r) => setTimeout(r))
    await new Promise((r) => requestAnimationFrame(() => setTimeout(r))) // painted
    return performance.now() - begun
  })
for (const rate of [4, 1]) {
  await slow.send('Emulation.setCPUThrottlingRate', { rate })
  const taken = []
  for (let i = 0; i < 16; i++) {
    await page.waitForTimeout(500)
    taken.push(await marked())
  }
  const how = rate > 1 ? `${rate} times slowed` : 'not slowed'
  console.log(`a mark to the next piece painted, ${how}: p50 ${p(taken, 0.5)} ms, p95 ${p(taken, 0.95)} ms`)
}
await slow.send('Emulation.setCPUThrottlingRate', { rate: 1 })
await page.evaluate(() => (location.hash = location.hash.replace(/machine/, 'wall/w1')))
await page.locator('[data-wall]').waitFor()
await slow.send('Emulation.setCPUThrottlingRate', { rate: 4 })
const walls = []
for (let i = 0; i < 5; i++) walls.push(await opened('[data-piece]'))
console.log(`wall's screen opens, no network, 4 times slowed: p50 ${p(walls, 0.5)} ms`)
const room = await page.evaluate(() => navigator.storage.estimate())
console.log(`storage used: ${(room.usage / 1e6).toFixed(2)} MB`)
await chrome.close()
await server.stop()
