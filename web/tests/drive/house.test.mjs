// The main job as a newcomer does it: a gable-end house from a tape's numbers to its cut
// list and papers, by typing.

import assert from 'node:assert/strict'
import { execFileSync } from 'node:child_process'
import { test } from 'node:test'
import { axe, chrome, desk, faults, open, server, skip, stage } from './lib.mjs'

let page
let api

stage(async () => {
  const context = await chrome.newContext({ ...desk, acceptDownloads: true })
  page = await open(context, server.url, faults)
  api = async (path) => (await fetch(server.url + path)).json()
})

const field = (label) => page.getByLabel(label, { exact: true })
/** Waits until the server has all that was typed. */
async function settled() {
  await page.waitForFunction(
    () => document.querySelector('[data-waiting="0"]') && !document.querySelector('[data-keeping]'),
  )
}
/** The template's guessed openings are taken off the wall. */
async function emptied() {
  const away = page.locator('[data-opening] button', { hasText: 'Take away' })
  for (let left = await away.count(); left > 0; left--) {
    await away.first().click()
    await page.waitForFunction((n) => document.querySelectorAll('[data-opening]').length === n, left - 1)
  }
}
const jobId = () => decodeURIComponent(/job\/([^/]+)/.exec(page.url())[1])
const document_ = async () => (await api(`api/jobs/${jobId()}`)).document

test('a new house is started from the shape it is like', { skip }, async () => {
  await page.getByRole('button', { name: 'New house' }).click()
  await page.keyboard.type('Birch Lane 3 <b>&amp;</b>')
  await page.getByText('Gable end', { exact: true }).click()
  assert.deepEqual(await axe(page, 'new house'), [])
  await page.getByRole('button', { name: 'Start this house' }).click()
  await page.waitForSelector('[data-number]')
  assert.match(await page.locator('h1').innerText(), /^Birch Lane 3 <b>&amp;<\/b>/)
})

test('its few numbers are typed one after the other, Enter after each', { skip }, async () => {
  await page.locator('[data-number]').first().focus()
  for (const typed of ['32', '25 10 1/2', "9'", "15' 7"]) {
    await page.keyboard.type(typed)
    await page.keyboard.press('Enter')
  }
  await settled()
  const { walls } = (await document_()).house
  assert.equal(walls.length, 4)
  const view = (await api(`api/jobs/${jobId()}`)).view
  assert.deepEqual(
    view.walls.map((w) => w.width),
    ["32'", `25' 10 1/2"`, "32'", `25' 10 1/2"`],
  )
  assert.deepEqual([...new Set(view.walls.map((w) => w.measured.by))], ['tape'])
  assert.equal(view.plan.closes, true)
  await page.getByText('The ring of walls closes.').waitFor()
})

test('openings are put in by distances from a corner and the sill', { skip }, async () => {
  for (const wall of ['Right', 'Back', 'Left', 'Front']) {
    await page.getByRole('link', { name: new RegExp(`^${wall}`) }).click()
    await page.getByRole('heading', { name: wall }).waitFor()
    await emptied()
  }
  await page.getByRole('button', { name: '+ Window' }).click()
  const asked = await page.locator('.fresh .fields label').allInnerTexts()
  for (const typed of ['43 1/4', '5 1 1/2', '3 10', '32 1/8']) {
    await page.keyboard.type(typed)
    await page.keyboard.press('Enter')
  }
  await page.keyboard.press('Enter') // puts it in
  await settled()
  await page.getByLabel('from right', { exact: true }).check()
  await page.locator('.fresh [data-number]').first().focus()
  for (const typed of ['43 1/4', '5 1 1/2', '3 10', '32 1/8', '']) {
    await page.keyboard.type(typed)
    await page.keyboard.press('Enter')
  }
  await settled()
  await page.getByRole('button', { name: 'Done' }).click()
  assert.deepEqual(
    await page.locator('[data-opening]').first().locator('.fields label').allInnerTexts(),
    asked,
    'an opening’s numbers stand in the order in which they were asked',
  )
  const front = (await api(`api/jobs/${jobId()}`)).view.walls.find((w) => w.id === 'front')
  assert.deepEqual(
    front.openings.map((o) => [o.at[0], o.from_right]),
    [
      [`3' 10"`, `24' 6 3/4"`],
      [`24' 6 3/4"`, `3' 10"`],
    ],
  )
  assert.equal(front.openings[0].measured.by, 'tape')
})

test('a number is changed, and the tally says what that did', { skip }, async () => {
  const before = Number(
    await page
      .locator('[data-pieces]')
      .innerText()
      .then((t) => t.split(' ')[0]),
  )
  await field('Eave height').focus()
  await page.keyboard.type('9 10')
  await page.keyboard.press('Enter')
  await page.waitForFunction(
    (n) => !document.querySelector('[data-pieces]').textContent.startsWith(`${n} `),
    before,
  )
  const pieces = Number((await page.locator('[data-pieces]').innerText()).split(' ')[0])
  assert.ok(pieces > before, `${before} pieces, then ${pieces}`)
  await page.getByRole('button', { name: 'Undo' }).click()
  await page.waitForFunction(
    (n) => document.querySelector('[data-pieces]').textContent.startsWith(`${n} `),
    before,
  )
})

test('what is no length is told at its field, and nothing is changed', { skip }, async () => {
  const revision = (await api(`api/jobs/${jobId()}`)).revision
  await field('Width').first().focus()
  await page.keyboard.type("7.5' 3")
  await page.keyboard.press('Enter')
  await page.locator('.number.amiss').waitFor()
  assert.match(await page.locator('.number.amiss [role=alert]').innerText(), /two ways|length/)
  await page.keyboard.press('Escape')
  assert.equal((await api(`api/jobs/${jobId()}`)).revision, revision)
})

test('siding is chosen and each wall shows its courses', { skip }, async () => {
  await page.getByRole('link', { name: 'Siding' }).click()
  await page.getByRole('button', { name: '+ Another scheme' }).click()
  await page.waitForURL(/scheme=C/)
  await page.getByLabel('Panel').first().selectOption('lap-double-4')
  await page.getByText('Barn red').first().click()
  await settled()
  const scheme = (await document_()).schemes.find((s) => s.id === 'C')
  assert.equal(scheme.zones[0].panel, 'lap-double-4')
  assert.equal(scheme.zones[0].colour, 'barn')
  const words = await page.locator('[data-wall=front] svg').getAttribute('aria-label')
  assert.match(words, /window F1.*pieces in \d+ courses/)
})

test('the cut list is there, and every piece of it is fit to cut', { skip }, async () => {
  await page.getByRole('link', { name: 'Steel' }).click()
  await page.getByRole('link', { name: 'Whole house' }).click()
  await page.locator('tbody button').first().waitFor()
  await page
    .getByText(/tail .* ft/)
    .first()
    .waitFor()
  const layout = await api(`api/jobs/${jobId()}/schemes/C/layout`)
  const rows = await page.locator('tbody tr:has(button)').count()
  assert.equal(rows, layout.pieces.length)
  assert.equal(await page.getByText('left out').count(), 0, 'all numbers came from a tape')
  await page.locator('tbody button').first().click()
  await page.locator('path.picked').waitFor()
})

test('the datum is slid and given back to the program', { skip }, async () => {
  await page.getByRole('slider').focus()
  const { value, max } = await page.getByRole('slider').evaluate((s) => ({ value: s.value, max: s.max }))
  await page.keyboard.press(value === max ? 'Home' : 'End')
  await settled()
  await page.getByText(/fixed at/).waitFor()
  assert.equal(typeof (await document_()).schemes.find((s) => s.id === 'C').datum, 'string')
  await page.getByRole('button', { name: 'Find the best' }).click()
  await page.getByText('the best of its range').waitFor()
})

test('the papers are looked at, taken along and opened', { skip }, async () => {
  await page.getByRole('link', { name: 'Papers' }).click()
  await page.locator('img').waitFor()
  await page.waitForFunction(() => document.querySelector('img').naturalWidth > 0)
  const [download] = await Promise.all([
    page.waitForEvent('download'),
    page.getByRole('link', { name: 'PDF of Piece list, to take along' }).click(),
  ])
  const text = execFileSync('pdftotext', ['-layout', await download.path(), '-'], { encoding: 'utf8' })
  assert.match(text, /Birch Lane 3/)
  const layout = await api(`api/jobs/${jobId()}/schemes/C/layout`)
  assert.ok(text.includes(layout.pieces[0].length), `the paper says ${layout.pieces[0].length}`)
})

test('nothing of the page failed on the way', { skip }, () => assert.deepEqual(faults, []))
