// The house as a body: the Khronos validator finds nothing to say against any scheme of
// any kind of house.

import assert from 'node:assert/strict'
import { after, before, test } from 'node:test'
import { validateBytes } from 'gltf-validator'
import { serve } from './lib.mjs'

let server
before(async () => {
  server = await serve()
})
after(() => server?.stop())

async function ask(path, options) {
  const got = await fetch(`${server.url}api/${path}`, options)
  assert.ok(got.ok, `${path}: ${got.status}`)
  return got
}

test('the validator passes every body', async () => {
  const { jobs } = await (await ask('jobs')).json()
  const kinds = ['ranch', 'cape', 'gable-end', 'townhouse', 'two-storey']
  const made = []
  for (const template of kinds) {
    const headers = { 'Content-Type': 'application/json', 'X-Coilwright': 'page' }
    const body = JSON.stringify({ template })
    made.push(await (await ask('jobs', { method: 'POST', headers, body })).json())
  }
  let bodies = 0
  for (const { id } of [...jobs, ...made]) {
    const { document } = await (await ask(`jobs/${id}`)).json()
    for (const scheme of document.schemes) {
      const glb = await (await ask(`jobs/${id}/schemes/${scheme.id}/house.glb`)).arrayBuffer()
      const { issues, info } = await validateBytes(new Uint8Array(glb), { maxIssues: 20 })
      const found = JSON.stringify(issues.messages)
      assert.equal(issues.numErrors + issues.numWarnings + issues.numInfos, 0, `${id} ${scheme.id}: ${found}`)
      assert.ok(info.totalTriangleCount > 50)
      bodies++
    }
  }
  assert.ok(bodies > kinds.length)
})
