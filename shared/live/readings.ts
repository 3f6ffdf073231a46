/**
 * Readings of a feed, up to one a second from each ship, thinned to the facts that tell something: the log keeps what
 * moves the estimate, and stays short enough to be read. Never throws, knows no clock.
 */
import { BOUNDS, GAUGE_SLACK_FACTOR, READINGS } from '../contracts/bounds.ts'
import type { Reading as Sent, ReadingOutcome } from '../contracts/readings.ts'
import type { ShipId } from '../contracts/ids.ts'
import type { Fact, FactOf, NewFact } from '../contracts/facts.ts'
import type { ProblemCode } from '../contracts/problem.ts'
import { brief, type Brief } from '../plan/brief.ts'
import { quantityKg } from '../units.ts'
import { advance } from './course.ts'
import { AHEAD_MS, type Instant } from './decide.ts'
import type { Refusal } from './decision.ts'
import { along, callOf, takenOn, withCall } from './gauged.ts'
import { planInForce } from './inforce.ts'
import { reduce } from './reduce.ts'
import { foldedOf } from './slots.ts'
import { standing } from './standing.ts'
import type { LiveState } from './state.ts'

export interface Taken {
  facts: NewFact[]
  /** What became of each reading, in the order given; of a recorded one, which of the facts it is. */
  outcomes: (ReadingOutcome | { outcome: 'recorded'; factIndex: number })[]
}

type Reading = Sent & { atMs: number }
/** The last reading of each ship that was looked at and told nothing: event time, ms. */
export type Looked = Map<ShipId, number>
type Kept = Exclude<ReadingOutcome, { outcome: 'recorded' }> | undefined

/**
 * Which readings become facts: all that come long enough after the ship's last call, and those that differ from what is
 * expected of them. Readings of a batch are taken in order of observed time, each on what those before it left.
 * @param looked what the same feed sent before; it is told what of this batch was looked at
 */
export function takeReadings(
  state: LiveState,
  sent: readonly Sent[],
  at: Instant,
  looked: Looked = new Map()
): Taken | { refusal: Refusal } {
  const document = planInForce(state)
  if (!document || !state.opened) return { refusal: { code: 'event-not-begun', detail: 'the event is not open yet' } }
  if (state.closed) return { refusal: { code: 'event-closed', detail: 'nothing more is recorded' } }
  const plan = brief(document)
  const facts: NewFact[] = []
  const outcomes: Taken['outcomes'] = Array.from(sent, () => ({ outcome: 'dropped', why: 'as expected' }))
  let known = state
  const readings = sent.map((one) => ({ ...one, atMs: one.atMs ?? at.eventMs }))
  const inOrder = readings.map((reading, index) => ({ reading, index })).sort((a, b) => a.reading.atMs - b.reading.atMs)
  for (const { reading, index } of inOrder) {
    const kept = refused(known, plan, reading, at) ?? dropped(known, plan, reading, { looked, at })
    if (kept) {
      outcomes[index] = kept
      continue
    }
    const fact: NewFact = { kind: 'fuelCalled', ...reading }
    outcomes[index] = { outcome: 'recorded', factIndex: facts.length }
    facts.push(fact)
    // Number and record are the room's to give; the rest of the batch must only find it there.
    known = reduce(known, { ...fact, seq: known.seq + 1 } as Fact)
  }
  return { facts, outcomes }
}

const no = (code: ProblemCode): Kept => ({ outcome: 'refused', code })
const drop = (why: Extract<ReadingOutcome, { outcome: 'dropped' }>['why']): Kept => ({ outcome: 'dropped', why })

/** Why a reading cannot be taken, as for a call. */
function refused(state: LiveState, plan: Brief, { shipId, atMs, fuel, covers }: Reading, at: Instant): Kept {
  const ship = plan.ships.get(shipId)
  if (!ship) return no('unknown-ship')
  if (atMs > at.eventMs + AHEAD_MS) return no('time-ahead')
  if (atMs < plan.plan.opensAtMs) return no('time-before-event')
  if (standing(state.ships.get(shipId) ?? []).landed) return no('ship-gone')
  const mostKg = (covers === 'total' ? ship.capacityKg : ship.internalCapacityKg) * GAUGE_SLACK_FACTOR
  // Whatever is recorded keeps within the bounds of a fuel call.
  const densestKg = quantityKg(fuel, BOUNDS.densityKgPerM3.max)
  if (densestKg < BOUNDS.massKg.min) return no('out-of-bounds')
  const isTooMuch = quantityKg(fuel, plan.fuelKgPerM3) > mostKg || densestKg > BOUNDS.massKg.max
  return isTooMuch ? no('fuel-above-capacity') : undefined
}

/** Why a reading is not worth a fact. */
function dropped(state: LiveState, plan: Brief, reading: Reading, seen: { looked: Looked; at: Instant }): Kept {
  const record = state.ships.get(reading.shipId) ?? []
  // A gauge that is switched on does not say that the ship comes after all: that is for somebody to say.
  if (standing(record).noShow) return drop('does not come')
  const last = record.findLast((fact): fact is FactOf<'fuelCalled'> => fact.kind === 'fuelCalled')
  if (!last) return undefined
  const agoMs = reading.atMs - last.atMs
  if (agoMs < 0) return drop('older')
  if (agoMs < READINGS.leastApartMs) return drop('too soon')
  if (agoMs >= READINGS.mostApartMs) return undefined
  if (isSoonAgain(reading, seen)) return drop('too soon')
  const offSd = offInSd(state, plan, reading)
  if (offSd !== undefined && Math.abs(offSd) > READINGS.offSd) return undefined
  seen.looked.set(reading.shipId, reading.atMs)
  return drop('as expected')
}

/** To look costs an estimate. What was looked at by a clock that has been set back since says nothing. */
function isSoonAgain({ shipId, atMs }: Reading, { looked, at }: { looked: Looked; at: Instant }): boolean {
  const lookedAtMs = looked.get(shipId)
  if (lookedAtMs === undefined || lookedAtMs > at.eventMs + AHEAD_MS) return false
  return atMs < lookedAtMs + READINGS.lookApartMs
}

/**
 * How far a reading is from what is expected of it, in standard deviations of that distance: of the estimate and of one
 * reading together, as the filter has them. Undefined where it says nothing, as of the inside while externals feed it.
 */
function offInSd(state: LiveState, plan: Brief, reading: Reading): number | undefined {
  const { shipId, atMs } = reading
  const planned = plan.ships.get(shipId)
  const flight = planned && plan.flights.get(planned.flightId)
  if (!flight) return undefined
  const { ship, its, asPlanned, legs, folded } = foldedOf(state, plan, { flight, planned }, atMs)
  const tanks = advance(ship, legs, folded.anchor, atMs).state
  const course = { from: folded.anchor.state, to: tanks }
  const there = takenOn(ship.sheet, along(folded.filtered, asPlanned, its), atMs, course)
  const call = callOf(ship.sheet, tanks, { ...reading, seq: state.seq + 1 }, plan.fuelKgPerM3)
  const { innovationKg, innovationVarKg2 } = withCall(there, call).folded.heard.at(-1) ?? {}
  if (innovationKg === undefined || innovationVarKg2 === undefined) return undefined
  return innovationKg / Math.sqrt(innovationVarKg2)
}
