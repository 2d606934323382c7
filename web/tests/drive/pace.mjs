// How long an edit takes, from Enter to the new drawing and figures on the screen: a house
// of 30 walls and 120 openings. Prints; asserts nothing, since speed belongs to a machine.

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
page.on('requestfinished', (r) => {
  if (r.url().includes('/changes')) waits.push(r.timing().responseEnd)
})
for (let i = 0; i < 40; i++) {
  times.push(
    await page.evaluate(
      async (text) => {
        const field = document.querySelectorAll('[data-opening=O1] [data-number]')[0]
        const job = document.querySelector('[data-revision]')
        const before = job.dataset.revision
        field.focus()
        field.value = text
        field.dispatchEvent(new Event('input', { bubbles: true }))
        await new Promise(requestAnimationFrame)
        const begun = performance.now()
        field.dispatchEvent(new KeyboardEvent('keydown', { key: 'Enter', bubbles: true }))
        while (job.dataset.revision === before) await new Promise((r) => setTimeout(r))
        await new Promise((r) => requestAnimationFrame(() => setTimeout(r))) // painted
        return performance.now() - begun
      },
      `10' ${i % 11}"`,
    ),
  )
}
const p = (list, q) => [...list].sort((a, b) => a - b)[Math.floor(list.length * q)].toFixed(0)
console.log(`edit to drawing, 30 walls, 120 openings: p50 ${p(times, 0.5)} ms, p95 ${p(times, 0.95)} ms`)
console.log(`of which the server's answer: p50 ${p(waits, 0.5)} ms, p95 ${p(waits, 0.95)} ms`)
await chrome.close()
await server.stop()
