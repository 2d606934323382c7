// The same is asked again whenever something has changed, and answers may overtake each other.

import { onDestroy } from 'svelte'
import { Silence } from '../api/refusal'

/** Between two questions to a silent server, in ms. */
const patience = 2000

/**
 * Gives a way to ask: what came of it is told, unless the same was asked anew meanwhile. A silent
 * server is asked again from time to time, each silence being told. forget: nothing more is told or
 * asked of what was asked till now.
 */
export function latest() {
  let asked = 0
  async function ask<T>(
    question: () => Promise<T>,
    told: (answer: T) => void,
    failed: (why: unknown) => void = () => {},
  ): Promise<void> {
    const mine = ++asked
    for (let silent = true; silent && mine === asked; ) {
      silent = await question().then(
        (answer) => {
          if (mine === asked) told(answer)
          return false
        },
        (why) => {
          if (mine === asked) failed(why)
          return why instanceof Silence
        },
      )
      if (silent) await new Promise((done) => setTimeout(done, patience))
    }
  }
  return Object.assign(ask, {
    forget: () => {
      asked++
    },
  })
}

/** The same for a screen: nothing is asked or told once it is gone. */
export function latestHere() {
  const ask = latest()
  onDestroy(ask.forget)
  return ask
}
