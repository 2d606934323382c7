// The owner's offer on paper, Letter and A4: what matters is there and legible, and nothing
// that only a screen can do. poppler reads the PDF that the browser prints.

import assert from 'node:assert/strict'
import { execFileSync } from 'node:child_process'
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { test } from 'node:test'
import { ask, chrome, desk, faults, id, open, phone, pictures, server, skip, stage } from './lib.mjs'
import { addScene, noScene } from './scene.mjs'

let link
stage(async () => {
  if (!noScene) {
    await addScene(server.url, id)
    await addAnother()
  }
  const { revision } = await ask(server.url, 'GET', `/api/jobs/${id}`)
  const sent = await ask(server.url, 'POST', `/api/jobs/${id}/offers`, { revision, schemes: ['A', 'B'] })
  link = new URL(sent.link, server.url).href
})

/** A second photo, of nothing in particular: on a screen it lies beside the first. */
async function addAnother() {
  const page = await open(await chrome.newContext(desk), server.url, faults)
  const sent = await page.context().request.fetch(`${server.url}api/jobs/${id}/photos`, {
    method: 'POST',
    headers: { 'X-Coilwright': 'page', 'Content-Type': 'image/jpeg' },
    data: await page.screenshot({ type: 'jpeg' }),
  })
  assert.ok(sent.ok(), await sent.text())
  const value = { id: 'P2', file: (await sent.json()).file }
  const { revision } = await ask(server.url, 'GET', `/api/jobs/${id}`)
  const patch = [{ op: 'add', path: '/house/photos/-', value }]
  await ask(server.url, 'POST', `/api/jobs/${id}/changes`, { what: 'Photo added', patch }, revision)
  await page.context().close()
}

/** What poppler reads of a PDF. */
const read = (program, pdf, ...how) =>
  execFileSync(program, [...how, '-', ...(program === 'pdfimages' ? [] : ['-'])], {
    input: pdf,
    maxBuffer: 1 << 26,
  }).toString()

/** Words of a PDF that lie over one another: what a page's end has run together. */
function overlaid(pdf) {
  const out = []
  for (const sheet of read('pdftotext', pdf, '-bbox').split('<page ').slice(1)) {
    const box = /xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">([^<]*)</g
    const words = [...sheet.matchAll(box)].map(([, ...v]) => ({ at: v.slice(0, 4).map(Number), word: v[4] }))
    for (const [i, a] of words.entries())
      for (const b of words.slice(i + 1)) {
        const wide = Math.min(a.at[2], b.at[2]) - Math.max(a.at[0], b.at[0])
        const high = Math.min(a.at[3], b.at[3]) - Math.max(a.at[1], b.at[1])
        // Boxes hold the face's whole height, so that neighbouring lines touch.
        if (wide > 0.5 && high > 0.6 * Math.min(a.at[3] - a.at[1], b.at[3] - b.at[1]))
          out.push(`${a.word} over ${b.word}`)
      }
  }
  return out
}

for (const [size, screen] of [
  ['desk', desk],
  ['phone', phone],
])
  for (const format of ['Letter', 'A4'])
    test(`the owner’s offer printed from a ${size} on ${format}`, { skip }, async () => {
      const context = await chrome.newContext({ ...screen, colorScheme: 'dark' })
      const page = await open(context, link, faults)
      await page.locator('[data-owner=open]').waitFor()
      await page.waitForFunction(() => [...document.images].every((i) => i.complete && i.naturalWidth > 0))
      const total = await page.locator('.sum dd').innerText()
      const seen = await ask(server.url, 'GET', `/api/owner/${link.split('/').at(-1)}`)
      const pdf = await page.pdf({ format })
      if (pictures) {
        mkdirSync(pictures, { recursive: true })
        writeFileSync(join(pictures, `owner-${size}-${format}.pdf`), pdf)
      }
      const text = read('pdftotext', pdf, '-layout').replace(/\s+/g, ' ')
      const must = [
        total,
        seen.shop.name,
        seen.title,
        ...seen.options.map((o) => o.title),
        ...[...seen.scope, ...seen.not_included, ...seen.practice, ...seen.cautions],
        ...seen.terms.split('\n').filter(Boolean),
        ...seen.rendered.filter((r) => r.option === 1).map((r) => r.caption),
      ]
      assert.deepEqual(
        must.filter((m) => !text.includes(m.replace(/\s+/g, ' '))),
        [],
      )
      for (const only of ['Choose and sign', 'Ask the shop', 'Questions', 'as PDF'])
        assert.ok(!text.includes(only), `“${only}” stands on the paper`)
      assert.deepEqual(overlaid(pdf), [])
      if (!noScene) {
        assert.match(text, /an illustration/)
        assert.match(text, /As it is, photo 2/)
        const images = read('pdfimages', pdf, '-list').split('\n')
        assert.equal(images.filter((l) => / image /.test(l)).length, seen.pictures.length)
      }
      const ink = await page.evaluate(() => getComputedStyle(document.body).color)
      await page.emulateMedia({ media: 'print', colorScheme: 'dark' })
      assert.notEqual(await page.evaluate(() => getComputedStyle(document.body).color), ink)
      assert.equal(await page.locator(':is(button, textarea, input:not([type=radio])):visible').count(), 0)
      await context.close()
    })

test('paper shows what is offered, whatever was looked at last', { skip: skip || noScene }, async () => {
  const page = await open(await chrome.newContext(phone), link, faults)
  await page.locator('[data-owner=open]').waitFor()
  const { rendered } = await ask(server.url, 'GET', `/api/owner/${link.split('/').at(-1)}`)
  const worn = (option) => rendered.find((r) => r.option === option).caption
  const loaded = () =>
    page.waitForFunction(() => [...document.images].every((i) => i.complete && i.naturalWidth > 0))
  const bare = page.getByRole('button', { name: 'As it is', exact: true })
  await bare.click()
  const shown = page.locator('[data-pictures] figure:visible')
  assert.match(await shown.first().innerText(), /^As it is/)
  await loaded()
  const paper = read('pdftotext', await page.pdf(), '-layout').replace(/\s+/g, ' ')
  assert.ok(paper.includes(worn(1)), 'the paper shows the house as it is')
  await page.getByRole('radio').nth(1).check()
  await page.getByText(worn(2)).waitFor()
  assert.equal(await bare.getAttribute('aria-pressed'), 'false', 'another option is chosen to be seen')
  assert.equal(await shown.first().innerText(), worn(2))
  const own = await fetch(new URL(`/api/owner/${link.split('/').at(-1)}/paper`, server.url))
  const text = read('pdftotext', Buffer.from(await own.arrayBuffer()), '-layout').replace(/\s+/g, ' ')
  for (const option of [1, 2]) assert.ok(text.includes(worn(option)), `the PDF lacks option ${option}`)
  await page.context().close()
})

test('in text of twice the size the offer widens nothing', { skip }, async () => {
  const page = await open(await chrome.newContext({ viewport: { width: 360, height: 640 } }), link, faults)
  await page.locator('[data-owner=open]').waitFor()
  await page.evaluate(() => document.documentElement.style.setProperty('font-size', '200%'))
  assert.ok(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth))
  await page.context().close()
})

test('nothing of the page failed on the way', { skip }, () => assert.deepEqual(faults, []))
