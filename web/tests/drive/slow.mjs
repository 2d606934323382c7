// A slow machine behind a slow net, to look for races: COILWRIGHT_SLOW=4 has every page's script
// run four times slower, and holds every request and every answer back by up to 300 ms, each by
// another length, so that they overtake each other. COILWRIGHT_SEED repeats the lengths of a run.

import { Agent, createServer, request } from 'node:http'

/** How many times slower; 0 where nothing is slowed down. */
export const slow = Number(process.env.COILWRIGHT_SLOW ?? 0)
const longest = 300 // milliseconds
const seed = Number(process.env.COILWRIGHT_SEED ?? Date.now() % 1e6)
if (slow) console.log(`# slowed down ${slow} times, COILWRIGHT_SEED=${seed}`)

/** Evenly spread numbers below 1, the same after each seed (a Weyl sequence, mixed). */
let state = seed
function chance() {
  state = (state + 0x9e3779b9) | 0
  let x = state
  for (const [by, times] of [
    [16, 0x21f0aaad],
    [15, 0x735a2d97],
  ])
    x = Math.imul(x ^ (x >>> by), times)
  return ((x ^ (x >>> 15)) >>> 0) / 2 ** 32
}
const later = (act) => setTimeout(act, chance() * longest)

/** Gives every page of a browser its patience, and slows it down from its first script on. */
export function slowed(chrome, patience) {
  const plain = chrome.newContext.bind(chrome)
  chrome.newContext = async (how) => {
    const context = await plain(how)
    context.setDefaultTimeout(patience)
    if (!slow) return context
    context.on('page', async (page) => {
      const tool = await context.newCDPSession(page).catch(() => undefined) // closed already
      await tool?.send('Emulation.setCPUThrottlingRate', { rate: slow }).catch(() => {})
    })
    return context
  }
  return chrome
}

/** Stands before a server at an address of its own, on a port asked for, and lets all come late. */
export async function lagging(url, port = 0) {
  const { hostname, port: behind } = new URL(url)
  const agent = new Agent({ keepAlive: false })
  const front = createServer({ keepAliveTimeout: 0 }, (from, to) => {
    later(() => {
      if (to.destroyed) return
      const { method, url: path, headers } = from
      const on = { hostname, port: behind, agent, method, path, headers }
      const asked = request(on, (answer) => {
        later(() => {
          to.writeHead(answer.statusCode, answer.headers)
          to.flushHeaders()
          answer.pipe(to)
        })
        answer.on('error', () => to.destroy())
      })
      asked.on('error', () => to.destroy())
      to.on('close', () => asked.destroy())
      from.pipe(asked)
    })
  })
  await new Promise((done, failed) => front.once('error', failed).listen(port, hostname, done))
  front.unref()
  function close() {
    front.closeAllConnections()
    return new Promise((done) => front.close(done))
  }
  return { url: `http://${hostname}:${front.address().port}/`, close }
}
