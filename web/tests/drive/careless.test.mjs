// Somebody careless at a desk: presses twice, types what is no number, follows an old link.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { chrome, desk, faults, id, open, server, skip, soundness, stage, until } from './lib.mjs'
import { number, shows, type } from './sizes.mjs'

stage()
const job = async () => (await fetch(`${server.url}api/jobs/${id}`)).json()

test('another scheme is begun once, however often it is pressed', { skip }, async () => {
  const page = await open(await chrome.newContext(desk), `${server.url}#/job/${id}/siding`, faults)
  await page.getByRole('button', { name: '+ Another scheme' }).dblclick()
  await until(job, (j) => j.document.schemes.length > 3)
  await page.locator('.job[data-waiting="0"]').waitFor()
  const ids = (await job()).document.schemes.map((s) => s.id)
  assert.deepEqual(ids, ['A', 'B', 'C', 'D'])
  await page.context().close()
})

test('a number left undecided covers nothing', { skip }, async () => {
  const page = await open(await chrome.newContext(desk), `${server.url}#/job/${id}/walls/south`, faults)
  await number(page, 'S1', 'From the left end').click()
  await page.keyboard.type('99')
  await number(page, 'S1', 'Sill').click()
  const choices = page.getByRole('group', { name: 'Which is meant?' })
  assert.equal(await choices.evaluate((e) => getComputedStyle(e).position), 'static')
  await number(page, 'S1', 'From the left end').press('Escape')
  await choices.waitFor({ state: 'detached' })
  await page.context().close()
})

test('a wall or a window of nothing is refused where it is typed', { skip }, async () => {
  const page = await open(await chrome.newContext(desk), `${server.url}#/job/${id}/walls/south`, faults)
  const before = (await job()).tag
  const first = page.locator('[data-numbers]').first()
  for (const [field, label] of [
    [number(page, 'S1', 'Width'), 'Width'],
    [number(page, 'S1', 'Height'), 'Height'],
    [first.getByLabel('Width', { exact: true }), 'Width'],
    [first.getByLabel('Eave height', { exact: true }), 'Eave height'],
  ])
    for (const text of ['0', '-3', '0 0 0/8', '0 in']) {
      const was = await field.inputValue()
      await field.fill(text)
      await field.press('Enter')
      await page
        .getByRole('alert')
        .filter({ hasText: `${label} is more than nothing; it was ${was}` })
        .waitFor()
      await field.press('Escape')
      assert.equal(await field.inputValue(), was)
    }
  assert.equal((await job()).tag, before)
  await type(page, 'S2', 'Sill', '0') // a place may be nothing
  await shows(page, 'S2', 'Sill', '0"')
  await page.context().close()
})

test('a ridge typed as high as the eave leaves both their numbers, to be typed anew', { skip }, async () => {
  const page = await open(await chrome.newContext(desk), `${server.url}#/job/${id}/walls/east`, faults)
  const numbers = page.locator('[data-numbers]').first()
  const ridge = numbers.getByLabel('Ridge height', { exact: true })
  for (const [typed, shown] of [
    ['9 1', `9' 1"`],
    ['15 7', `15' 7"`],
  ]) {
    await ridge.fill(typed)
    await ridge.press('Enter')
    await until(job, (j) => j.document.house.walls[1].outline[3][1] === shown)
    await page.waitForFunction(([e, v]) => e.value === v, [await ridge.elementHandle(), shown])
    assert.equal(await numbers.getByLabel('Eave height', { exact: true }).inputValue(), `9' 1"`)
  }
  await page.context().close()
})

test('what the book cannot hold is named as the page names it, and kept to be mended', { skip }, async () => {
  const page = await open(await chrome.newContext(desk), `${server.url}#/book/words`, faults)
  const days = page.getByLabel('An offer stands, days')
  await days.fill('a month')
  await days.blur()
  await page.getByRole('button', { name: /^Save as version/ }).click()
  await page.getByRole('alert').filter({ hasText: 'days valid' }).waitFor()
  assert.equal(await days.inputValue(), 'a month')
  assert.equal((await (await fetch(`${server.url}api/shop-book`)).json()).version, 0)
  await page.getByRole('button', { name: 'Drop' }).click()
  await page.context().close()
})

test('an old link is told in the middle of the page', { skip }, async () => {
  const page = await open(await chrome.newContext(desk), `${server.url}#/job/nosuch/walls`, faults)
  const [said, out] = [page.getByRole('alert'), page.getByRole('link', { name: 'All jobs' })]
  const [a, b] = [await said.boundingBox(), await out.boundingBox()]
  assert.ok(b.y - a.y - a.height < 40 && a.y > 200, `${JSON.stringify([a, b])}`)
  await soundness(page, 'an old link', 'main a')
  await page.context().close()
})

test('news covers none of a sheet’s buttons', { skip }, async () => {
  for (const viewport of [
    { width: 360, height: 740 },
    { width: 1440, height: 900 },
  ]) {
    const context = await chrome.newContext({ viewport })
    const page = await open(context, `${server.url}#/job/${id}/siding?look=chip`, faults)
    await page.locator('.start').waitFor()
    for (let i = 0; i < 9; i++) await page.keyboard.press('Control+Shift+z')
    const news = page.locator('[data-line-of-news] p')
    await news.waitFor()
    const line = await news.boundingBox()
    const below = await page
      .locator('.sheet :is(a, button, label.button)')
      .evaluateAll((all) => all.filter((e) => e.offsetParent).map((e) => e.getBoundingClientRect().top))
    assert.ok(below.length && Math.min(...below) >= line.y + line.height, JSON.stringify([line, below]))
    await context.close()
  }
})

test('what stands in a job’s bar lies side by side on every desk', { skip }, async () => {
  const page = await open(await chrome.newContext(desk), `${server.url}#/job/${id}/walls`, faults)
  await page.getByLabel('Stage of the job').waitFor()
  for (const width of [1440, 1280, 1024, 910]) {
    await page.setViewportSize({ width, height: 768 })
    const boxes = await page
      .locator('header')
      .first()
      .locator('a, button, select')
      .evaluateAll((all) => all.map((e) => [e.innerText.slice(0, 12), e.getBoundingClientRect().toJSON()]))
    const over = boxes.flatMap(([a, p], i) =>
      boxes
        .slice(i + 1)
        .flatMap(([b, q]) => (p.right > q.left + 1 && q.right > p.left + 1 ? [`${a} over ${b}`] : [])),
    )
    assert.deepEqual(over, [], `${width} wide`)
    assert.ok(boxes.every(([, p]) => p.left >= 0 && p.right <= width))
  }
  await page.context().close()
})

test('nothing of the page failed on the way', { skip }, () => assert.deepEqual(faults, []))
