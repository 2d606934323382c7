/// <reference lib="webworker" />
// Keeps the crew's screens on the phone, so that they open without network and without a
// server. Data are not its business: marks and packs lie in IndexedDB (src/site/kept.ts).

import { sendMarks } from './marks'

const worker = self as unknown as ServiceWorkerGlobalScope

/** Put in by the build (build/offline.ts): the version, and the files of the crew's screens. */
const version = '__VERSION__'
const files = '__FILES__' as unknown as string[]
const prefix = 'page-'
const current = prefix + version

worker.addEventListener('install', (e) => e.waitUntil(install()))
worker.addEventListener('activate', (e) => e.waitUntil(activate()))
worker.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url)
  if (e.request.method !== 'GET' || url.origin !== location.origin || url.pathname.startsWith('/api/')) return
  if (e.request.mode === 'navigate' && url.pathname !== '/') return
  e.respondWith(answer(e.request))
})

/** The Background Synchronisation API's event, which no library of types has. */
interface SyncEvent extends ExtendableEvent {
  readonly tag: string
}
worker.addEventListener('sync' as 'install', (e) => {
  if ((e as SyncEvent).tag === 'marks') e.waitUntil(sendMarks())
})

/** All files or none: a page that is half there is worse than the one before it. */
async function install(): Promise<void> {
  const cache = await caches.open(current)
  await cache.addAll(
    files.map((f) => new Request(f, { cache: f.startsWith('/assets/') ? 'default' : 'reload' })),
  )
  await worker.skipWaiting()
}

/** The version before this one stays as well: pages of it may still be open. */
async function activate(): Promise<void> {
  const old = (await caches.keys()).filter((k) => k.startsWith(prefix) && k !== current)
  await Promise.all(old.slice(0, -1).map((k) => caches.delete(k)))
  await worker.clients.claim()
}

async function answer(request: Request): Promise<Response> {
  const here = await caches.open(current)
  const kept = request.mode === 'navigate' ? await here.match('/') : await keptOf(request)
  return kept ?? fetch(request)
}

/** Names under /assets are made from their content, so any version's copy is the right one. */
async function keptOf(request: Request): Promise<Response | undefined> {
  const path = new URL(request.url).pathname
  return path.startsWith('/assets/') ? caches.match(path) : (await caches.open(current)).match(path)
}
