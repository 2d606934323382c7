// Writes into the built worker which files the crew's screens consist of, so that they are
// kept on a phone: the page, what it loads first, and what the crew's screens load. The
// office's screens are not among them.

import { createHash } from 'node:crypto'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Plugin, Rollup } from 'vite'

/** Files of web/public that an installed page needs. */
const still = ['/manifest.webmanifest', '/mark.svg', '/icon-192.png', '/icon-512.png']

export function offline(screens: string): Plugin {
  let folder = 'dist'
  let files: string[] = []
  return {
    name: 'offline',
    apply: 'build',
    generateBundle(options, bundle) {
      folder = options.dir ?? folder
      const chunks = Object.values(bundle).filter((o): o is Rollup.OutputChunk => o.type === 'chunk')
      const from = chunks.filter((c) => c.isEntry && c.name !== 'worker')
      const crew = chunks.filter((c) => c.moduleIds.some((m) => m.endsWith(screens)))
      if (crew.length !== 1) throw new Error(`${crew.length} chunks hold ${screens}; one was expected`)
      const fonts = Object.keys(bundle).filter((f) => f.endsWith('.woff2'))
      files = [...loaded(bundle, from, false), ...loaded(bundle, crew, true), ...fonts].map((f) => `/${f}`)
      files = [...new Set(['/', ...files, ...still])].sort()
    },
    writeBundle() {
      const path = join(folder, 'worker.js')
      const text = readFileSync(path, 'utf8')
      const parts = files.map((f) => readFileSync(join(folder, f === '/' ? 'index.html' : f)))
      const version = createHash('sha256').update(text).update(Buffer.concat(parts)).digest('hex').slice(0, 16)
      writeFileSync(path, filled(text, version, files))
    },
  }
}

/** The files of some chunks and of what they import; lazy ones too where wanted. */
function loaded(bundle: Rollup.OutputBundle, from: Rollup.OutputChunk[], lazy: boolean): Set<string> {
  const found = new Set<string>()
  const open = from.map((c) => c.fileName)
  for (let name = open.pop(); name !== undefined; name = open.pop()) {
    const chunk = bundle[name]
    if (found.has(name) || chunk?.type !== 'chunk') continue
    found.add(name)
    for (const css of chunk.viteMetadata?.importedCss ?? []) found.add(css)
    open.push(...chunk.imports, ...(lazy && !chunk.isEntry ? chunk.dynamicImports : []))
  }
  return found
}

function filled(text: string, version: string, files: string[]): string {
  const list = /(["'`])__FILES__\1/
  const mark = /__VERSION__/
  if (!list.test(text) || !mark.test(text)) throw new Error('the worker has no place for its list of files')
  return text.replace(list, () => JSON.stringify(files)).replace(mark, version)
}
