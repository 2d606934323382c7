// Screens that a job comes to on its way: the visit and the offer, the owner's page, the shop's
// book, a house that cannot stand, numbers by photo, pieces cut on somebody's word, a jam.

import { screen } from './crew.mjs'
import { ask } from './lib.mjs'
import { addScene, noScene } from './scene.mjs'

const made = new Map()
/** A job of its own beside the demo job, made once a server. */
async function job(base, id, title, turn) {
  const key = base + title
  if (!made.has(key)) {
    const document = await ask(base, 'GET', `api/jobs/${id}/revisions/1`)
    document.title = title
    turn(document)
    made.set(key, (await ask(base, 'POST', 'api/jobs', { title, document })).id)
  }
  return made.get(key)
}
const down = (page, what) =>
  page
    .locator(what)
    .first()
    .evaluate((e) => e.scrollIntoView())
const byPhoto = { by: 'photo', plus_minus: '1 in' }
const length = (n) => (typeof n === 'object' ? n.length : n)

/** The office's: the visit, the offer, the book, the wind, and what stands in the way. */
export async function officeScreens(page, base, id, go, at) {
  await go(`job/${id}/offer/visit`, '[data-visit] .usual li')
  await at('visit')
  await go(`job/${id}/offer`, '[data-total=C]')
  await at('offer')
  await page.locator('button.line').first().click()
  await down(page, 'button.line')
  await at('offer-line')
  for (const part of ['prices', 'hours', 'rules', 'words', 'letterhead', 'versions']) {
    await go(`book/${part}`, '[data-shop-book] section')
    await at(`book-${part}`)
  }
  await go(`job/${id}/site`, '[data-windsite]')
  await down(page, '[data-windsite]')
  await at('wind')
  const broken = await job(base, id, 'A house that cannot stand (invented)', (doc) => {
    doc.house.walls[0].openings[0].at = ["34'", "3'"]
    const [first, second] = doc.house.walls[1].openings
    second.at = first.at
  })
  await go(`job/${broken}/steel`, '.hindrance')
  await at('faults')
  await words(page, base, id, go, at)
  await numbersByPhoto(page, base, id, go, at)
  await ownerScreens(page, base, id, at)
}

async function words(page, base, id, go, at) {
  const photographed = await job(base, id, 'North wall by photo (invented)', (doc) => {
    const north = doc.house.walls.find((w) => w.id === 'north')
    north.measured = byPhoto
  })
  await go(`job/${photographed}/steel?scheme=A`, '[data-words]')
  const given = await page.locator('[data-word]').count()
  if (!given) {
    await page.locator('[data-words] input[type=checkbox]').first().check()
    await page.locator('[data-word-name]').fill('Robin Invented')
    await page.locator('[data-word-reason]').fill('Read again on site with a tape')
    await at('word-asked')
    await page.getByRole('button', { name: /on this word/ }).click()
    await page.locator('[data-word="1"]').waitFor()
  }
  await down(page, '[data-word]')
  await at('word-steel')
  await go(`job/${photographed}/site?scheme=A`, '[data-word]')
  await down(page, '[data-words]')
  await at('word-site')
}

async function numbersByPhoto(page, base, id, go, at) {
  const two = await job(base, id, 'Two photos of one side (invented)', (doc) => {
    const south = doc.house.walls.find((w) => w.id === 'south')
    for (const k of [1, 2]) south.outline[k][0] = { length: length(south.outline[k][0]), measured: byPhoto }
    const { size } = south.openings[1]
    size[0] = { length: length(size[0]), measured: byPhoto }
  })
  if (!noScene && !made.has(`${base}photos`)) {
    for (const photo of ['P1', 'P2']) await addScene(base, two, { id: photo, mask: false })
    made.set(`${base}photos`, two)
  }
  await go(`job/${two}/walls`, '[data-next]')
  await down(page, '#tape-title')
  await at('tape-list')
  if (await page.locator('.adjusted').count()) {
    await down(page, '.adjusted')
    await at('tape-adjusted')
  }
  if (noScene) return
  await go(`job/${two}/walls?photo=P2`, '[data-size] b')
  await page.waitForFunction(() => document.querySelector('[data-board] img')?.naturalWidth > 0)
  await at('photo-two')
}

/** What the owner of the house gets by the link, before the signature and below. */
async function ownerScreens(page, base, id, at) {
  const key = `${base}owner`
  if (!made.has(key)) {
    const sold = await job(base, id, 'Sent to the owner (invented)', () => {})
    const { revision } = await ask(base, 'GET', `api/jobs/${sold}`)
    const offer = await ask(base, 'POST', `api/jobs/${sold}/offers`, { schemes: ['A', 'B'], revision })
    made.set(key, [sold, offer.link.split('/').at(-1)])
  }
  const [sold, token] = made.get(key)
  await page.goto(`${base}#/job/${sold}/offer`)
  await page.locator('[data-state]').first().waitFor()
  await down(page, '[data-state]')
  await at('offer-sent')
  await page.goto(`${base}#/owner/${token}`)
  await page.locator('[data-owner=open]').waitFor()
  await at('owner')
  await down(page, '[data-sign]')
  await at('owner-sign')
}

/** The crew's: a jam, the reel read, a label, and the nails that the wall asks. */
export async function crewLater(page, id, at) {
  await screen(page, id, 'machine', '[data-formed]')
  for (const [button, name] of [
    ['Jam', 'crew-jam'],
    ['Reel', 'crew-reel'],
    ['Label', 'crew-label'],
  ]) {
    await page.getByRole('button', { name: button, exact: true }).click()
    await page.getByRole('dialog').waitFor()
    await at(name)
    await page.keyboard.press('Escape')
  }
}
