// A photo of the house wears its schemes: changed over, side by side, old and new one
// press apart, another sun, a zone picked in the photo and changed there; the close-up,
// the house all round, an owner's chip.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import {
  axe,
  chrome,
  desk,
  faults,
  id,
  open,
  patience,
  phone,
  picture,
  pictures,
  quiet,
  server,
  skip,
  soundness,
  stage,
  until,
} from './lib.mjs'
import { addScene, noScene, share } from './scene.mjs'

const unless = skip || noScene
let marks

stage(
  async () => {
    marks = await addScene(server.url, id)
  },
  { unless },
)

async function look(page, name) {
  await page.waitForTimeout(pictures ? 300 : 0)
  await picture(page, name)
}
const sound = (page, name) =>
  soundness(
    page,
    name,
    '.sheet a:not(p a), .sheet button, .sheet select, .sheet input:not(.unseen, [type=radio], [type=checkbox], [type=range]), .sheet summary',
  )

/** The mean colour of what is shown around a place, in shares of the photo. */
async function seen(page, [u, v], within = '.frame img.top') {
  return page.locator(within).evaluate(
    async (im, [u, v]) => {
      // A picture that gives way to a newer one while it is decoded is looked at again.
      for (let tries = 0; ; tries++) {
        const whole = await im.decode().then(
          () => true,
          (e) => (tries < 50 ? false : Promise.reject(e)),
        )
        if (whole && im.naturalWidth) break
        await new Promise((r) => setTimeout(r, 100))
      }
      const canvas = document.createElement('canvas')
      canvas.width = im.naturalWidth
      canvas.height = im.naturalHeight
      const to = canvas.getContext('2d')
      to.drawImage(im, 0, 0)
      const { data } = to.getImageData(
        Math.round(u * canvas.width) - 3,
        Math.round(v * canvas.height) - 3,
        7,
        7,
      )
      const sum = [0, 0, 0]
      for (let i = 0; i < data.length; i += 4) for (let k = 0; k < 3; k++) sum[k] += data[i + k] / 49
      return sum
    },
    [u, v],
  )
}
const apart = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2])
/** Waits until the picture of the job as it stands is there. */
async function painted(page) {
  await page.waitForFunction(() => {
    const job = document.querySelector('.job')
    const on = document.querySelector('.on-photo')
    return (
      job?.dataset.waiting === '0' &&
      on?.dataset.picture.startsWith(`${job.dataset.revision} `) &&
      on.dataset.busy === 'false'
    )
  })
}
async function tap(page, [u, v]) {
  const f = await page.locator('.frame').boundingBox()
  await page.mouse.click(f.x + u * f.width, f.y + v * f.height)
}

test('a photo wears its schemes', { skip: unless, timeout: 6 * patience }, async (t) => {
  const clad = share(marks, 'south S1 lower right', 'south S2 lower left')
  const window = share(
    marks,
    ...['lower left', 'lower right', 'upper right', 'upper left'].map((c) => `south S3 ${c}`),
  )
  const page = await open(
    await chrome.newContext({ ...desk, deviceScaleFactor: 1 }),
    `${server.url}#/job/${id}/siding`,
    faults,
  )
  await page.getByRole('link', { name: 'Photo P1' }).click()
  await painted(page)
  await page.getByText('An illustration; approve a physical sample.').waitFor()
  const a = await seen(page, clad)
  const glass = await seen(page, window)
  await look(page, 'on-photo-desk')
  await sound(page, 'on the photo')

  // Another scheme, prefetched: it is there with the next frame.
  await page.waitForFunction(
    () => document.querySelector('[data-layer="B"]') && document.querySelector('[data-layer="C"]'),
  )
  await quiet(page, 'on the photo')
  const begun = Date.now()
  await page.locator('.schemes').getByText('C', { exact: true }).click()
  await page.locator('[data-layer="C"].top').waitFor()
  t.diagnostic(`changed over in ${Date.now() - begun} ms`)
  await painted(page)
  const c = await seen(page, clad)
  assert.ok(apart(a, c) > 40, `schemes A ${a} and C ${c} look alike`)
  assert.ok(apart(glass, await seen(page, window)) < 6, 'the window changed with the scheme')
  await page.locator('.schemes').getByText('A', { exact: true }).click()
  await painted(page)

  // Old and new, one press apart: held by mouse, held by key, left standing.
  const hold = page.getByRole('button', { name: 'Hold: old wall' })
  const at = await hold.boundingBox()
  await page.mouse.move(at.x + 10, at.y + 10)
  await page.mouse.down()
  await page.locator('[data-shown=old]').waitFor()
  const old = await seen(page, clad)
  await page.mouse.up()
  await page.locator('[data-shown=A]').waitFor()
  assert.ok(apart(old, a) > 40, `old ${old} and new ${a} look alike`)
  await page.locator('.frame').focus()
  await page.keyboard.down('o')
  await page.locator('[data-shown=old]').waitFor()
  await page.keyboard.up('o')
  await page.locator('[data-shown=A]').waitFor()
  await page.getByRole('button', { name: 'Old wall', exact: true }).click()
  await page.locator('[data-shown=old]').waitFor()
  await page.getByRole('button', { name: 'Old wall', exact: true }).click()

  // A zone picked in the photo changes there, and nowhere else.
  await tap(page, clad)
  await page.locator('[data-spot="south field"]').waitFor()
  await look(page, 'on-photo-zone-desk')
  await page.getByRole('group', { name: 'Colour of field' }).getByText('Barn red').click()
  await page.waitForFunction(
    (was) => Number(document.querySelector('.job').dataset.revision) > was,
    Number(await page.locator('.job').getAttribute('data-revision')) - 1,
  )
  await painted(page)
  const barn = await seen(page, clad)
  assert.ok(barn[0] > 1.5 * barn[2], `the field is barn red: ${barn}`)
  assert.ok(apart(glass, await seen(page, window)) < 6, 'the window changed with the colour')
  // The same by keys alone: Enter picks what is under the cross.
  await tap(page, window)
  await page.getByText('Opening S3').waitFor()

  // Another sun, by the hours of the photo's day.
  await page.getByRole('button', { name: 'Sun', exact: true }).click()
  await page.getByLabel('Hour of the day').focus()
  for (let i = 0; i < 12; i++) await page.keyboard.press('ArrowLeft')
  await page.waitForFunction(() => !document.querySelector('.on-photo')?.dataset.picture.endsWith('own'))
  await painted(page)
  const morning = await seen(page, clad)
  assert.ok(apart(morning, barn) > 4, `the morning's sun shows: ${morning}, ${barn}`)
  await look(page, 'on-photo-sun-desk')
  await sound(page, 'sun')
  await page.getByRole('button', { name: 'Back to the photo’s sun' }).click()
  await painted(page)

  // Side by side.
  await page.getByRole('button', { name: 'Side by side' }).click()
  await page.locator('[data-beside-scheme=C]').waitFor()
  assert.equal(await page.locator('[data-beside="3"] img').count(), 3)
  assert.ok(
    apart(
      await seen(page, clad, '[data-beside-scheme=A]'),
      await seen(page, clad, '[data-beside-scheme=C]'),
    ) > 3,
  )
  await look(page, 'side-by-side-desk')
  await sound(page, 'side by side')
  await page.context().close()
})

test('strokes and a reference are kept with the photo', { skip: unless, timeout: 4 * patience }, async () => {
  const page = await open(
    await chrome.newContext({ ...desk, deviceScaleFactor: 1 }),
    `${server.url}#/job/${id}/siding?photo=P1`,
    faults,
  )
  await painted(page)
  await page.getByRole('button', { name: 'In front' }).click()
  const f = await page.locator('.frame').boundingBox()
  await page.mouse.move(f.x + 0.3 * f.width, f.y + 0.5 * f.height)
  await page.mouse.down()
  await page.mouse.move(f.x + 0.32 * f.width, f.y + 0.52 * f.height, { steps: 5 })
  await page.mouse.up()
  await page.locator('[data-strokes="1"]').waitFor()
  // One more by keys.
  await page.locator('.frame').focus()
  await page.getByLabel('Wall', { exact: true }).check()
  await page.locator('.frame').focus()
  await page.keyboard.press('Enter')
  for (let i = 0; i < 3; i++) await page.keyboard.press('ArrowRight')
  await page.keyboard.press('Enter')
  await page.locator('[data-strokes="2"]').waitFor()
  await look(page, 'in-front-desk')
  await sound(page, 'in front')
  const kept = await job()
  const [one, two] = kept.document.house.photos[0].strokes
  assert.equal(one.kind, 'front')
  assert.ok(
    Math.abs(one.points[0][0] - 480) < 3 && Math.abs(one.points[0][1] - 600) < 3,
    `begins at ${one.points[0]}`,
  )
  assert.equal(two.kind, 'wall')
  assert.deepEqual(
    (kept.problems ?? []).filter((p) => p.severity === 'error'),
    [],
  )
  await page.getByRole('button', { name: 'White' }).click()
  await page.mouse.move(f.x + 0.13 * f.width, f.y + 0.6 * f.height)
  await page.mouse.down()
  await page.mouse.move(f.x + 0.14 * f.width, f.y + 0.63 * f.height, { steps: 3 })
  await page.mouse.up()
  await page.locator('[data-references="1"]').waitFor()
  await look(page, 'white-grey-desk')
  await sound(page, 'white and grey')
  assert.equal((await job()).document.house.photos[0].references[0].pixels.length, 49)
  await page.getByRole('button', { name: /reference 1/ }).click()
  await page.locator('[data-references="0"]').waitFor()
  await page.context().close()
})
const job = async () => (await fetch(`${server.url}api/jobs/${id}`)).json()

test('at arm’s length, all round, an owner’s chip, on a phone', {
  skip: unless,
  timeout: 6 * patience,
}, async () => {
  const page = await open(
    await chrome.newContext({ ...phone, deviceScaleFactor: 1 }),
    `${server.url}#/job/${id}/siding?photo=P1`,
    faults,
  )
  await painted(page)
  await look(page, 'on-photo-phone')
  await sound(page, 'on the photo, phone')
  await tap(page, share(marks, 'south S1 lower right', 'south S2 lower left'))
  await page.locator('[data-spot="south field"]').waitFor()
  await page.getByRole('button', { name: 'At arm’s length' }).click()
  const closer = page.locator('[data-closeup]')
  await closer.waitFor()
  const was = await closer.getAttribute('src')
  await page.getByRole('group', { name: 'Colour to try' }).getByText('Bone').click()
  await page.waitForFunction((was) => document.querySelector('[data-closeup]').src !== was, was)
  assert.ok(
    (await seen(page, [0.5, 0.45], '[data-closeup]')).every((c) => c > 130),
    'bone is light',
  )
  await look(page, 'closeup-phone')
  assert.deepEqual(await axe(page, 'at arm’s length'), [])
  await page.getByRole('button', { name: /Take this/ }).click()
  await page.keyboard.press('Escape')
  await painted(page)
  assert.ok(
    (await seen(page, share(marks, 'south S1 lower right', 'south S2 lower left'))).every((c) => c > 120),
    'the field is bone',
  )

  await page.goto(`${server.url}#/job/${id}/siding?look=round`)
  await page.locator('[data-shown^="A "]').waitFor()
  const table = page.locator('.table')
  await table.focus()
  const shot = () => page.locator('canvas').screenshot()
  await page
    .getByRole('button', { name: 'Turn slowly' })
    .evaluate((b) => b.ariaPressed === 'true' && b.click())
  let last
  const front = await until(shot, (now) => {
    const rests = last?.equals(now)
    last = now
    return rests
  })
  await page.keyboard.press('Tab')
  await table.focus()
  await page.keyboard.press('ArrowRight')
  const turned = await until(shot, (now) => !front.equals(now)) // an arrow key turns the house
  await look(page, 'round-phone')
  await sound(page, 'all round')
  await page.locator('.schemes').getByText('C', { exact: true }).click()
  await page.locator('[data-shown^="C "]').waitFor()
  await until(shot, (now) => !turned.equals(now)) // another scheme looks otherwise

  await page.goto(`${server.url}#/job/${id}/siding?look=chip`)
  await page.locator('.start').waitFor()
  await sound(page, 'chip, empty')
  await page
    .locator('input[type=file]')
    .setInputFiles({ name: 'chip.png', mimeType: 'image/png', buffer: await chipPhoto(page) })
  await page.locator('.frame img').waitFor()
  for (const [from, to] of [
    [
      [0.6, 0.2],
      [0.9, 0.8],
    ],
    [
      [0.1, 0.2],
      [0.4, 0.8],
    ],
  ]) {
    const f = await page.locator('.frame').boundingBox()
    await page.mouse.move(f.x + from[0] * f.width, f.y + from[1] * f.height)
    await page.mouse.down()
    await page.mouse.move(f.x + to[0] * f.width, f.y + to[1] * f.height, { steps: 4 })
    await page.mouse.up()
  }
  await page.locator('[data-chip=barn]').waitFor()
  await page.getByText('a phone is no spectrophotometer').waitFor()
  await look(page, 'chip-phone')
  await sound(page, 'chip')
  const request = page.waitForEvent('download')
  await page.getByRole('button', { name: 'Match request, PDF' }).click()
  assert.equal((await request).suggestedFilename(), 'colour-match.pdf')
  await page.context().close()
})

/** Barn red beside a card of 18 % under a warm light. */
async function chipPhoto(page) {
  const url = await page.evaluate(async () => {
    const book = await (await fetch('/api/book')).json()
    const barn = book.colours.find((c) => c.id === 'barn').srgb
    const linear = (v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
    const back = (v) => Math.round(255 * (v <= 0.0031308 ? v * 12.92 : 1.055 * v ** (1 / 2.4) - 0.055))
    const canvas = document.createElement('canvas')
    canvas.width = 400
    canvas.height = 300
    const to = canvas.getContext('2d')
    const light = [0.9, 0.75, 0.5]
    const paint = (of, x) => {
      to.fillStyle = `rgb(${of.map((v, k) => back(v * light[k])).join(' ')})`
      to.fillRect(x, 0, 200, 300)
    }
    paint(
      barn.map((v) => linear(v / 255)),
      0,
    )
    paint([0.18, 0.18, 0.18], 200)
    return canvas.toDataURL('image/png')
  })
  return Buffer.from(url.split(',')[1], 'base64')
}

test('a photo that nobody marked says what to do', { skip: unless, timeout: 2 * patience }, async () => {
  await addScene(server.url, id, { marks: false, id: 'P2', mask: false })
  const page = await open(
    await chrome.newContext({ ...desk, deviceScaleFactor: 1 }),
    `${server.url}#/job/${id}/siding?photo=P2`,
    faults,
  )
  await page.getByText('Nobody has marked this photo yet').waitFor()
  await sound(page, 'not marked')
  const to = await page.getByRole('link', { name: 'Mark this photo' }).getAttribute('href')
  assert.match(to, /\/walls.*photo=P2/)
  await page.context().close()
  assert.deepEqual(faults, [])
})
