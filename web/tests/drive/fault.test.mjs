// The disk is full, and another program holds the database: the page says in words what is
// wrong and what to do, keeps what was typed, and sends it once that is mended.

import assert from 'node:assert/strict'
import { execFileSync, spawn, spawnSync } from 'node:child_process'
import { readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'
import { test } from 'node:test'
import { chrome, desk, faults, id, open, picture, server, skip, stage } from './lib.mjs'
import { number, shows, type } from './sizes.mjs'

const missing = ['python3', 'prlimit'].filter((name) => spawnSync(name, ['--version']).error)
const unless = skip || (missing.length > 0 && `${missing.join(' and ')} is not here: .ci/tools installs it`)
let page

// A file that may grow no more fails the same way as a disk that has no room, if the program is
// not ended for it (setrlimit(2): SIGXFSZ, and EFBIG where that is blocked).
const patient = [
  'python3',
  '-c',
  'import os, signal, sys; signal.pthread_sigmask(signal.SIG_BLOCK, [signal.SIGXFSZ]); os.execv(sys.argv[1], sys.argv[1:])',
]
/** Bounds the size of files that the server may write to what its largest has now, or lets go. */
function narrow(on) {
  const largest = Math.max(...readdirSync(server.folder).map((f) => statSync(join(server.folder, f)).size))
  execFileSync('prlimit', ['--pid', server.pid, `--fsize=${on ? largest : 'unlimited'}:unlimited`])
}

const more = async () => {
  page = await open(await chrome.newContext(desk), `${server.url}#/job/${id}/walls/south`, faults)
  await number(page, 'S1', 'Width').waitFor()
}
stage(more, { unless, through: patient })

const job = async () => (await fetch(`${server.url}api/jobs/${id}`)).json()
const size = async () => (await job()).view.walls[0].openings.find((o) => o.id === 'S1').size

/** Types while the trouble lasts; the words are what the page then says. */
async function typedInTrouble(name, text, words) {
  const before = await job()
  await type(page, 'S1', name, text)
  const said = page.locator('[data-ill]')
  await said.filter({ hasText: 'even if the page is closed' }).waitFor()
  await picture(page, `trouble-${text.replace(/\W/g, '-')}`)
  for (const w of words) assert.match(await said.innerText(), w)
  assert.equal(await number(page, 'S1', name).inputValue(), text, 'what was typed stands in its field')
  assert.deepEqual(await job(), before, 'the job is read, and is as it was')
}

test('the disk is full', { skip: unless }, async () => {
  narrow(true)
  await typedInTrouble('Width', '44 1/4', [
    /The disk is full/,
    /nothing of this was saved/,
    /make room/,
    /1 edit kept/,
  ])
  narrow(false)
  await page.getByRole('button', { name: 'Try now' }).click()
  await shows(page, 'S1', 'Width', `3' 8 1/4"`)
  assert.equal((await size())[0], `3' 8 1/4"`)
  await page.locator('[data-ill]').waitFor({ state: 'detached' })
})

test('the disk is full and the page is closed: the edit goes through when both are back', {
  skip: unless,
}, async () => {
  narrow(true)
  await typedInTrouble('Width', '43 1/2', [/The disk is full/])
  const at = page.url()
  await page.goto('about:blank')
  narrow(false)
  await page.goto(at)
  await shows(page, 'S1', 'Width', `3' 7 1/2"`)
  assert.equal((await size())[0], `3' 7 1/2"`)
})

test('another program holds the database', { skip: unless }, async (t) => {
  const held = `import sqlite3, sys
c = sqlite3.connect(sys.argv[1], isolation_level=None)
c.execute('BEGIN EXCLUSIVE')
print('held', flush=True)
sys.stdin.read()
c.execute('ROLLBACK')`
  const file = readdirSync(server.folder).find((f) => f.endsWith('.sqlite'))
  const other = spawn('python3', ['-c', held, join(server.folder, file)])
  t.after(() => other.kill())
  await new Promise((done, failed) => {
    other.stdout.once('data', done)
    other.once('exit', () => failed(new Error('the database could not be held')))
  })
  await typedInTrouble('Height', '60 1/2', [
    /held by another program/,
    /nothing of this was saved/,
    /again in a moment/,
    /1 edit kept/,
  ])
  other.stdin.end()
  await shows(page, 'S1', 'Height', `5' 1/2"`) // by itself: nobody presses a button
  assert.equal((await size())[1], `5' 1/2"`)
  await page.locator('[data-ill]').waitFor({ state: 'detached' })
})

test('nothing of the page failed on the way', { skip: unless }, () => assert.deepEqual(faults, []))
