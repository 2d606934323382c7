// From a photo and one tape number to a drawn wall with its openings, as a person does
// it: the corners are pointed at, the sizes come with their plus-minus, the wall is drawn.
// The rendered scene's true sizes are the judge (data/scenes/README.md); the street photo
// has none, there it is only seen that a wall comes of it.

import assert from 'node:assert/strict'
import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { test } from 'node:test'
import {
  axe,
  chrome,
  desk,
  faults,
  open,
  phone,
  picture,
  root,
  server,
  skip,
  stage,
  tooWide,
  until,
} from './lib.mjs'

const data = [join(root, '..', 'shared', 'data'), join(root, '..', '..', 'shared', 'data')].find(existsSync)
const unless = skip || (!data && 'the open data are not beside the repository (../shared/data)')
let page
const post = (path, body) =>
  fetch(server.url + path, {
    method: 'POST',
    body: JSON.stringify(body),
    headers: { 'Content-Type': 'application/json', 'X-Coilwright': 'page' },
  }).then((r) => r.json())
const get = async (path) => (await fetch(server.url + path)).json()

stage(
  async () => {
    page = await open(await chrome.newContext(desk), server.url, faults)
  },
  { unless },
)

const settled = (p = page) =>
  p.waitForFunction(
    () => document.querySelector('[data-waiting="0"]') && !document.querySelector('[data-keeping]'),
  )
/** An empty job with the photo, open where it is marked. */
async function begin(title, file, p = page) {
  const { id } = await post('api/jobs', { title })
  await p.goto(`${server.url}#/job/${id}/walls`)
  await p.locator('input[type=file]').first().setInputFiles(file)
  await p.waitForURL(/photo=P1/)
  await shown(p)
  return id
}
const shown = (p = page) =>
  p.waitForFunction(() => {
    const board = document.querySelector('[data-board]')
    const img = board?.querySelector('img')
    return img?.naturalWidth > 0 && board.dataset.scale !== '1' && board.querySelector('svg')
  })
/** Where a pixel of the photo lies on the screen. */
async function spot([u, v], p = page) {
  const at = await p.locator('[data-board]').evaluate((b) => {
    const box = b.getBoundingClientRect()
    const [scale, x, y] = [b.dataset.scale, b.dataset.x, b.dataset.y].map(Number)
    return { scale, x: box.x + x, y: box.y + y }
  })
  return [at.x + at.scale * u, at.y + at.scale * v]
}
async function point(px) {
  await page.mouse.click(...(await spot(px)))
}
const asks = (text) => page.locator('[data-asks]', { hasText: text }).waitFor()
/** Points, and waits until the page asks for the next thing. */
async function answered(act, p = page) {
  const asked = await p.locator('[data-asks]').innerText()
  await act()
  await p.waitForFunction((t) => document.querySelector('[data-asks]')?.innerText !== t, asked)
}

async function markWall(name, corners) {
  const field = page.getByLabel('Its name')
  if (await field.isVisible()) await field.fill(name)
  await page.getByRole('button', { name: corners.length === 5 ? 'Under a gable' : 'Under an eave' }).click()
  await asks(`lower left corner of ${name}`)
  for (const c of corners) await answered(() => point(c))
  await page.getByText(`${name} is marked.`).waitFor()
}
async function markOpenings(kind, openings) {
  await page.getByRole('button', { name: `+ ${kind}` }).click()
  for (const [a, , b] of openings) {
    await asks('Mark one corner of')
    await point(a)
    await asks('that lies across')
    await point(b)
  }
  await asks('Mark one corner of')
  await page.getByRole('button', { name: 'No more' }).click()
}
async function tape(label, length) {
  const field = page.getByLabel(`${label}, by tape`, { exact: true })
  await field.fill(length)
  await field.press('Enter')
  await settled()
}

test('from a scene’s photo and one tape number to its wall, within what is stated', {
  skip: unless,
}, async () => {
  const truth = JSON.parse(readFileSync(join(data, 'scenes', 'alder', 'truth.json'), 'utf8')).walls[0]
  const began = performance.now()
  const id = await begin('From a photo (invented)', join(data, 'scenes', 'alder', 'before.jpg'))
  await markWall('front', truth.corners_px)
  const of = (kind) => truth.openings.filter((o) => o.kind === kind).map((o) => o.corners_px)
  await markOpenings('Window', of('window'))
  await markOpenings('Door', of('door'))
  await page.getByText('Type one length that you taped').waitFor()
  await tape('F4 width', '43 in')
  await page.locator('[data-size="front, base"] b').waitFor()
  await page.getByRole('button', { name: 'Draw front from this photo' }).click()
  await page.locator('[data-made]', { hasText: 'front drawn.' }).waitFor()
  await settled()
  const seconds = (performance.now() - began) / 1000
  console.log(`photo and one tape number to a drawn wall: ${seconds.toFixed(1)} s`)
  assert.ok(seconds < 120, `${seconds} s`)
  const job = await get(`api/jobs/${id}`)
  const wall = job.view.walls[0]
  const numbers = []
  const add = (what, got, want, reading) =>
    numbers.push({ what, off: Math.abs(got - want), may: (reading.plus_minus_in ?? 0) + 0.6 })
  wall.outline_in.forEach((p, k) => {
    for (const axis of [0, 1])
      add(`corner ${k} ${axis}`, p[axis], truth.outline_in[k][axis], wall.readings[k][axis])
  })
  const sorted = [...truth.openings].sort((a, b) => a.rect_in.x - b.rect_in.x)
  const drawn = [...wall.openings].sort((a, b) => a.at_in[0] - b.at_in[0])
  assert.equal(drawn.length, 4)
  drawn.forEach((o, k) => {
    const { x, y, w, h } = sorted[k].rect_in
    assert.equal(o.kind, sorted[k].kind)
    add(`${o.id} x`, o.at_in[0], x, o.readings[0][0])
    add(`${o.id} y`, o.at_in[1], y, o.readings[0][1])
    add(`${o.id} w`, o.size_in[0], w, o.readings[2][0])
    add(`${o.id} h`, o.size_in[1], h, o.readings[2][1])
  })
  const out = numbers.filter((n) => n.off > n.may)
  console.log(
    `${numbers.length - out.length} of ${numbers.length} numbers within their plus-minus and half the written step`,
  )
  assert.ok(out.length <= numbers.length / 10, JSON.stringify(out))
  assert.equal(wall.openings.find((o) => o.kind === 'door').readings[2][0].by, 'photo')
  const door = job.document.house.walls[0].openings.find((o) => o.kind === 'door')
  assert.deepEqual(door.size[0].measured, { by: 'tape', plus_minus: `1/8"` })
  const layout = await get(`api/jobs/${id}/schemes/A/layout`)
  assert.ok(layout.pieces.length > 10, `${layout.pieces.length} pieces`)
  assert.ok(layout.pieces.every((p) => p.measured.fit_to_cut !== true))
  assert.deepEqual(await axe(page, 'photo mode'), [])
  await page.getByRole('link', { name: 'See the drawing' }).click()
  await page.locator('[data-wall=front] svg').waitFor()
  assert.match(
    await page.locator('[data-wall=front] svg').getAttribute('aria-label'),
    /pieces in \d+ courses/,
  )
})

test('marks are nudged by keys, moved by the pointer, and snapping is refused', {
  skip: unless,
}, async () => {
  await page.goBack()
  await shown()
  const id = decodeURIComponent(/job\/([^/]+)/.exec(page.url())[1])
  const marks = async () => (await get(`api/jobs/${id}`)).document.house.photos[0].marks
  await page.locator('summary', { hasText: 'Front' }).click()
  await page.getByRole('button', { name: 'front upper right corner' }).click()
  const was = (await marks()).points['front upper right corner']
  await page.locator('[data-board]').focus()
  for (const key of ['ArrowRight', 'ArrowRight', 'Shift+ArrowUp']) await page.keyboard.press(key)
  const now = await until(
    async () => (await marks()).points['front upper right corner'],
    ([u, v]) => Math.abs(u - was[0] - 2) < 0.011 && Math.abs(v - was[1] + 0.1) < 0.011,
  )
  await settled()
  await page.keyboard.press('0')
  const from = await spot(now)
  await page.mouse.move(...from)
  await page.mouse.down()
  await page.mouse.move(from[0] + 20, from[1] + 2, { steps: 4 })
  await page.locator('[data-loupe]').waitFor()
  await page.mouse.move(...from, { steps: 4 })
  await page.mouse.up()
  await page.getByText('Brought on to the photo’s edges').waitFor()
  await settled()
  const snapped = (await marks()).points['front upper right corner']
  await page.getByRole('button', { name: 'Put back where I marked' }).click()
  await settled()
  assert.notDeepEqual((await marks()).points['front upper right corner'], snapped)
})

test('a wrong mark is shown where it is, and a tape that contradicts is named', {
  skip: unless,
}, async () => {
  await page.getByLabel('Bring marks on to the edges that the photo shows').uncheck()
  const id = decodeURIComponent(/job\/([^/]+)/.exec(page.url())[1])
  const { marks } = (await get(`api/jobs/${id}`)).document.house.photos[0]
  const name = marks.walls[0].openings[1].corners[2]
  const from = await spot(marks.points[name])
  await page.mouse.move(...from)
  await page.mouse.down()
  await page.mouse.move(from[0] + 25, from[1], { steps: 5 })
  await page.mouse.up()
  await page
    .getByText(/px off/)
    .first()
    .waitFor()
  await page
    .getByText(/pixels from where the other marks put it/)
    .first()
    .waitFor()
  await page.getByRole('button', { name: 'Undo' }).click()
  await page.waitForFunction(() => !document.querySelector('[data-board] svg .fault'))
})

test('by keys alone: aim, put, and a likely window is taken', { skip: unless }, async () => {
  await begin('By keys (invented)', join(data, 'scenes', 'alder', 'before.jpg'))
  await page.getByLabel('Its name').fill('front')
  await page.getByRole('button', { name: 'Under an eave' }).press('Enter')
  const board = page.locator('[data-board]')
  await board.focus()
  const truth = JSON.parse(readFileSync(join(data, 'scenes', 'alder', 'truth.json'), 'utf8')).walls[0]
  let at = [800, 600]
  for (const c of truth.corners_px) {
    for (const axis of [0, 1]) {
      const by = Math.round(c[axis] - at[axis])
      const key = axis === 0 ? (by > 0 ? 'ArrowRight' : 'ArrowLeft') : by > 0 ? 'ArrowDown' : 'ArrowUp'
      for (let n = 0; n < Math.floor(Math.abs(by) / 20); n++) await page.keyboard.press(`Alt+${key}`)
      for (let n = 0; n < Math.abs(by) % 20; n++) await page.keyboard.press(key)
      at = axis === 0 ? [at[0] + by, at[1]] : [at[0], at[1] + by]
    }
    await page.keyboard.press('Enter')
  }
  await page.getByText('front is marked.').waitFor()
  await page.getByRole('button', { name: 'Show likely windows' }).press('Enter')
  await page.getByRole('button', { name: 'Take likely window 1' }).press('Enter')
  await page.getByText(/1 openings/).waitFor()
  await picture(page, 'likely')
  assert.deepEqual(await axe(page, 'likely windows and lines'), [])
  const id = decodeURIComponent(/job\/([^/]+)/.exec(page.url())[1])
  const lines = async () => {
    const [w] = (await get(`api/jobs/${id}`)).document.house.photos[0].marks.walls
    return (w.level ?? []).length + (w.plumb ?? []).length
  }
  await page.getByRole('button', { name: 'Take level line a' }).press('Enter')
  await settled()
  assert.equal(await lines(), 1)
  await page.getByRole('button', { name: /^Take all \d+ lines/ }).press('Enter')
  await settled()
  const all = await lines()
  assert.ok(all > 3, `${all} lines`)
  // Each is a mark as any other: its ends are dragged or nudged, and it is taken away again.
  await page.locator('summary', { hasText: 'Front' }).press('Enter')
  await page.getByRole('button', { name: 'level line 1, point 1' }).press('Enter')
  await page.getByRole('button', { name: 'Take away level line 1' }).press('Enter')
  await settled()
  assert.equal(await lines(), all - 1)
})

test('two walls on one photo share the corner that is marked once', { skip: unless }, async () => {
  const [front, right] = JSON.parse(readFileSync(join(data, 'scenes', 'birch', 'truth.json'), 'utf8')).walls
  const id = await begin('A corner (invented)', join(data, 'scenes', 'birch', 'before.jpg'))
  await markWall('front', front.corners_px)
  await markOpenings('Door', [front.openings.find((o) => o.kind === 'door').corners_px])
  await markWall('right', right.corners_px)
  await markOpenings('Window', [right.openings[0].corners_px])
  await tape('F1 width', '43 in')
  await page.getByRole('button', { name: 'Draw front and right from this photo' }).click()
  await page.locator('[data-made]', { hasText: 'front, right drawn.' }).waitFor()
  await settled()
  const job = await get(`api/jobs/${id}`)
  const [a, b] = job.document.house.photos[0].marks.walls
  assert.equal(b.outline[0], a.outline[1], 'the lower corner is one mark')
  assert.deepEqual(job.document.house.corners, [{ between: ['front.right', 'right.left'], kind: 'outside' }])
  for (const [k, wall] of [front, right].entries()) {
    const got = job.view.walls[k]
    const may = Math.max(...got.readings.map((r) => r[0].plus_minus_in ?? 0)) + 0.6
    const want = Math.max(...wall.outline_in.map((p) => p[0]))
    assert.ok(Math.abs(got.width_in - want) <= may, `${got.id}: ${got.width}, truth ${want} in, ± ${may}`)
  }
})

test('two photos of one job are measured together: one tape number serves both', {
  skip: unless,
}, async () => {
  const folder = join(data, 'scenes', 'birch')
  const [front, right] = JSON.parse(readFileSync(join(folder, 'truth.json'), 'utf8')).walls
  const id = await begin('Two photos (invented)', join(folder, 'before.jpg'))
  await markWall('front', front.corners_px)
  await markOpenings('Door', [front.openings.find((o) => o.kind === 'door').corners_px])
  await tape('Front, base', "32'")
  await page.getByText('nothing checks it: misread, it would pass unseen').waitFor()
  await page.getByRole('button', { name: 'Draw front from this photo' }).click()
  await page.locator('[data-made]', { hasText: 'front drawn.' }).waitFor()
  await settled()

  await page.locator('input[type=file]').first().setInputFiles(join(folder, 'after_lap4.jpg'))
  await page.waitForURL(/photo=P2/)
  await shown()
  await markWall('front', front.corners_px)
  await markWall('right', right.corners_px)
  await page.locator('[data-size="right, base"] b').waitFor()
  await picture(page, 'two-photos')
  await page.getByRole('button', { name: 'Draw front and right from the photos' }).click()
  await page.locator('[data-made]', { hasText: 'front, right drawn.' }).waitFor()
  await settled()
  const job = await get(`api/jobs/${id}`)
  const [one, two] = job.document.house.photos
  assert.equal(one.marks.lengths.length, 1)
  assert.equal(two.marks.lengths?.length ?? 0, 0, 'no tape number on the second photo')
  const got = job.view.walls.find((w) => w.id === 'right')
  const may = Math.max(...got.readings.map((r) => r[0].plus_minus_in ?? 0)) + 0.6
  assert.ok(Math.abs(got.width_in - 292) <= may, `${got.width}, truth 292 in, ± ${may}`)
  // The tape's own number stays what it was.
  assert.equal(job.view.walls.find((w) => w.id === 'front').width_in, 384)
  await page.goto(`${server.url}#/job/${id}/walls`)
  await page.getByRole('heading', { name: 'Left to measure' }).waitFor()
  await picture(page, 'tape-list', { fullPage: true })
  await page.setViewportSize({ width: 360, height: 780 })
  await picture(page, 'tape-list-phone', { fullPage: true })
  const wide = await tooWide(page)
  assert.ok(wide <= 0, `the page is ${wide} px too wide`)
  await page.goto(`${server.url}#/job/${id}/walls?photo=P2`)
  await shown()
  await picture(page, 'two-photos-phone', { fullPage: true })
  await page.setViewportSize(desk.viewport)
})

test('from a street photo and one tape number to a drawn wall', { skip: unless }, async () => {
  const began = performance.now()
  const id = await begin('A street photo', join(data, 'photos', 'pexels_stone_cottage_940.jpg'))
  await markWall('front', [
    [120, 497],
    [690, 492],
    [690, 230],
    [120, 224],
  ])
  const boxes = (left, foot, right, top) => [[left, foot], undefined, [right, top]]
  await markOpenings('Window', [boxes(507, 398, 556, 309)])
  await markOpenings('Garage door', [boxes(161, 495, 337, 309)])
  await tape('F2 width', "9'")
  await page.getByRole('button', { name: 'Draw front from this photo' }).click()
  await page.locator('[data-made]', { hasText: 'front drawn.' }).waitFor()
  await settled()
  console.log(`street photo to a drawn wall: ${((performance.now() - began) / 1000).toFixed(1)} s`)
  const { view } = await get(`api/jobs/${id}`)
  assert.equal(view.walls[0].openings.find((o) => o.kind === 'garage-door').size[0], "9'")
  assert.ok(view.walls[0].width_in > 300 && view.walls[0].width_in < 400, view.walls[0].width)
  assert.equal(view.walls[0].openings.length, 2)
  const layout = await get(`api/jobs/${id}/schemes/A/layout`)
  assert.ok(layout.pieces.length > 5)
})

test('what is no photo is refused with the mend', { skip: unless }, async () => {
  await page
    .locator('input[type=file]')
    .first()
    .setInputFiles({ name: 'x.jpg', mimeType: 'image/jpeg', buffer: Buffer.from('no picture') })
  await page.getByRole('alert').filter({ hasText: 'give a photo as JPEG or PNG' }).waitFor()
})

test('on a phone: a finger aims with the loupe, two fingers are not needed', { skip: unless }, async () => {
  const context = await chrome.newContext({ ...phone, deviceScaleFactor: 1 })
  const p = await open(context, server.url, faults)
  await begin('On a phone (invented)', join(data, 'scenes', 'alder', 'before.jpg'), p)
  await p.getByLabel('Its name').fill('front')
  await p.getByRole('button', { name: 'Under an eave' }).tap()
  const truth = JSON.parse(readFileSync(join(data, 'scenes', 'alder', 'truth.json'), 'utf8')).walls[0]
  for (const c of truth.corners_px) await answered(async () => p.touchscreen.tap(...(await spot(c, p))), p)
  await p.getByText('front is marked.').waitFor()
  assert.deepEqual(await axe(p, 'photo mode, phone'), [])
  const wide = await p.evaluate(
    () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
  )
  assert.equal(wide, 0)
  await context.close()
})

test('nothing of the page failed on the way', { skip: unless }, () => assert.deepEqual(faults, []))
