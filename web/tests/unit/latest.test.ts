import { describe, expect, it } from 'vitest'
import { latest } from '../../src/state/latest'

/** A question whose answer comes when it is let go. */
function held<T>() {
  let answer = (_: T) => {}
  let refuse = (_: unknown) => {}
  const question = new Promise<T>((yes, no) => {
    answer = yes
    refuse = no
  })
  return { question, answer, refuse }
}

describe('of several questions the last one counts', () => {
  for (const order of [
    [0, 1],
    [1, 0],
  ])
    it(`whichever answer comes first: ${order}`, async () => {
      const ask = latest()
      const seen: string[] = []
      const questions = [held<string>(), held<string>()]
      const told = questions.map((q) => ask(q.question, (a) => seen.push(a)))
      for (const i of order) questions[i]!.answer(`answer ${i}`)
      await Promise.all(told)
      expect(seen).toEqual(['answer 1'])
    })

  it('an older failure says nothing, the last one is told', async () => {
    const ask = latest()
    const seen: unknown[] = []
    const [old, last] = [held<string>(), held<string>()]
    const both = [old, last].map((q) =>
      ask(
        q.question,
        () => {},
        (why) => seen.push(why),
      ),
    )
    old.refuse('old')
    last.refuse('last')
    await Promise.all(both)
    expect(seen).toEqual(['last'])
  })
})
