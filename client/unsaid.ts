import type { Fact } from '../shared/contracts/facts.ts'

/**
 * What a worker beside the page was not told yet of a log that grows in place. Where the log was begun anew all of it
 * is, and the worker begins anew as well.
 */
export function unsaidOf(log: readonly Fact[]): () => { anew: boolean; facts: Fact[] } {
  let count = 0
  let last: Fact | undefined
  return () => {
    const anew = count > 0 && log[count - 1] !== last
    const facts = log.slice(anew ? 0 : count)
    count = log.length
    last = log.at(-1)
    return { anew, facts }
  }
}
