// What the server answers when it does not do what was asked (RFC 9457), and silence.

export interface Conflict {
  path: string
  yours?: unknown
  theirs?: unknown
  by?: string
}

export class Refusal extends Error {
  constructor(
    readonly status: number,
    readonly title: string,
    readonly detail: string,
    readonly conflicts: Conflict[] = [],
    readonly problems: unknown[] = [],
    readonly errors: { location?: string; message?: string }[] = [],
  ) {
    super([title, detail].filter(Boolean).join(': '))
  }
  /** All that a person should read of it. */
  get said(): string {
    const more = this.errors.map((e) => [e.message, e.location].filter(Boolean).join(' at '))
    return [this.detail || this.title, ...more].filter(Boolean).join('. ')
  }
}

/** No answer at all: the server is gone or the network is. */
export class Silence extends Error {
  constructor() {
    super('The server does not answer')
  }
}

/** No answer for a while only: none at all, or a gateway's that has none to give (RFC 9110, 15.6.3 to 15.6.5). */
export const passes = (e: unknown): boolean =>
  e instanceof Silence || (e instanceof Refusal && e.status >= 502 && e.status <= 504)

interface ProblemBody {
  title?: string
  detail?: string
  conflicts?: Conflict[]
  problems?: unknown[]
  errors?: { location?: string; message?: string }[]
}

export function refusal(status: number, body: unknown): Refusal {
  const b = (typeof body === 'object' && body !== null ? body : {}) as ProblemBody
  const title = b.title ?? `The server answered ${status}`
  return new Refusal(status, title, b.detail ?? '', b.conflicts ?? [], b.problems ?? [], b.errors ?? [])
}

/** What a person should read of any failure. */
export const wordsOf = (e: unknown): string => (e instanceof Refusal ? e.said : (e as Error).message)
