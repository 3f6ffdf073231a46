import { compareJudgements } from '../judgement.ts'
import { leastBy } from './bound.ts'
import { fieldOf, sequencesOf, turnsOf } from './field.ts'
import { lostByQueues } from './queues.ts'
import { suggest, type Ask, type Suggestion } from './search.ts'
import { wholeFlights } from './whole.ts'

/** Of the judgements, for what the search makes of the best order of whole flights. */
const PART_AFTER = 0.25

/**
 * A search, then the best order of flights that stay whole as far as `labels` ways tell, and what a search makes of that;
 * where all flights may spread and some ship is lost, an order that loses little instead. Never worse than `suggest` alone.
 * @throws RangeError as `suggest`.
 * Checked: tests/shared/order/suggest/anew.test.ts (constructed).
 */
export function anew<State>(ask: Ask<State> & { readonly labels: number }): Suggestion {
  const found = suggest(ask)
  if (found.work.stopped) return found
  const field = fieldOf(ask.input, ask)
  const { labels, stop } = ask
  const known =
    wholeFlights(field, found.judgement, { labels, from: found.sequences, stop }) ??
    (found.judgement.lostWeight > 0
      ? lostByQueues(field, leastBy(field, found.judgement), { most: labels, stop })
      : undefined)
  if (known?.free === undefined) return found
  const { sequences } = sequencesOf(field, turnsOf(field, known.free))
  const judgements = Math.ceil(PART_AFTER * ask.judgements)
  const again = suggest({ ...ask, judgements, input: { ...ask.input, inForce: field.inForce, sequences } })
  const best = compareJudgements(again.judgement, found.judgement) < 0 ? again : found
  const work = { judgements: found.work.judgements + again.work.judgements, stopped: again.work.stopped }
  return { ...best, work }
}
