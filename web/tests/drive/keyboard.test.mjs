// The desk's main way by the keyboard alone: a house from an empty sheet, its walls, scheme,
// price, offer, and the release to the machine. Wherever the focus stands, it is seen.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { ask, axe, chrome, desk, faults, open, phone, picture, server, skip, stage, until } from './lib.mjs'

stage()

/** What has the focus: what it is called, and what is amiss with how it is seen. */
const focused = (page) =>
  page.evaluate(() => {
    const e = document.activeElement
    if (!e || e === document.body) return { name: '' }
    const name = (e.ariaLabel || e.labels?.[0]?.innerText || e.innerText || e.tagName).trim()
    const box = e.getBoundingClientRect()
    const seen = box.width < 30 && e.closest('label') ? e.closest('label') : e
    const { top, bottom, left, right } = seen.getBoundingClientRect()
    const drawn = [e, seen].some((x) => {
      const { outlineStyle, outlineWidth } = getComputedStyle(x)
      return outlineStyle !== 'none' && Number.parseFloat(outlineWidth) >= 2
    })
    const inView = bottom > 0 && top < innerHeight && right > 0 && left < innerWidth
    return {
      name: name.replace(/\s+/g, ' '),
      amiss: [!drawn && 'no ring', !inView && 'out of view'].filter(Boolean),
    }
  })

/** Presses Tab until what has the focus is called so. */
async function to(page, name) {
  const seen = []
  for (let i = 0; i < 120; i++) {
    await page.keyboard.press('Tab')
    let at = await focused(page)
    if (at.amiss?.length) {
      await page.waitForTimeout(500) // what is still being drawn may move it; what stays amiss is a fault
      at = await focused(page)
    }
    assert.deepEqual(at.amiss ?? [], [], at.name)
    if (at.name.startsWith(name)) return
    seen.push(at.name.slice(0, 20))
  }
  assert.fail(`no Tab led to ${name}: ${seen.join(' | ')}`)
}
async function press(page, name) {
  await to(page, name)
  await page.keyboard.press('Enter')
}
/** The keyboard comes to what is called so by itself. */
const stands = (page, name) =>
  until(
    () => focused(page),
    (at) => at.name.startsWith(name),
  )
/** Types lengths one after the other, each into what is asked next. */
async function typed(page, ...pairs) {
  for (const [name, text] of pairs) {
    await stands(page, name)
    await page.keyboard.type(text)
    await page.keyboard.press('Enter')
  }
}
const settled = (page) => page.locator('[data-waiting="0"]').first().waitFor()

test('from an empty sheet to the release without a mouse', { skip }, async () => {
  const page = await open(await chrome.newContext(desk), server.url, faults)
  await page.locator('main li a').first().waitFor()
  await press(page, 'New house')
  await page.locator('.shapes input').nth(6).waitFor()
  await page.keyboard.type('Nowhere 3 (invented)')
  await to(page, 'Gable end')
  for (let i = 0; i < 3; i++) await page.keyboard.press('ArrowDown') // cape, two storeys, townhouse
  await page.keyboard.press('ArrowDown')
  await stands(page, 'Empty sheet')
  await page.keyboard.press('Enter')
  await page.getByRole('heading', { name: 'The first wall' }).waitFor()
  assert.equal(await page.getByRole('alert').count(), 0, 'an empty sheet is no fault of who begins')
  assert.deepEqual(await axe(page, 'an empty sheet'), [])
  await page.getByText('First: add a wall').waitFor()
  assert.equal(await page.getByText('1 fault').count(), 0, 'nor does it count as one')
  await picture(page, 'empty-sheet')
  const id = /job\/([^/]+)/.exec(page.url())[1]
  const job = () => ask(server.url, 'GET', `/api/jobs/${id}`)

  await press(page, 'Under a gable')
  await typed(page, ['Width', "26'"], ['Eave height', "9'"], ['Ridge height', "15'"])
  await settled(page)
  await press(page, '+ Window')
  await typed(page, ['Width', "3'"], ['Height', "4'"], ['From the left end', "5'"], ['Sill', "3'"])
  await stands(page, 'Put window S1 in')
  await page.keyboard.press('Enter')
  await page.locator('[data-opening=S1]').waitFor()
  await press(page, 'Done')
  await stands(page, '+ Window')
  await press(page, 'Copy to the far side')
  await page.waitForURL(/walls\/north/)
  await stands(page, 'Width')
  await press(page, 'Whole house')
  await press(page, 'Under an eave')
  await typed(page, ['Width', "30'"], ['Eave height', "9'"])
  await press(page, 'Copy to the far side')
  await page.waitForURL(/walls\/west/)
  await press(page, 'Whole house')
  await press(page, 'Join the corners')
  await stands(page, 'The ring of walls closes.')

  await press(page, 'Siding')
  await page.locator('li dl').first().waitFor()
  await to(page, 'Slate')
  await page.keyboard.press('ArrowRight')
  await until(job, (j) => j.document.schemes[0].zones[0].colour === 'bone')
  await settled(page)

  await press(page, 'Offer')
  await page.locator('[data-total=A]').waitFor()
  await page.getByText('more from north, west, which state none').waitFor() // the copies are guesses
  await press(page, 'Freeze')
  await stands(page, 'The owner’s link')
  const token = (await page.locator('[data-link]').inputValue()).split('/').at(-1)
  const { options } = await ask(server.url, 'GET', `/api/owner/${token}`)
  await ask(server.url, 'POST', `/api/owner/${token}/signature`, {
    scheme: 'A',
    digest: options[0].digest,
    name: 'Pat Alder',
    agreed: true,
  })
  await page.locator('[data-state=signed]').waitFor()
  await to(page, 'Stage of the job')
  const moved = []
  page.on('request', (r) => r.url().endsWith('/stage') && moved.push(r.postDataJSON().stage))
  for (const key of ['ArrowDown', 'ArrowDown', 'ArrowDown', 'ArrowUp', 'ArrowUp', 'Enter'])
    await page.keyboard.press(key) // from signed, by way of forming and hanging, to measured again
  await until(job, (j) => j.stage === 'remeasured')
  await page.keyboard.press('ArrowDown')
  await page.keyboard.press('Tab') // left as it is, it counts as well
  await until(job, (j) => j.stage === 'forming')
  await page.getByLabel('Stage of the job').selectOption('remeasured') // as a mouse chooses: at once
  await until(job, (j) => j.stage === 'remeasured')
  assert.deepEqual(moved, ['remeasured', 'forming', 'remeasured'], 'what was passed by is no stage')

  await press(page, 'Steel')
  for (const wall of ['North', 'West']) {
    await to(page, `Wall ${wall}`)
    await page.keyboard.press('Space')
  }
  await to(page, 'Who answers for it')
  await page.keyboard.type('Ann (invented)')
  await to(page, 'Why it may be cut')
  await page.keyboard.type('To try the way')
  await press(page, 'Cut ')
  await press(page, 'Papers')
  await press(page, 'Release to the machine')
  await page.locator('[data-release=released]').waitFor()
  await page.context().close()
})

test('a piece is formed and hung on a phone with a keyboard', { skip }, async () => {
  const { jobs } = await ask(server.url, 'GET', '/api/jobs')
  const { id } = jobs.find((j) => j.title.startsWith('Alder'))
  const context = await chrome.newContext({ ...phone, deviceScaleFactor: 1 })
  const page = await open(context, `${server.url}#/site/${id}?scheme=A`, faults)
  await page.locator('[data-who] input').waitFor()
  await to(page, 'Whose marks are these?')
  await page.keyboard.type('KB')
  await page.keyboard.press('Enter')
  await press(page, 'Machine')
  await page.locator('[data-setup]').waitFor()
  for (const step of await page.locator('[data-step]').all()) {
    await to(page, (await step.innerText()).replace(/\s+/g, ' ').trim())
    await page.keyboard.press('Space')
  }
  await page.locator('.lot input').waitFor()
  await to(page, await page.locator('.lot label').innerText())
  await page.keyboard.type('B-2201')
  await page.keyboard.press('Enter')
  const threaded = page.locator('[data-threaded]')
  await threaded.waitFor()
  await to(page, (await threaded.innerText()).trim())
  await page.keyboard.press('Enter')
  const stages = page.locator('[data-first], [data-piece]')
  await stages.first().waitFor()
  await picture(page, 'keyboard-machine')
  const here = () => stages.first().evaluate((e) => e.dataset.piece ?? 'the first to measure')
  for (let done = 0; done < 2; ) {
    const now = await here()
    const measuring = now === 'the first to measure'
    await press(page, measuring ? 'It measures' : 'Formed')
    if (!measuring) done++
    await until(here, (next) => next !== now)
  }
  await press(page, 'Wall')
  await page.locator('[data-wall]').waitFor()
  await press(page, 'First 4 checks')
  const unseen = page.locator('[data-item]:not(.seen)')
  for (let left = await unseen.count(); left; ) {
    if (await unseen.first().locator('form').count()) {
      await to(page, 'Take the photo')
      await to(page, 'No photo? Say why')
      await page.keyboard.type('No camera at hand')
      await press(page, 'Without photo')
    } else await press(page, 'Seen')
    left = await until(
      () => unseen.count(),
      (now) => now < left,
    )
  }
  const hung = () => page.locator('[data-wall] [data-piece]').getAttribute('data-piece')
  const before = await hung()
  await press(page, 'Hung')
  await until(hung, (now) => now !== before)
  await context.close()
})

test('nothing of the page failed on the way', { skip }, () => assert.deepEqual(faults, []))
