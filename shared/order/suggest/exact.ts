import { compareJudgements, LEVELS, type Judgement } from '../judgement.ts'
import { judge, type Sequences } from '../times.ts'
import { boundBy, boundOf, leastBy, type Bound } from './bound.ts'
import { Ends } from './ends.ts'
import { bestOfAll } from './every.ts'
import { fieldOf, sequencesOf, turnsOf, type Field } from './field.ts'
import { byQueues, lostByQueues } from './queues.ts'
import { instantJudgements, suggest, type Ask, type Suggestion } from './search.ts'
import { stationByStation, type Relaxed } from './stations.ts'
import { wholeFlights } from './whole.ts'
import type { Whole } from './wholes.ts'

/*
 * The best order, with the proof that it is, or as near to one as the work allows.
 */

export interface ExactAsk<State> extends Ask<State> {
  /** Ways to serve some of the ships, station by station, that may be looked at. */
  readonly labels: number
  /** The same for flights that stay whole, tanker by tanker, which are looked at first; as many where left out. */
  readonly flightLabels?: number | undefined
  /** The same for orders in blocks, which are looked at next; 0 where left out. */
  readonly blockLabels?: number | undefined
  /** Where only the last disconnect is open: queues of single stations, and steps of as much work; as `labels` where left out. */
  readonly queueWork?: number | undefined
  /** Orders that may be judged one by one where nothing shorter proves it. */
  readonly orders: number
}

export interface Exact extends Suggestion {
  /** What no order can better, and how far this one meets it; all but slots moved is met where an order is proved the best. */
  readonly bound: Bound
  /** How the bound was come by. */
  readonly by: 'bound' | 'flights' | 'stations' | 'queues' | 'every order'
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
  return new Proving(ask).run()
}

/** Ways looked at for an order to begin with. */
const AS_WHOLE_LABELS = 200_000
/** What the relaxed answers tell: all but slots moved. */
const TOLD = LEVELS.slice(0, 4)

class Proving<State> {
  readonly before: Judgement
  readonly ends: Ends<State>
  private readonly field: Field<State>
  private found: Suggestion
  private bound: Bound
  private by: Exact['by'] = 'bound'
  private labels = 0
  private blockLabels = 0
  private judgements: number
  private stopped: boolean
  private bestOfBlocks = false

  constructor(private readonly ask: ExactAsk<State>) {
    this.field = fieldOf(ask.input, ask)
    // As much as is done at once: where the proof knows better the rest is not needed.
    this.found = suggest({ ...ask, judgements: this.atOnce() })
    this.judgements = this.found.work.judgements
    this.stopped = this.found.work.stopped
    this.before = this.found.before
    this.ends = new Ends(this.field)
    this.bound = boundOf(this.field, this.found.judgement, this)
  }

  run(): Exact {
    const { ask } = this
    if (this.bound.metLevels === 0 && !this.stop()) this.lostAtLeast()
    const flights = this.open() ? this.wholeFlights() : undefined
    if (this.open() && flights === undefined) this.asIfWhole()
    if (this.open() && ask.judgements > this.atOnce()) this.search(this.found.sequences, ask.judgements - this.atOnce())
    if (this.open() && (ask.blockLabels ?? 0) > 0) this.inBlocks(ask.blockLabels ?? 0)
    // Flights that stay whole were gone through already: ship by ship it would take longer to tell no more.
    const wide = flights === undefined || (!flights.complete && !this.bestOfBlocks)
    if (this.open()) this.byQueues()
    if (this.open() && wide) this.shipByShip()
    if (!this.bound.proved && !this.stop()) this.everyOrder()
    const { found, bound, by, labels, blockLabels, judgements, stopped } = this
    const bestOfBlocks = bound.metLevels >= TOLD.length || this.bestOfBlocks
    return { ...found, work: { judgements, stopped }, bound, by, labels, bestOfBlocks, blockLabels }
  }

  private atOnce(): number {
    return Math.min(this.ask.judgements, instantJudgements(this.ask.input.slots.length))
  }

  private open(): boolean {
    return this.bound.metLevels < TOLD.length && !this.stop()
  }

  private readonly stop = (): boolean => (this.stopped ||= this.ask.stop?.() === true)

  /** From an order on, what a search makes of it. */
  private search(sequences: Sequences, judgements: number): void {
    const { ask, field } = this
    const again = suggest({ ...ask, judgements, input: { ...ask.input, inForce: field.inForce, sequences } })
    this.judgements += again.work.judgements
    this.stopped ||= again.work.stopped
    if (compareJudgements(again.judgement, this.found.judgement) >= 0) return
    this.found = again
    this.bound = this.boundWith(this.bound.least)
  }

  private begunFrom(known: Pick<Relaxed<State>, 'free'> | undefined): void {
    if (known?.free === undefined) return
    this.search(sequencesOf(this.field, turnsOf(this.field, known.free)).sequences, this.atOnce())
  }

  /** Takes over what is known, as far as it says more than what is known already. */
  private told(known: Relaxed<State>, by: Exact['by']): void {
    this.labels += known.labels
    const told = this.boundWith(this.bound.least, known.least)
    if (told.metLevels < this.bound.metLevels) return
    this.bound = told
    this.by = by
  }

  /** What no order is better than, by what was known of orders no better than the one found. */
  private boundWith(...known: readonly Judgement[]): Bound {
    const { found, field } = this
    const least = { ...boundOf(field, found.judgement, this).least }
    for (const one of known) {
      // Compared from the left: behind the first level that is not met it says nothing.
      const met = TOLD.findIndex((level) => found.judgement[level] > one[level])
      for (const level of TOLD.slice(0, met < 0 ? TOLD.length : met + 1))
        least[level] = Math.max(least[level], one[level])
    }
    return boundBy(least, found.judgement)
  }

  /** Once more where a better order tells more ships that no order as good loses. */
  private wholeFlights(): Whole<State> | undefined {
    const { ask, field, stop } = this
    for (let left = ask.flightLabels ?? ask.labels; ;) {
      const { judgement, sequences } = this.found
      const known = wholeFlights(field, judgement, { labels: left, from: sequences, stop })
      if (known === undefined) return undefined
      this.begunFrom(known)
      this.told(known, 'flights')
      left -= known.labels
      const fewerLost = this.found.judgement.lostWeight < judgement.lostWeight
      if (!fewerLost || left <= 0 || !this.open()) return known
    }
  }

  /** Flights that may be split begin from the best order in which none is: a search alone seldom finds as good a one. */
  private asIfWhole(): void {
    const { ask, found, stop } = this
    if (ask.maySpread === undefined || ask.maySpread.size === 0) return
    const whole = fieldOf(ask.input, { mayUse: ask.mayUse })
    const known = wholeFlights(whole, found.judgement, {
      labels: Math.min(AS_WHOLE_LABELS, ask.labels),
      from: found.sequences,
      stop
    })
    this.labels += known?.labels ?? 0
    if (known?.free === undefined) return
    this.search(sequencesOf(whole, turnsOf(whole, known.free)).sequences, this.atOnce())
  }

  private inBlocks(labels: number): void {
    const { field, found, stop } = this
    const known = stationByStation(field, found.judgement, { labels, blocks: true, stop })
    this.begunFrom(known)
    this.blockLabels = known?.labels ?? 0
    this.bestOfBlocks =
      known !== undefined && compareJudgements({ ...this.found.judgement, moved: 0 }, known.least) <= 0
  }

  private shipByShip(): void {
    const { ask, field, found, stop } = this
    const known = stationByStation(field, found.judgement, { labels: ask.labels, stop })
    this.begunFrom(known)
    if (known !== undefined) this.told(known, 'stations')
  }

  /** What the stations cannot take in time. */
  private lostAtLeast(): void {
    const { ask, field, stop } = this
    const { least } = this.bound
    const by = { most: ask.queueWork ?? ask.labels, stop }
    const known = lostByQueues(field, leastBy(field, this.found.judgement), by)
    this.begunFrom(known)
    if (known.least <= least.lostWeight) return
    this.bound = this.boundWith({ ...least, lostWeight: known.least })
    this.by = 'queues'
  }

  /** Where only the last disconnect is open. */
  private byQueues(): void {
    const { ask, field, stop } = this
    if (this.bound.metLevels !== TOLD.length - 1) return
    const { judgement } = this.found
    const { least } = this.bound
    const by = { from: least.lastDisconnect, most: ask.queueWork ?? ask.labels, stop }
    const known = byQueues(field, judgement, leastBy(field, judgement), by)
    this.begunFrom(known)
    if (known.least <= least.lastDisconnect) return
    this.bound = this.boundWith({ ...least, lastDisconnect: known.least })
    this.by = 'queues'
  }

  private everyOrder(): void {
    const { ask, field, stop } = this
    const best = bestOfAll(field, { orders: ask.orders, stop, judged: () => this.judgements++ })
    if (best === undefined) return
    const { sequences, moved } = sequencesOf(field, best.turns)
    const judged = judge({ ...ask.input, inForce: field.inForce, sequences })
    if (compareJudgements(judged.judgement, this.found.judgement) < 0) {
      this.found = { ...this.found, sequences, moved, judged, judgement: judged.judgement }
      ask.onBetter?.({ sequences, judgement: judged.judgement, judgements: this.judgements })
    }
    this.bound = boundBy(this.found.judgement, this.found.judgement)
    this.by = 'every order'
  }
}
