// A photo of which everything is known, as a person would have added and marked it: one
// of the truth scenes, whose wall has the very sizes of the demo job's south wall.

import { existsSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { root } from './lib.mjs'

const folder = join(root, '..', 'shared', 'data', 'scenes', 'alder')

/** Why the scene cannot be used here, or false. */
export const noScene = existsSync(join(folder, 'before.jpg'))
  ? false
  : 'shared/data does not lie beside the repository: there is no photo to try'

const read = (name) => readFileSync(join(folder, name))

/** The scene's marks with the wall, the names and the inches that the page itself would give them. */
function asOnThePage(text) {
  const corners = ['lower left', 'lower right', 'upper right', 'upper left']
  const named = text.replace(/"(front|S\d)_(\d)"/g, (_, of, k) =>
    of === 'front' ? `"south ${corners[k]} corner"` : `"south ${of} ${corners[k]}"`,
  )
  const marks = JSON.parse(named)
  marks.walls[0].id = 'south'
  marks.lengths[0].length = `3' 7"`
  return marks
}

/** Adds the scene's photo to a job as P1, with its marks and its sun; gives its marks. */
export async function addScene(base, job, { marks: withMarks = true, id = 'P1', mask = true } = {}) {
  const at = `${base}api/jobs/${job}`
  const ours = { 'X-Coilwright': 'page' }
  const sent = await fetch(`${at}/photos`, {
    method: 'POST',
    headers: { ...ours, 'Content-Type': 'image/jpeg' },
    body: read('before.jpg'),
  })
  if (!sent.ok) throw new Error(await sent.text())
  const { file } = await sent.json()
  if (mask) {
    await fetch(`${at}/files/${id}-mask.png`, {
      method: 'PUT',
      headers: { ...ours, 'Content-Type': 'image/png' },
      body: read('mask_soft.png'),
    })
  }
  const marks = asOnThePage(read('marks.json').toString())
  marks.photo.file = file
  const entry = {
    id,
    file,
    ...(withMarks && { marks, sun: { at: '2026-06-18T14:40:00-05:00', lat: 41.6, lon: -93.6 } }),
    ...(withMarks && mask && { mask: `${id}-mask.png` }),
  }
  const now = await (await fetch(at)).json()
  const list = now.document.house.photos
  const op = list
    ? { op: 'add', path: '/house/photos/-', value: entry }
    : { op: 'add', path: '/house/photos', value: [entry] }
  const changed = await fetch(`${at}/changes`, {
    method: 'POST',
    headers: { ...ours, 'Content-Type': 'application/json', 'If-Match': `"${now.revision}"` },
    body: JSON.stringify({ what: 'Photo added', patch: [op] }),
  })
  if (!changed.ok) throw new Error(await changed.text())
  return marks
}

/** The middle of some marked points, as shares of the picture. */
export function share(marks, ...names) {
  const sum = names.reduce((s, n) => [s[0] + marks.points[n][0], s[1] + marks.points[n][1]], [0, 0])
  return [sum[0] / names.length / 1600, sum[1] / names.length / 1200]
}
