// Codes for the browser tests: drawn as a picture or as a film for a camera, read back by zbar.

import { execFileSync } from 'node:child_process'
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { encodeQR } from 'qr'

/** A folder that goes with the tests. */
function scratch() {
  const folder = mkdtempSync(join(tmpdir(), 'codes-'))
  process.on('exit', () => rmSync(folder, { recursive: true, force: true }))
  return folder
}

/** A code in the middle of a grey picture: its brightness, dot by dot. */
function dots(text, width, height, scale) {
  const rows = encodeQR(text, 'raw', { ecc: 'medium', border: 4 })
  const side = rows.length * scale
  const out = Buffer.alloc(width * height, 128)
  const [left, top] = [Math.floor((width - side) / 2), Math.floor((height - side) / 2)]
  for (let y = 0; y < side; y++)
    for (let x = 0; x < side; x++)
      out[(top + y) * width + left + x] = rows[Math.floor(y / scale)][Math.floor(x / scale)] ? 20 : 230
  return out
}

/** A film (YUV4MPEG2) that shows nothing but a code, as a camera would; its path. */
export function film(text) {
  const [width, height] = [640, 480]
  const frame = Buffer.concat([
    Buffer.from('FRAME\n'),
    dots(text, width, height, 9),
    Buffer.alloc((width * height) / 2, 128),
  ])
  const path = join(scratch(), 'code.y4m')
  const head = Buffer.from(`YUV4MPEG2 W${width} H${height} F10:1 Ip A1:1 C420jpeg\n`)
  writeFileSync(path, Buffer.concat([head, ...Array(20).fill(frame)]))
  return path
}

/** A picture of a code as a phone's file. */
export function photo(text) {
  const buffer = Buffer.from(encodeQR(text, 'gif', { ecc: 'medium', border: 4, scale: 8 }))
  return { name: 'code.gif', mimeType: 'image/gif', buffer }
}

/** The text of the code in a picture, by zbar. */
export function readBack(png) {
  const path = join(scratch(), 'code.png')
  writeFileSync(path, png)
  return execFileSync('zbarimg', ['--quiet', '--raw', '-Sdisable', '-Sqrcode.enable', path], {
    encoding: 'utf8',
  }).trimEnd()
}

/** What a printed paper says, page by page, and its pages as pictures; by poppler. */
export function printed(pdf) {
  const folder = scratch()
  const path = join(folder, 'paper.pdf')
  writeFileSync(path, pdf)
  execFileSync('pdftoppm', ['-r', '150', '-png', path, join(folder, 'page')])
  const pages = readdirSync(folder).filter((f) => f.endsWith('.png'))
  const words = execFileSync('pdftotext', ['-layout', path, '-'], { encoding: 'utf8' })
  return { words, pages: pages.map((f) => readFileSync(join(folder, f))) }
}
