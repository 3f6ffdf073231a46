import { compareJudgements, LEVELS, type Judgement } from '../judgement.ts'
import { judge } from '../times.ts'
import { boundBy, boundOf, type Bound } from './bound.ts'
import { bestOfAll } from './every.ts'
import { fieldOf, sequencesOf, turnsOf } from './field.ts'
import { suggest, type Ask, type Suggestion } from './search.ts'
import { stationByStation, type Relaxed } from './stations.ts'

/*
 * The best order, with the proof that it is, or as near to one as the work allows.
 */

export interface ExactAsk<State> extends Ask<State> {
  /** Ways to serve some of the ships, station by station, that may be looked at. */
  readonly labels: number
  /** The same for orders in blocks, which are looked at first; 0 where left out. */
  readonly blockLabels?: number | undefined
  /** Orders that may be judged one by one where nothing shorter proves it. */
  readonly orders: number
}

export interface Exact extends Suggestion {
  /** What no order can better, and how far this one meets it; all but slots moved is met where an order is proved the best. */
  readonly bound: Bound
  /** How the bound was come by. */
  readonly by: 'bound' | 'stations' | 'every order'
  readonly labels: number
  /**
   * No order in blocks is better, but for slots moved: none in which flights come to each tanker one after another, the
   * ships of each worst first at any of its stations. It may be so where no proof for all orders is found.
   */
  readonly bestOfBlocks: boolean
  readonly blockLabels: number
}

/**
 * The best order found and what no order can better. `judgements` is the work of the search that comes first, `labels`
 * and `orders` that of the proof; what is not proved within them is told as the gap between order and bound.
 * @throws RangeError as `suggest`.
 * Checked: tests/shared/order/suggest/exact.test.ts, against every order of small cases (constructed); orders in blocks:
 * tests/shared/order/suggest/blocks.test.ts, against every one of small cases (constructed).
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

  const relaxed = (limits: { readonly labels: number; readonly blocks: boolean }): Relaxed<State> | undefined => {
    const known = stationByStation(field, found.judgement, { ...limits, stop })
    if (known?.free === undefined) return known
    const { sequences } = sequencesOf(field, turnsOf(field, known.free))
    const again = suggest({ ...ask, input: { ...ask.input, inForce: field.inForce, sequences } })
    judgements += again.work.judgements
    if (compareJudgements(again.judgement, found.judgement) < 0) found = again
    return known
  }

  let [blocksLeast, blockLabels]: [Judgement | undefined, number] = [undefined, 0]
  if (bound.metLevels < 4 && (ask.blockLabels ?? 0) > 0 && !stop()) {
    const known = relaxed({ labels: ask.blockLabels ?? 0, blocks: true })
    blocksLeast = known?.least
    blockLabels = known?.labels ?? 0
    bound = boundOf(field, found.judgement, found.before)
  }
  if (bound.metLevels < 4 && !stop()) {
    const known = relaxed({ labels: ask.labels, blocks: false })
    if (known !== undefined) {
      labels = known.labels
      const met = TOLD.findIndex((level) => found.judgement[level] > known.least[level])
      const weak = boundOf(field, found.judgement, found.before).least
      // Compared from the left: behind the first level that is not met it says nothing.
      const least = { ...weak }
      for (const level of TOLD.slice(0, met < 0 ? TOLD.length : met + 1))
        least[level] = Math.max(weak[level], known.least[level])
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
  const noBlocksBetter =
    blocksLeast !== undefined && compareJudgements({ ...found.judgement, moved: 0 }, blocksLeast) <= 0
  const bestOfBlocks = bound.metLevels >= TOLD.length || noBlocksBetter
  return { ...found, work: { judgements, stopped }, bound, by, labels, bestOfBlocks, blockLabels }
}

/** What the relaxed answer tells: all but slots moved. */
const TOLD = LEVELS.slice(0, 4)
