/** What has flowed in a contact that lasts, by its fill: what a word about its off-load is measured by. */
import { OFF_LOAD_SLACK_FACTOR } from '../contracts/bounds.ts'
import { brief, type Brief } from '../plan/brief.ts'
import { fillCurve, onLoadAt, stopAt } from '../tanks/fill.ts'
import { totalKg } from '../tanks/sheet.ts'
import { advance, shutExternals } from './course.ts'
import { planInForce } from './inforce.ts'
import { burnAt, crewOf, fillTargetOf, targetOf } from './slots.ts'
import { orderOf, type LiveState } from './state.ts'

export interface Flowed {
  /** All that was aboard when fuel began to flow. */
  readonly hadKg: number
  readonly burnedKg: number
  /** What its order has it take in this contact. */
  readonly plannedKg: number
  /** By the clock, as a disconnect without a figure would have it; the same half a minute before, and half a minute on. */
  readonly flowedKg: number
  readonly flowedBeforeKg: number
  readonly flowedSoonKg: number
  /** More than this cannot have flowed since the contact was called. */
  readonly mostFlowedKg: number
  /** More than this its tanks and engines cannot have taken, whenever the contact was. */
  readonly mostTakenKg: number
}

/** As near as somebody calls a disconnect; common practice, no source. */
const CALLED_WITHIN_MS = 30_000
/** How far the room of its tanks may be off, of what they hold: calls and sheets differ. Assumed, no source. */
const ROOM_SLACK_SHARE = 0.1

/**
 * Of the contact a ship is in at an event time; undefined where it is in none. Masses in kg.
 * Checked: tests/shared/live/flowed.test.ts.
 */
export function flowedIn(state: LiveState, plan: Brief, shipId: string, atMs: number): Flowed | undefined {
  const planned = plan.ships.get(shipId)
  const flight = planned && plan.flights.get(planned.flightId)
  if (!flight) return undefined
  const crew = crewOf(state, plan, { flight, planned }, atMs)
  const { ship, legs, folded, current } = crew
  const contact = crew.its.inContact
  const station = contact && plan.stations.get(`${contact.tankerId}/${contact.stationId}`)
  if (!station || !current) return undefined
  const { flowAtMs } = contact
  const reached = advance(ship, legs, folded.anchor, Math.max(atMs, flowAtMs + 1))
  const atFlow = reached.contact?.atFlow ?? reached.state
  const burnKgPerS = burnAt(crew, current)
  const curve = fillCurve(ship.sheet, shutExternals(atFlow), { stationRateKgPerS: station.rateKgPerS, burnKgPerS })
  const end = curve.points.at(-1)
  const flowedKg = (sinceMs: number): number => {
    const spanS = Math.max(0, atMs - sinceMs) / 1000
    const drunkKg = curve.drinks ? burnKgPerS * Math.max(0, spanS - (end?.atS ?? 0)) : 0
    return onLoadAt(curve, spanS) + drunkKg
  }
  const target = targetOf(plan, { crew, visit: current, internalsOnly: isInternalsOnly(state, contact) })
  const roomKg = Math.max(end?.onLoadKg ?? 0, flowedKg(contact.contactAtMs))
  return {
    hadKg: totalKg(ship.sheet, atFlow),
    burnedKg: (burnKgPerS * Math.max(0, atMs - flowAtMs)) / 1000,
    plannedKg: stopAt(curve, fillTargetOf(target, flowAtMs, burnKgPerS)).onLoadKg,
    flowedKg: flowedKg(flowAtMs),
    flowedBeforeKg: flowedKg(flowAtMs + CALLED_WITHIN_MS),
    flowedSoonKg: flowedKg(flowAtMs - CALLED_WITHIN_MS),
    mostFlowedKg: flowedKg(contact.contactAtMs) * OFF_LOAD_SLACK_FACTOR,
    // Flow that nobody called makes nothing of the room doubtful: it is reckoned from where it began.
    mostTakenKg:
      Math.max(roomKg * OFF_LOAD_SLACK_FACTOR, roomKg + ship.capacityKg * ROOM_SLACK_SHARE) +
      crew.unsureKg -
      crew.assumedKg
  }
}

/** The same by the plan in force. */
export function flowedNow(state: LiveState, shipId: string, atMs: number): Flowed | undefined {
  const plan = planInForce(state)
  return plan && flowedIn(state, brief(plan), shipId, atMs)
}

const isInternalsOnly = (state: LiveState, { tankerId, slotId }: { tankerId: string; slotId: string }): boolean =>
  orderOf(state, tankerId).sequences.some(({ slots }) =>
    slots.some(({ id, internalsOnly }) => id === slotId && internalsOnly === true)
  )
