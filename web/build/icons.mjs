// Draws the icons of the installed page from our own mark: node build/icons.mjs. The mark fills
// the square, and all that matters lies within the inner circle of 80 %, so that it may be cut round.

import { readFileSync } from 'node:fs'
import { chromium } from 'playwright-core'

const mark = readFileSync(new URL('../public/mark.svg', import.meta.url), 'utf8')
const inner = mark.replace(/^<svg[^>]*>/, '').replace('</svg>', '')
const chrome = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox'],
})
for (const size of [192, 512]) {
  const page = await chrome.newPage({ viewport: { width: size, height: size } })
  await page.setContent(
    `<style>body{margin:0}svg{display:block}</style><svg xmlns="http://www.w3.org/2000/svg" width="${size}" height="${size}" viewBox="-5 -5 42 42"><rect x="-5" y="-5" width="42" height="42" fill="#14181a"/>${inner}</svg>`,
  )
  const path = new URL(`../public/icon-${size}.png`, import.meta.url).pathname
  await page.screenshot({ path })
}
await chrome.close()
