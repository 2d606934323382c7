// The same is asked again whenever something has changed, and answers may overtake each other.

/** Gives a way to ask: what came of it is told, unless the same was asked anew meanwhile. */
export function latest() {
  let asked = 0
  return <T>(
    question: Promise<T>,
    told: (answer: T) => void,
    failed: (why: unknown) => void = () => {},
  ): Promise<void> => {
    const mine = ++asked
    return question.then(
      (answer) => (mine === asked ? told(answer) : undefined),
      (why) => (mine === asked ? failed(why) : undefined),
    )
  }
}
