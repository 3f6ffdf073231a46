/** Where a figure of the plan came from, as it was typed there. */
import type { FactOf } from '../contracts/facts.ts'
import type { HandLimit } from '../contracts/kinds.ts'
import type { Plan, ReceiverType } from '../contracts/plan.ts'
import type { LiveState } from '../live/state.ts'
import type { PhaseBrief, ShipBrief } from '../plan/brief.ts'
import { ASSUMED, PLAN, SHEET, type Source, type Typed } from './paper.ts'

export const onSheet = (typed: Typed | undefined): Source => (typed ? { from: 'sheet', typed } : SHEET)
export const inPlan = (typed: Typed | undefined): Source => (typed ? { from: 'plan', typed } : PLAN)
export const minutes = (value: number): Source => ({ from: 'plan', typed: { value, unit: 'min' } })

/** What somebody called, with its time and place in the log. */
export const called = (fact: { atMs: number; seq: number }, typed?: Typed): Source => ({
  from: 'called',
  atMs: fact.atMs,
  seq: fact.seq,
  typed
})

const flightOf = (plan: Plan, flightId: string) => plan.flights.find((one) => one.id === flightId)

export function receiverTypeOf(plan: Plan, ship: ShipBrief): ReceiverType | undefined {
  const typeId = flightOf(plan, ship.flightId)?.receiverTypeId
  return plan.receiverTypes.find((one) => one.id === typeId)
}

export const startOf = (plan: Plan, ship: ShipBrief): Source =>
  inPlan(flightOf(plan, ship.flightId)?.ships.find((one) => one.id === ship.id)?.startFuel)

/** Fill rate of a group: on the sheet, or the share of all internals that external tanks are assumed to take. */
export function fillRateOf(plan: Plan, ship: ShipBrief, groupId: string): Source {
  const group = receiverTypeOf(plan, ship)?.groups.find((one) => one.id === groupId)
  return group?.fillRate ? onSheet(group.fillRate) : ASSUMED
}

export function stationRateOf(plan: Plan, tankerId: string, stationId: string): Source {
  const typeId = plan.tankers.find((one) => one.id === tankerId)?.tankerTypeId
  const type = plan.tankerTypes.find((one) => one.id === typeId)
  return onSheet(type?.stations.find((one) => one.id === stationId)?.maxRate)
}

/** Flow of a phase without drag: on the sheet by its kind, or its own in the plan. */
export function phaseFlowOf(plan: Plan, ship: ShipBrief, phase: PhaseBrief): Source {
  const typed = flightOf(plan, ship.flightId)?.route.find((one) => one.id === phase.id)
  if (typed && typed.kind !== 'refuelling' && typed.flow) return inPlan(typed.flow)
  return onSheet(receiverTypeOf(plan, ship)?.flows[phase.kind])
}

/** Whoever set a limit last: in the event, else in the plan. */
export function handLimitOf(state: LiveState, ship: ShipBrief, limit: HandLimit): Source {
  const set = state.limits.get(ship.id)?.findLast((fact): fact is FactOf<'limitSet'> => fact.limit === limit)
  if (set?.fuel) return { from: 'by hand', atMs: set.atMs, seq: set.seq, typed: set.fuel }
  return inPlan(state.plan && flightOf(state.plan, ship.flightId)?.limits?.[limit])
}
