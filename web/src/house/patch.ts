// RFC 6902 patches on a job file: the operations the page sends, and the same applied
// to its own copy so that the next edit is built on what the person sees.

export interface Op {
  op: 'add' | 'remove' | 'replace' | 'test'
  path: string
  value?: unknown
}

const plainStep = (step: string) => step.replace(/~1/g, '/').replace(/~0/g, '~')
export const pointer = (...steps: (string | number)[]): string =>
  steps.map((s) => `/${String(s).replace(/~/g, '~0').replace(/\//g, '~1')}`).join('')

export const set = (value: unknown, ...steps: (string | number)[]): Op => ({
  op: 'add',
  path: pointer(...steps),
  value,
})
export const remove = (...steps: (string | number)[]): Op => ({ op: 'remove', path: pointer(...steps) })

/**
 * The document with the operations applied; throws where one has no place. What lies on the
 * way to a change is copied, the rest is shared with the document, which stays as it was.
 */
export function applied<T>(document: T, ops: Op[]): T {
  const root = { root: document as unknown }
  const copied = new Set<unknown>()
  for (const op of ops) applyOne(root, op, copied)
  return root.root as T
}

function applyOne(root: { root: unknown }, op: Op, copied: Set<unknown>): void {
  const steps = op.path === '' ? [] : ['root', ...op.path.slice(1).split('/').map(plainStep)]
  const last = steps.length ? steps[steps.length - 1]! : 'root'
  let holder: unknown = root
  for (const step of steps.slice(0, -1)) holder = opened(holder, step, op.path, copied)
  const value = structuredClone(op.value)
  if (Array.isArray(holder)) return inList(holder, last, op, value)
  if (typeof holder !== 'object' || holder === null) throw new Error(`no place ${op.path}`)
  const object = holder as Record<string, unknown>
  if (op.op === 'test') return
  if (op.op !== 'add' && !Object.hasOwn(object, last)) throw new Error(`no place ${op.path}`)
  if (op.op === 'remove') delete object[last]
  else put(object, last, value)
}

/** What a holder, itself a copy, has at a step: copied once, so that it may be changed. */
function opened(holder: unknown, step: string, path: string, copied: Set<unknown>): unknown {
  const old = child(holder, step, path)
  if (typeof old !== 'object' || old === null || copied.has(old)) return old
  const copy = Array.isArray(old) ? [...old] : { ...old }
  copied.add(copy)
  if (Array.isArray(holder)) holder[Number(step)] = copy
  else put(holder as Record<string, unknown>, step, copy)
  return copy
}

/** Sets a key of the object's own, whatever its name (`__proto__` too). */
const put = (object: Record<string, unknown>, key: string, value: unknown) =>
  Object.defineProperty(object, key, { value, writable: true, enumerable: true, configurable: true })

function inList(list: unknown[], last: string, op: Op, value: unknown): void {
  const at = last === '-' ? list.length : Number(last)
  const bound = op.op === 'add' ? list.length : list.length - 1
  if (!Number.isInteger(at) || at < 0 || at > bound) throw new Error(`no place ${op.path}`)
  if (op.op === 'add') list.splice(at, 0, value)
  else if (op.op === 'remove') list.splice(at, 1)
  else if (op.op === 'replace') list[at] = value
}

function child(holder: unknown, step: string, path: string): unknown {
  if (typeof holder === 'object' && holder !== null && Object.hasOwn(holder, step)) {
    return (holder as Record<string, unknown>)[step]
  }
  throw new Error(`no place ${path}`)
}
