// Corners pulled on the drawing: of a wall, by pointer and arrow keys, and of a zone drawn
// on a wall; and the same zone by its numbers.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { axe, chrome, until as come, desk, faults, id, open, server, skip, stage } from './lib.mjs'

let page

stage(async () => {
  page = await open(await chrome.newContext(desk), `${server.url}#/job/${id}/walls/south`, faults)
})

const job = async () => (await fetch(`${server.url}api/jobs/${id}`)).json()
const settled = () => page.waitForFunction(() => document.querySelector('[data-waiting="0"]'))
/** Waits until the server's job satisfies a condition. */
const until = (fits) => come(job, fits)

test('arrow keys on a corner move its lines by an inch', { skip }, async () => {
  const before = (await job()).view.walls.find((w) => w.id === 'south')
  const corner = page.getByRole('button', { name: /^Corner 3 of/ })
  await corner.focus()
  await page.keyboard.press('ArrowUp')
  const south = (now) => now.view.walls.find((w) => w.id === 'south')
  const now = await until((j) => south(j).outline_in[2][1] === before.outline_in[2][1] + 1)
  assert.equal(south(now).outline_in[2][0], before.outline_in[2][0])
  assert.equal(south(now).readings[2][1].by, 'assumed')
  assert.deepEqual(await axe(page, 'corners'), [])
})

test('a corner is dragged by the pointer, and undo brings it back', { skip }, async () => {
  const was = (await job()).view.walls.find((w) => w.id === 'south').outline_in
  const box = await page.getByRole('button', { name: /^Corner 2 of/ }).boundingBox()
  await page.mouse.move(box.x + box.width / 2, box.y + box.height / 2)
  await page.mouse.down()
  await page.mouse.move(box.x + box.width / 2 + 60, box.y + box.height / 2, { steps: 5 })
  await page.locator('.corners polygon').waitFor({ state: 'attached' })
  await page.mouse.up()
  const south = (now) => now.view.walls.find((w) => w.id === 'south').outline_in
  const now = await until((j) => south(j)[1][0] > was[1][0] + 10)
  assert.equal(south(now)[2][0], south(now)[1][0], 'the corner above follows: the edge stays plumb')
  await settled()
  await page.getByRole('button', { name: 'Undo' }).click()
  await until((j) => south(j)[1][0] === was[1][0])
})

test('a zone is drawn on a wall: by its numbers, then by its corners', { skip }, async () => {
  await page.goto(`${server.url}#/job/${id}/siding/east?scheme=A`)
  await page.getByRole('button', { name: '+ Zone' }).click()
  await settled()
  const zone = page.locator('ol > li').first()
  await zone.getByLabel('Where').selectOption('outline')
  const first = (await until((j) => j.document.schemes[0].zones[0].where.outline?.length === 4)).document
    .schemes[0].zones[0].where.outline
  await zone.getByLabel('Width', { exact: true }).fill('5')
  await page.keyboard.press('Enter')
  await until((j) => j.document.schemes[0].zones[0].where.outline[1][0] !== first[1][0])
  await settled()
  const before = (await job()).document.schemes[0].zones[0].where.outline
  await page.getByRole('button', { name: /^Corner 3 of zone/ }).focus()
  await page.keyboard.press('ArrowUp')
  const now = await until(
    (j) => JSON.stringify(j.document.schemes[0].zones[0].where.outline) !== JSON.stringify(before),
  )
  const after = now.document.schemes[0].zones[0].where.outline
  assert.deepEqual(after[0], before[0], 'the lower left corner keeps its text')
  assert.deepEqual(
    after.map((p) => p[0]),
    before.map((p) => p[0]),
    'what stands plumb stays where it was',
  )
  const layout = await (await fetch(`${server.url}api/jobs/${id}/schemes/A/layout`)).json()
  assert.ok(layout.courses.some((c) => c.wall === 'east' && c.zone === now.document.schemes[0].zones[0].id))
  assert.deepEqual(faults, [])
})
