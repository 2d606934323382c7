// What every browser test shares: the real binary on a scratch folder, Debian's chromium,
// two sizes of screen, and the outside judge of accessibility (axe-core).

import assert from 'node:assert/strict'
import { spawn } from 'node:child_process'
import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { after, before } from 'node:test'
import { fileURLToPath } from 'node:url'
import { chromium } from 'playwright-core'
import { lagging, slow, slowed } from './slow.mjs'

export const root = fileURLToPath(new URL('../../../', import.meta.url))
const axeSource = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8')

export const desk = { viewport: { width: 1440, height: 900 } }
export const phone = {
  viewport: { width: 390, height: 844 },
  hasTouch: true,
  isMobile: true,
  deviceScaleFactor: 2,
}

/** The browser, or undefined where there is none: the caller skips and says so. */
export function browserPath() {
  const known = [
    process.env.CHROMIUM,
    '/usr/bin/chromium',
    '/usr/bin/chromium-browser',
    '/usr/bin/google-chrome',
  ]
  return known.find((p) => p && existsSync(p))
}

export async function browser(...more) {
  const chrome = await chromium.launch({
    executablePath: browserPath(),
    args: ['--no-sandbox', '--force-color-profile=srgb', ...more],
  })
  return slowed(chrome, patience)
}

/**
 * Starts the program on a free port over a new folder; stop() ends it and removes the folder.
 * through is a command that becomes the program, which it is given behind its own arguments.
 */
export async function serve({
  folder = mkdtempSync(join(tmpdir(), 'coilwright-')),
  port,
  listen = '127.0.0.1',
  through = [],
} = {}) {
  const program = process.env.COILWRIGHT_BIN ?? join(root, 'bin', 'coilwright')
  const line = [
    ...through,
    program,
    'serve',
    '--data',
    folder,
    '--listen',
    `${listen}:${slow ? 0 : (port ?? 0)}`,
  ]
  const child = spawn(line[0], line.slice(1))
  let said = ''
  const own = await new Promise((found, failed) => {
    const wait = setTimeout(() => failed(new Error(`the program did not start: ${said}`)), 60_000)
    child.on('exit', (code) => failed(new Error(`the program ended (${code}): ${said}`)))
    for (const stream of [child.stdout, child.stderr]) {
      stream.on('data', (bytes) => {
        said += bytes
        const at = /http:\/\/[\d.]+:\d+\//.exec(said)
        if (!at) return
        clearTimeout(wait)
        found(at[0])
      })
    }
  })
  const ended = new Promise((done) => child.on('exit', done))
  const front = slow ? await lagging(own, port) : undefined
  const url = front?.url ?? own
  async function kill(signal = 'SIGTERM') {
    child.kill(signal)
    await Promise.all([ended, front?.close()])
  }
  async function stop() {
    await kill()
    rmSync(folder, { recursive: true, force: true })
  }
  return { url, folder, pid: child.pid, port: new URL(url).port, kill, stop }
}

/** Why a file's browser tests are left out, or false. */
export const skip = browserPath() ? false : 'no chromium here: .ci/tools installs it'
/** What the pages of a file's tests complained of. */
export const faults = []
/** The program of a file's tests, their browser, and the demo job's id: there once they are begun. */
export let server
export let chrome
export let id

/**
 * Begins a file's tests with its program and its browser, and more; after them all is ended.
 * unless says why they are left out, flags what the browser is started with.
 */
export function stage(more = () => {}, { unless = skip, through, flags = () => [] } = {}) {
  before(async () => {
    if (unless) return
    server = await serve({ through })
    id = (await (await fetch(`${server.url}api/jobs`)).json()).jobs[0].id
    chrome = await browser(...(await flags()))
    await more()
  })
  after(async () => {
    await chrome?.close()
    await server?.stop()
  })
}

/** Starts a program that was killed anew, on its folder and at its address. */
export async function restart() {
  server = await serve({ folder: server.folder, port: server.port })
}

/**
 * Takes the network from the pages of some contexts and from their worker, which setOffline leaves
 * in reach and which the browser may wake to send at any moment: the program itself is ended.
 * What it gives brings both back.
 */
export async function cut(...contexts) {
  for (const context of contexts) await context.setOffline(true)
  await server.kill('SIGKILL')
  return async () => {
    await restart()
    for (const context of contexts) await context.setOffline(false)
  }
}

/** How long is waited for what must come: on a machine of two cores that does much else, too. */
export const patience = slow ? 120_000 : 60_000

/** Asks again until the answer is as it must be, and gives it. */
export async function until(ask, fits) {
  for (const end = Date.now() + patience; ; ) {
    const now = await ask()
    if (fits(now)) return now
    assert.ok(Date.now() < end, `it never came to be as it should: ${JSON.stringify(now)?.slice(0, 300)}`)
    await new Promise((done) => setTimeout(done, 50))
  }
}

/** A page that reports every error of its own script and every refusal of its policy. */
export async function open(context, url, faults) {
  const page = await context.newPage()
  page.on('pageerror', (e) => faults.push(`page error: ${e.message}`))
  page.on('console', (m) => {
    if (m.type() === 'error' && !/Failed to load resource/.test(m.text())) faults.push(`console: ${m.text()}`)
  })
  await page.goto(url)
  return page
}

/** Waits until a page that nobody touches has asked the server nothing for a while. */
export async function quiet(page, name, ms = 1500) {
  let [last, at, asked] = ['nothing', Date.now(), 0]
  const note = (r) => {
    ;[last, at] = [r.url(), Date.now()]
    asked++
  }
  page.on('request', note)
  const end = Date.now() + patience
  while (Date.now() < at + ms) {
    assert.ok(Date.now() < end, `${name}: asks without end, ${asked} times now, the last for ${last}`)
    await page.waitForTimeout(100)
  }
  page.off('request', note)
}

/** axe-core over the page as it stands: WCAG 2.2 A and AA and its best practices. */
export async function axe(page, name, only) {
  await page.evaluate(axeSource) // by the debugger, which no policy of the page stops
  const found = await page.evaluate(
    (rules) =>
      window.axe.run(document, { resultTypes: ['violations'], ...(rules ? { runOnly: rules } : {}) }),
    only,
  )
  return found.violations.map(
    (v) =>
      `${name}: ${v.id}: ${v.help}: ${v.nodes
        .slice(0, 3)
        .map((n) => `${n.target.join(' ')} ${n.failureSummary ?? ''}`)
        .join(' | ')}`,
  )
}

/** Asks the server as the page does; what it refuses is a failure. */
export async function ask(base, method, path, body, revision) {
  const answer = await fetch(new URL(path, base), {
    method,
    headers: {
      'Content-Type': 'application/json',
      'X-Coilwright': 'page',
      ...(revision && { 'If-Match': `"${revision}"` }),
    },
    body: body && JSON.stringify(body),
  })
  assert.ok(answer.ok, `${method} ${path}: ${answer.status} ${answer.ok ? '' : await answer.text()}`)
  return answer.json()
}

/**
 * By how many pixels a page is wider than its screen: it never scrolls sideways (WCAG 2.2,
 * 1.4.10). A phone lays such a page out on a wider sheet, so the screen's own width counts.
 */
export const tooWide = (page) =>
  page.evaluate((width) => document.documentElement.scrollWidth - width, page.viewportSize().width)

/** The folder that SCREENS names for pictures that people look at, or nothing. */
export const pictures = process.env.SCREENS
export async function picture(page, name, how = {}) {
  if (!pictures) return
  mkdirSync(pictures, { recursive: true })
  await page.screenshot({ path: join(pictures, `${name}.png`), ...how })
}

/**
 * axe finds nothing, by day and by night, no target among those selected is below 48 px,
 * and nothing is too wide.
 */
export async function soundness(page, name, targets) {
  const found = await axe(page, name)
  await page.emulateMedia({ colorScheme: 'dark' })
  found.push(...(await axe(page, `${name}, dark`, ['color-contrast'])))
  await page.emulateMedia({ colorScheme: 'light' })
  const small = await page.locator(targets).evaluateAll((all) =>
    all
      .filter((e) => e.offsetParent)
      .map((e) => [e.tagName, e.innerText || e.ariaLabel, e.getBoundingClientRect().height])
      .filter(([, , height]) => height < 47.5),
  )
  const wide = await tooWide(page)
  assert.deepEqual(
    [
      ...found,
      ...small.map((s) => `${name}: small: ${s}`),
      ...(wide > 0 ? [`${name}: ${wide} px too wide`] : []),
    ],
    [],
  )
}

/** An invented row of so many gable walls, four windows in each, for measuring speed. */
export function rowOfWalls(walls, datum) {
  const wall = (_, i) => ({
    id: `w${i}`,
    outline: [
      ['0', '0'],
      ["32'", '0'],
      ["32'", "9'"],
      ["16'", "17'"],
      ['0', "9'"],
    ],
    edges: ['base', 'outside-corner', 'rake', 'rake', 'outside-corner'],
    openings: [0, 1, 2, 3].map((k) => ({
      id: `O${k}`,
      kind: 'window',
      at: [`${3 + 7 * k}'`, "3'"],
      size: ["3'", '4\' 6"'],
    })),
    measured: { by: 'tape', plus_minus: '1/8 in' },
  })
  const zone = {
    id: 'field',
    walls: 'all',
    where: 'rest',
    panel: 'dutch-double-5',
    texture: 'grain',
    colour: 'slate',
  }
  return {
    format: 'coilwright/job@1',
    title: `A row of ${walls} walls (invented)`,
    house: { walls: Array.from({ length: walls }, wall), corners: [] },
    schemes: [{ id: 'A', zones: [zone], datum }],
    shop: { use: 'demo' },
  }
}
