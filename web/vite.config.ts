import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { brotliCompressSync, gzipSync } from 'node:zlib'
import { svelte } from '@sveltejs/vite-plugin-svelte'
import { defineConfig, type Plugin } from 'vite'
import { offline } from './build/offline.ts'

// Writes name.br and name.gz beside every text file, so that the server only picks one.
function compressed(): Plugin {
  return {
    name: 'compressed',
    apply: 'build',
    writeBundle(options) {
      const folder = options.dir ?? 'dist'
      for (const entry of readdirSync(folder, { recursive: true, withFileTypes: true })) {
        if (!entry.isFile() || !/\.(html|js|css|svg|webmanifest)$/.test(entry.name)) continue
        const path = join(entry.parentPath, entry.name)
        const bytes = readFileSync(path)
        writeFileSync(`${path}.br`, brotliCompressSync(bytes))
        writeFileSync(`${path}.gz`, gzipSync(bytes, { level: 9 }))
      }
    },
  }
}

const server = process.env.COILWRIGHT ?? 'http://127.0.0.1:8089'

export default defineConfig({
  plugins: [svelte(), offline('/src/site/SitePage.svelte'), compressed()],
  build: {
    outDir: 'dist',
    assetsInlineLimit: 0,
    target: 'es2022',
    reportCompressedSize: false,
    rollupOptions: {
      input: { index: 'index.html', worker: 'src/worker/worker.ts' },
      output: { entryFileNames: (c) => (c.name === 'worker' ? 'worker.js' : 'assets/[name]-[hash].js') },
    },
  },
  server: { proxy: { '/api': server } },
})
