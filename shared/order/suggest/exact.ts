import { compareJudgements, LEVELS } from '../judgement.ts'
import { judge } from '../times.ts'
import { boundBy, boundOf, type Bound } from './bound.ts'
import { bestOfAll } from './every.ts'
import { fieldOf, sequencesOf, turnsOf } from './field.ts'
import { suggest, type Ask, type Suggestion } from './search.ts'
import { stationByStation } from './stations.ts'

/*
 * The best order, with the proof that it is, or as near to one as the work allows.
 */

export interface ExactAsk<State> extends Ask<State> {
  /** Ways to serve some of the ships, station by station, that may be looked at. */
  readonly labels: number
  /** Orders that may be judged one by one where nothing shorter proves it. */
  readonly orders: number
}

export interface Exact extends Suggestion {
  /** What no order can better, and how far this one meets it; all but slots moved is met where an order is proved the best. */
  readonly bound: Bound
  /** How the bound was come by. */
  readonly by: 'bound' | 'stations' | 'every order'
  readonly labels: number
}

/**
 * The best order found and what no order can better. `judgements` is the work of the search that comes first, `labels`
 * and `orders` that of the proof; what is not proved within them is told as the gap between order and bound.
 * @throws RangeError as `suggest`.
 * Checked: tests/shared/order/suggest/exact.test.ts, against every order of small cases (constructed).
 */
export function exact<State>(ask: ExactAsk<State>): Exact {
  const field = fieldOf(ask.input, ask)
  let found = suggest(ask)
  let bound = boundOf(field, found.judgement, found.before)
  let by: Exact['by'] = 'bound'
  let labels = 0
  let judgements = found.work.judgements
  let stopped = found.work.stopped
  const stop = (): boolean => (stopped ||= ask.stop?.() === true)

  if (bound.metLevels < 4 && !stop()) {
    const relaxed = stationByStation(field, found.judgement, { labels: ask.labels, stop })
    if (relaxed !== undefined) {
      labels = relaxed.labels
      if (relaxed.free !== undefined) {
        const { sequences } = sequencesOf(field, turnsOf(field, relaxed.free))
        const again = suggest({ ...ask, input: { ...ask.input, inForce: field.inForce, sequences } })
        judgements += again.work.judgements
        if (compareJudgements(again.judgement, found.judgement) < 0) found = again
      }
      const met = TOLD.findIndex((level) => found.judgement[level] > relaxed.least[level])
      const weak = boundOf(field, found.judgement, found.before).least
      // Compared from the left: behind the first level that is not met it says nothing.
      const least = { ...weak }
      for (const level of TOLD.slice(0, met < 0 ? TOLD.length : met + 1))
        least[level] = Math.max(weak[level], relaxed.least[level])
      const told = boundBy(least, found.judgement)
      if (told.metLevels >= bound.metLevels) {
        bound = told
        by = 'stations'
      }
    }
  }
  if (!bound.proved && !stop()) {
    const best = bestOfAll(field, { orders: ask.orders, stop, judged: () => judgements++ })
    if (best !== undefined) {
      const { sequences, moved } = sequencesOf(field, best.turns)
      const judged = judge({ ...ask.input, inForce: field.inForce, sequences })
      if (compareJudgements(judged.judgement, found.judgement) < 0) {
        found = { ...found, sequences, moved, judged, judgement: judged.judgement }
        ask.onBetter?.({ sequences, judgement: judged.judgement })
      }
      bound = boundBy(found.judgement, found.judgement)
      by = 'every order'
    }
  }
  return { ...found, work: { judgements, stopped }, bound, by, labels }
}

/** What the relaxed answer tells: all but slots moved. */
const TOLD = LEVELS.slice(0, 4)
