// The same is asked again whenever something has changed, and answers may overtake each other.

import { onDestroy, untrack } from 'svelte'
import { passes } from '../api/refusal'
import { pauses } from './again'

/**
 * Gives a way to ask: what came of it is told, unless the same was asked anew meanwhile. A server
 * that is silent, or busy, is asked again, more and more seldom, each silence being told. A question
 * may hear, by the signal it is given, that nobody waits for its answer any more. forget: nothing
 * more is asked or told of what was asked till now.
 */
export function latest() {
  let stop = new AbortController()
  function forget(): void {
    stop.abort()
    stop = new AbortController()
  }
  async function ask<T>(
    question: (left: AbortSignal) => Promise<T>,
    told: (answer: T) => void,
    failed: (why: unknown) => void = () => {},
  ): Promise<void> {
    forget()
    const { signal: left } = stop
    const pause = pauses()
    for (let silent = true; silent && !left.aborted; ) {
      silent = await question(left).then(
        (answer) => {
          if (!left.aborted) told(answer)
          return false
        },
        (why) => {
          if (!left.aborted) failed(why)
          return passes(why)
        },
      )
      if (silent && !left.aborted) await pause()
    }
  }
  return Object.assign(ask, { forget })
}

/** The same for a screen: nothing is asked or told once it is gone. */
export function latestHere() {
  const ask = latest()
  onDestroy(ask.forget)
  return ask
}

/**
 * For an effect: acts at once, or as soon as first says, in ms; and ms later where something is
 * shown already, since what changes may change on. That it is shown is no reason to act again.
 */
export function soon(shown: () => unknown, ms: number, act: () => void, first = 0): () => void {
  const wait = setTimeout(act, untrack(shown) ? ms : first)
  return () => clearTimeout(wait)
}
