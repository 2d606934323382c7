// Rough days for a phone: it is full, its clock is a day off, it was put back to an old copy.
// Nothing is lost, and the person is told. And the page can be installed.

import assert from 'node:assert/strict'
import { test } from 'node:test'
import { form, screen, sent, small, take } from './crew.mjs'
import { ask, axe, chrome, cut, faults, id, open, picture, server, skip, stage, until } from './lib.mjs'

stage()
const progress = async () => (await fetch(`${server.url}api/jobs/${id}/schemes/A/site/progress`)).json()
async function phone(who) {
  const context = await chrome.newContext({ ...small, deviceScaleFactor: 1 })
  const page = await open(context, `${server.url}#/site`, faults)
  await take(page, id, who)
  await sent(page)
  return page
}
const waiting = async (page) =>
  Number(await page.locator('[data-waiting]').first().getAttribute('data-waiting'))

test('it can be installed', { skip }, async () => {
  const page = await phone('JK')
  const answer = await fetch(`${server.url}manifest.webmanifest`)
  assert.match(answer.headers.get('content-type'), /^application\/manifest\+json/)
  const m = await answer.json()
  assert.ok(m.name && m.short_name && m.start_url && m.id)
  assert.equal(m.display, 'standalone')
  for (const side of [192, 512]) {
    const icon = m.icons.find((i) => i.sizes === `${side}x${side}` && /any/.test(i.purpose))
    const png = Buffer.from(await (await fetch(new URL(icon.src, server.url))).arrayBuffer())
    assert.deepEqual([png.readUInt32BE(16), png.readUInt32BE(20)], [side, side]) // PNG's own header
  }
  assert.ok(m.icons.some((i) => /maskable/.test(i.purpose)))
  const cdp = await page.context().newCDPSession(page)
  const { installabilityErrors } = await cdp.send('Page.getInstallabilityErrors')
  assert.deepEqual(
    installabilityErrors.map((e) => e.errorId).filter((e) => e !== 'in-incognito'), // every test is
    [],
  )
  await page.evaluate(() => navigator.serviceWorker.ready)
  await page.context().setOffline(true)
  const start = await page.context().newPage()
  await start.goto(new URL(m.start_url, server.url).href)
  await start.locator('main.taken li').waitFor()
  assert.deepEqual(await axe(start, 'jobs on this phone'), [])
  await page.context().close()
})

test('a full phone keeps marks before photos, tells, and loses nothing', { skip }, async () => {
  const context = await chrome.newContext({ ...small, deviceScaleFactor: 1 })
  const page = await open(context, 'about:blank', faults)
  const cdp = await context.newCDPSession(page)
  const origin = new URL(server.url).origin
  await cdp.send('Storage.overrideQuotaForOrigin', { origin, quotaSize: 2_000_000 })
  await page.goto(`${server.url}#/site`)
  await take(page, id, 'Full')
  await sent(page)
  const { wall, item } = await gate(page)
  const back = await cut(context)
  const photo = await noise(page)
  await page
    .locator(`[data-item=${item}] input[type=file]`)
    .setInputFiles({ name: 'w.jpg', mimeType: 'image/jpeg', buffer: photo })
  await page.locator('[data-full]').waitFor()
  assert.match(await page.locator('[data-full]').innerText(), /only on this open page/)
  assert.ok((await waiting(page)) >= 2) // the mark and its photo
  assert.deepEqual(await axe(page, 'a full phone'), [])
  await cdp.send('Storage.overrideQuotaForOrigin', { origin })
  await back()
  await sent(page)
  const p = await progress()
  assert.ok(p.quality.some((q) => q.wall === wall && q.item === item && q.by === 'Full'))
  assert.ok(p.photos.every((f) => f.here))
  await page.context().close()
})

/** A picture that no coder makes small: larger than the room there is. */
async function noise(page) {
  const text = await page.evaluate(async () => {
    const canvas = Object.assign(document.createElement('canvas'), { width: 1800, height: 1800 })
    const c = canvas.getContext('2d')
    const dots = c.createImageData(1800, 1800)
    for (let i = 0; i < dots.data.length; i += 65536)
      crypto.getRandomValues(dots.data.subarray(i, Math.min(i + 65536, dots.data.length)))
    for (let i = 3; i < dots.data.length; i += 4) dots.data[i] = 255
    c.putImageData(dots, 0, 0)
    return canvas.toDataURL('image/jpeg', 0.95)
  })
  return Buffer.from(text.split(',')[1], 'base64')
}

/** Opens a wall's checks; gives the first item that wants a photo. */
async function gate(page) {
  const wall = await page.evaluate(() => document.querySelector('main.choose a[href*="/wall/"]').href)
  const name = decodeURIComponent(/\/wall\/([^?]+)/.exec(wall)[1])
  await screen(page, id, `wall/${name}`, '[data-wall]')
  await page.locator('[data-checks] > summary').click()
  const item = await page.locator('[data-item]:has(input[type=file])').first().getAttribute('data-item')
  return { wall: name, item }
}

test('a clock that is a day off is told, and changes nothing', { skip }, async () => {
  const context = await chrome.newContext({ ...small, deviceScaleFactor: 1 })
  const page = await open(context, `${server.url}#/site`, faults)
  await page.clock.setSystemTime(Date.now() + 25 * 3_600_000)
  await take(page, id, 'Day')
  await page.locator('[data-clock]').waitFor()
  await screen(page, id, 'machine', '[data-machine]')
  const before = (await progress()).counts.formed
  await form(page)
  await sent(page)
  const p = await progress()
  assert.equal(p.counts.formed, before + 1)
  assert.ok(p.clocks.length > 0)
  await context.close()
})

/** All that the phone keeps, as it could be copied away and put back. */
const copied = (page) =>
  page.evaluate(async () => {
    const asked = (r) =>
      new Promise((done, bad) =>
        Object.assign(r, { onsuccess: () => done(r.result), onerror: () => bad(r.error) }),
      )
    const db = await asked(indexedDB.open('coilwright-site'))
    const kept = {}
    for (const name of db.objectStoreNames) {
      const store = db.transaction(name).objectStore(name)
      kept[name] = [await asked(store.getAllKeys()), await asked(store.getAll())]
    }
    db.close()
    return kept
  })
const putBack = (page, kept) =>
  page.evaluate(async (old) => {
    const asked = (r) =>
      new Promise((done, bad) =>
        Object.assign(r, { onsuccess: () => done(r.result), onerror: () => bad(r.error) }),
      )
    const db = await asked(indexedDB.open('coilwright-site'))
    for (const [name, [keys, values]] of Object.entries(old)) {
      const store = db.transaction(name, 'readwrite').objectStore(name)
      await asked(store.clear())
      for (const [i, v] of values.entries()) await asked(store.keyPath ? store.put(v) : store.put(v, keys[i]))
    }
    db.close()
  }, kept)

test('a phone that was put back to an old copy takes its own marks again', { skip }, async () => {
  const page = await phone('Old')
  await screen(page, id, 'machine', '[data-machine]')
  await form(page)
  await sent(page)
  const backup = await copied(page)
  const lostOnes = [await form(page), await form(page)]
  await sent(page)
  const before = (await progress()).counts.formed
  await page.goto('about:blank')
  await page.goto(`${server.url}#/site`)
  await page.locator('main.taken li').waitFor()
  await putBack(page, backup)
  await page.context().setOffline(true)
  await page.reload()
  await page.locator('main.taken li').waitFor()
  await screen(page, id, 'machine', '[data-machine]')
  assert.equal(await page.locator('[data-piece]').getAttribute('data-piece'), lostOnes[0])
  await page.context().setOffline(false)
  await page.locator(`[data-piece]:not([data-piece="${lostOnes[0]}"])`).waitFor()
  const next = await form(page)
  assert.ok(!lostOnes.includes(next))
  await sent(page)
  assert.equal((await progress()).counts.formed, before + 1)
  await page.context().close()
})

test('the browser sends what waits though no page of ours is open', { skip }, async () => {
  const page = await phone('Shut')
  const context = page.context()
  await page.evaluate(() => navigator.serviceWorker.ready)
  await screen(page, id, 'machine', '[data-machine]')
  const back = await cut(context)
  const keys = [await form(page), await form(page)]
  await until(
    () => copied(page),
    ({ marks: [, rows] }) => keys.every((key) => rows.some((r) => r.mark.piece === key && !r.sent)),
  )
  await page.close()
  await back()
  const marks = async () =>
    (await (await fetch(`${server.url}api/jobs/${id}/marks`)).json()).marks.filter((m) => m.by === 'Shut')
  // A file of the same address, for the debugger to stand on: none of our script runs there.
  const bare = await context.newPage()
  const cdp = await context.newCDPSession(bare)
  const known = new Promise((found) =>
    cdp.on('ServiceWorker.workerRegistrationUpdated', ({ registrations }) => {
      const ours = registrations.find((r) => r.scopeURL === server.url && !r.isDeleted)
      if (ours) found(ours.registrationId)
    }),
  )
  await bare.goto(`${server.url}manifest.webmanifest`)
  await cdp.send('ServiceWorker.enable')
  const origin = new URL(server.url).origin
  await cdp.send('ServiceWorker.dispatchSyncEvent', {
    origin,
    registrationId: await known,
    tag: 'marks',
    lastChance: false,
  })
  const formed = async () => (await marks()).filter((m) => m.kind === 'formed').map((m) => m.piece)
  const gone = await until(formed, (all) => all.length >= 2)
  assert.deepEqual(gone.sort(), keys.sort()) // in whatever order they went
  await context.close()
})

test('a fault of the house is told in words, with the plan that the phone has', { skip }, async () => {
  const page = await phone('Fault')
  const office = async (what, value) => {
    const { revision } = await ask(server.url, 'GET', `/api/jobs/${id}`)
    const patch = [{ op: 'replace', path: '/house/walls/0/openings/0/size/0', value }]
    await ask(server.url, 'POST', `/api/jobs/${id}/changes`, { what, patch }, revision)
  }
  const { document } = await ask(server.url, 'GET', `/api/jobs/${id}`)
  await office('As wide as a street', "200'")
  const { problems } = await ask(server.url, 'GET', `/api/jobs/${id}`)
  const [fault] = problems.filter((p) => p.severity === 'error')
  const words = `The office has a fault of this house to mend first: ${fault.what}.`
  await page.reload()
  const said = page.getByRole('alert').filter({ hasText: words })
  await said.filter({ hasText: 'Marks are kept; this is the plan of' }).waitFor()
  await picture(page, 'phone-fault')
  assert.deepEqual(await axe(page, 'a fault of the house'), [])
  await screen(page, id, 'machine', '[data-machine]')

  const context = await chrome.newContext({ ...small, deviceScaleFactor: 1 })
  const fresh = await open(context, `${server.url}#/site/${id}?scheme=A`, faults)
  await fresh.getByRole('alert').filter({ hasText: words }).waitFor()
  await picture(fresh, 'phone-fault-no-plan')
  await context.close()

  await office('As it is', document.house.walls[0].openings[0].size[0])
  await page.reload()
  await said.waitFor({ state: 'detached' })
  await page.context().close()
})

test('nothing of the pages failed on the way', { skip }, () => assert.deepEqual(faults, []))
