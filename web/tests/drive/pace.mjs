// How long an edit takes, from Enter to the new drawing and figures on the screen: a house
// of 30 walls and 120 openings. Prints; asserts nothing, since speed belongs to a machine.

import { browser, desk, open, serve } from './lib.mjs'

const wall = (i) => ({
  id: `w${i}`,
  outline: [
    ['0', '0'],
    ["32'", '0'],
    ["32'", "9'"],
    ["16'", "17'"],
    ['0', "9'"],
  ],
  edges: ['base', 'outside-corner', 'rake', 'rake', 'outside-corner'],
  openings: [0, 1, 2, 3].map((k) => ({
    id: `O${k}`,
    kind: 'window',
    at: [`${3 + 7 * k}'`, "3'"],
    size: ["3'", '4\' 6"'],
  })),
  measured: { by: 'tape', plus_minus: '1/8 in' },
})
const document = {
  format: 'coilwright/job@1',
  title: 'Thirty walls (invented)',
  house: { walls: Array.from({ length: 30 }, (_, i) => wall(i)), corners: [] },
  schemes: [
    {
      id: 'A',
      zones: [
        {
          id: 'field',
          walls: 'all',
          where: 'rest',
          panel: 'dutch-double-5',
          texture: 'grain',
          colour: 'slate',
        },
      ],
      datum: { between: ['-1 in', '1 in'] },
    },
  ],
  shop: { use: 'demo' },
}

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
