// The list of jobs: found by words, by stage, put aside and brought back; each says how far along
// its way it is. And a house whose walls do not close around it says so.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { ask, chrome, desk, faults, open, server, skip, stage } from './lib.mjs'

let page

stage(async () => {
  for (let n = 1; n <= 43; n++) {
    const { id } = await make(`Hazel Row ${n} (invented)`)
    if (n === 7) await ask(server.url, 'PUT', `api/jobs/${id}/stage`, { stage: 'hanging' })
  }
  await make('100% Thorn_end (invented)')
  page = await open(await chrome.newContext(desk), server.url, faults)
})

const make = (title, template) =>
  ask(server.url, 'POST', 'api/jobs', { title, ...(template && { template }) })
const rows = () => page.locator('main li a')
/** Waits until the list holds so many jobs, and gives their names. */
async function listed(count) {
  await page.waitForFunction((n) => document.querySelectorAll('main li a').length === n, count)
  return rows().allInnerTexts()
}
const find = (words) => page.getByLabel('Find a job').fill(words)

test('the latest forty are listed, and the older ones are fetched', { skip }, async () => {
  const first = await listed(40)
  assert.equal(first[0], '100% Thorn_end (invented)')
  await page.getByRole('button', { name: 'Show older jobs' }).click()
  const all = await listed(45) // with the demo job
  assert.equal(new Set(all).size, 45)
  assert.equal(await page.getByRole('button', { name: 'Show older jobs' }).count(), 0)
})

test('words find a job in any order and case, and signs stand for themselves', { skip }, async () => {
  for (const [words, count] of [
    ['ROW 12 hazel', 1],
    ['hazel row 4', 8], // 4, 14, 24, 34, 40 to 43
    ['100%', 1],
    ['n_e', 1],
    ['%', 1],
  ]) {
    await find(words)
    await listed(count)
  }
  await find('no such street')
  await page.getByText('No job fits.').waitFor()
  await find('')
  await listed(40)
})

test('a stage shows its jobs alone, and each says how far along it is', { skip }, async () => {
  await page.getByLabel('Stage').selectOption('hanging')
  assert.deepEqual(await listed(1), ['Hazel Row 7 (invented)'])
  assert.match(await page.locator('main li').first().innerText(), /Hanging\s*, step 7 of 8/)
  await find('thorn')
  await page.getByText('No job fits.').waitFor()
  await page.getByLabel('Stage').selectOption('')
  await listed(1)
  assert.match(await page.locator('main li').first().innerText(), /Visit\s*, step 1 of 8/)
})

test('a job is put aside and brought back', { skip }, async () => {
  await page.getByRole('button', { name: /^Put aside\s*: 100% Thorn_end/ }).click()
  await page.getByRole('status').filter({ hasText: 'is put aside' }).waitFor()
  await listed(0)
  await page.getByRole('button', { name: 'Bring it back' }).click()
  await listed(1)
})

test('a width misread by a foot keeps the ring of walls from closing', { skip }, async () => {
  const { templates } = await ask(server.url, 'GET', 'api/templates')
  const template = templates.find((t) => /gable/i.test(t.title)).id
  const { id } = await make('Ring (invented)', template)
  await page.goto(`${server.url}#/job/${id}/walls`)
  await page.getByText('The ring of walls closes.').waitFor()
  const wall = page.locator('nav a[href*="/walls/"]').first()
  await wall.click()
  const width = page.getByLabel('Width', { exact: true }).first()
  const was = await width.inputValue()
  const feet = Number(/^(\d+)'/.exec(was)[1])
  await width.fill(was.replace(/^\d+/, String(feet + 1)))
  await width.press('Enter')
  await page.getByText(`The ring does not close: 1' off`).waitFor()
  await page.getByRole('button', { name: 'Undo' }).click()
  await page.getByText('The ring of walls closes.').waitFor()
  assert.equal(await width.inputValue(), was)
})

test('nothing of the page failed on the way', { skip }, () => assert.deepEqual(faults, []))
