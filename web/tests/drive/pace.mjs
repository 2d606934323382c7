// How long an edit takes, from the key Enter, as the browser gets it, to the frame that shows
// the new drawing and figures: a house of 30 walls and 120 openings. Prints; asserts nothing, since speed belongs to a machine.
// Beside the times stands the processor time that an edit takes in the server and in the
// page, which other programs on the machine change little.

import { readFileSync } from 'node:fs'
import { browser, desk, open, rowOfWalls, serve } from './lib.mjs'

const document = rowOfWalls(30, { between: ['-1 in', '1 in'] })
const server = await serve()
const made = await fetch(`${server.url}api/jobs`, {
  method: 'POST',
  headers: { 'Content-Type': 'application/json', 'X-Coilwright': 'page' },
  body: JSON.stringify({ title: document.title, document }),
})
const { id } = await made.json()
const chrome = await browser()
const page = await open(await chrome.newContext(desk), `${server.url}#/job/${id}/walls/w7`, [])
await page.locator('[data-opening=O0] [data-number]').first().waitFor()
const times = []
const waits = []
const asked = new Map()
page.on('requestfinished', async (r) => {
  const name = `${r.method()} ${new URL(r.url()).pathname.replace(id, '…')}`
  const seen = asked.get(name) ?? { times: 0, bytes: 0 }
  asked.set(name, seen)
  seen.times++
  if (r.url().includes('/changes')) waits.push(r.timing().responseEnd)
  seen.bytes += (await r.sizes().catch(() => undefined))?.responseBodySize ?? 0
})
/** Milliseconds of processor that the server has used (proc(5): clock ticks of 10 ms). */
const used = () => {
  const f = readFileSync(`/proc/${server.pid}/stat`, 'utf8').split(') ')[1].split(' ')
  return (Number(f[11]) + Number(f[12])) * 10
}
const cdp = await page.context().newCDPSession(page)
await cdp.send('Performance.enable', { timeDomain: 'threadTicks' }) // the thread's own time, not the clock's
const spent = async () => {
  const { metrics } = await cdp.send('Performance.getMetrics')
  return Object.fromEntries(metrics.map((m) => [m.name, m.value * 1000]))
}

/** Puts the next number into a field, as typing leaves it; what then comes is timed from the key. */
const write = (text) =>
  page.evaluate(async (text) => {
    const field = document.querySelectorAll('[data-opening=O1] [data-number]')[0]
    const job = document.querySelector('[data-revision]')
    field.focus()
    field.value = text
    field.dispatchEvent(new Event('input', { bubbles: true }))
    await new Promise((r) => requestAnimationFrame(() => setTimeout(r)))
    let pressed = 0
    window.addEventListener('keydown', (e) => (pressed = e.timeStamp), { capture: true, once: true })
    window.shown = new Promise((shown) => {
      const seen = new MutationObserver(() => {
        seen.disconnect()
        const { port1, port2 } = new MessageChannel()
        port1.onmessage = () => shown(performance.now() - pressed)
        requestAnimationFrame(() => port2.postMessage(0)) // comes once the frame is painted
      })
      seen.observe(job, { attributes: true, attributeFilter: ['data-revision'] })
    })
  }, text)
const edits = Number(process.env.EDITS ?? 40)
let [serverUsed, pageUsed] = [0, {}]
for (let i = 0; i < edits; i++) {
  await write(`10' ${i % 11}"`)
  const [serverBefore, before] = [used(), await spent()]
  await page.keyboard.press('Enter')
  times.push(await page.evaluate(() => window.shown))
  const after = await spent()
  serverUsed += used() - serverBefore
  for (const name in after) pageUsed[name] = (pageUsed[name] ?? 0) + after[name] - before[name]
}
const p = (list, q) => [...list].sort((a, b) => a - b)[Math.floor(list.length * q)].toFixed(0)
console.log(`edit to drawing, 30 walls, 120 openings: p50 ${p(times, 0.5)} ms, p95 ${p(times, 0.95)} ms`)
console.log(`of which the server's answer: p50 ${p(waits, 0.5)} ms, p95 ${p(waits, 0.95)} ms`)
const each = (name) => (pageUsed[name] / edits).toFixed(1)
console.log(
  `processor for each edit: server ${(serverUsed / edits).toFixed(1)} ms, page ${each('TaskDuration')} ms, of it ` +
    `script ${each('ScriptDuration')}, style ${each('RecalcStyleDuration')}, layout ${each('LayoutDuration')}`,
)
for (const [name, { times: n, bytes }] of asked) {
  console.log(
    `asked ${(n / edits).toFixed(2)} times for each edit: ${name}, ${(bytes / n / 1000).toFixed(1)} kB`,
  )
}
await chrome.close()
await server.stop()
