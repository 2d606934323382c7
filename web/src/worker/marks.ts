// Sends marks that wait on the phone when there is network again and no page is open. It may
// send what a page sends too: the office takes a mark any number of times. Only marks go this
// way; what comes back is for a page to take.

interface Row {
  key: string
  job: string
  sent: number
  mark: { id: string; device: string }
}

export async function sendMarks(): Promise<void> {
  const db = await open()
  if (!db) return
  try {
    const all = await asked<Row[]>(db.transaction('marks').objectStore('marks').getAll())
    const waiting = all.filter((r) => r.sent === 0)
    for (const job of new Set(waiting.map((r) => r.job)))
      await sendJob(
        db,
        job,
        waiting.filter((r) => r.job === job),
      )
  } finally {
    db.close()
  }
}

/** The server takes no more at once. */
const atOnce = 500

async function sendJob(db: IDBDatabase, job: string, rows: Row[]): Promise<void> {
  const known = await asked<{ cursor?: string } | undefined>(
    db.transaction('jobs').objectStore('jobs').get(job),
  )
  for (let i = 0; i < rows.length; i += atOnce) {
    const part = rows.slice(i, i + atOnce)
    const answer = await fetch(`/api/jobs/${encodeURIComponent(job)}/marks`, {
      method: 'POST',
      headers: { 'Content-Type': 'application/json', 'X-Coilwright': 'page' },
      body: JSON.stringify({
        after: known?.cursor ?? '',
        now: new Date().toISOString(),
        device: part[0]!.mark.device,
        marks: part.map((r) => r.mark),
      }),
    })
    if (!answer.ok) {
      if (answer.status >= 500) throw new Error(`${answer.status}`) // the browser asks again later
      return // signed out or refused: the page says so when it is opened
    }
    const { accepted } = (await answer.json()) as { accepted: string[] }
    await sent(db, part, new Set(accepted))
  }
  new BroadcastChannel('coilwright-site').postMessage(job)
}

async function sent(db: IDBDatabase, rows: Row[], accepted: Set<string>): Promise<void> {
  const store = db.transaction('marks', 'readwrite').objectStore('marks')
  for (const r of rows) {
    const now = await asked<Row | undefined>(store.get(r.key))
    if (now && now.sent === 0 && accepted.has(r.mark.id)) await asked(store.put({ ...now, sent: 1 }))
  }
}

const asked = <T>(r: IDBRequest): Promise<T> =>
  new Promise((done, failed) => {
    r.onsuccess = () => done(r.result as T)
    r.onerror = () => failed(r.error)
  })

/** Nothing where the phone keeps no jobs yet: the page alone makes the shelves. */
function open(): Promise<IDBDatabase | undefined> {
  return new Promise((done) => {
    const r = indexedDB.open('coilwright-site')
    r.onupgradeneeded = () => r.transaction?.abort()
    r.onerror = () => done(undefined)
    r.onsuccess = () => done(r.result)
  })
}
