/**
 * The plan in force: the one adopted, with what the event has changed of it. Everything that computes reads this one.
 */
import type { Flight, Plan, Tanker } from '../contracts/plan.ts'
import { legTimeS } from '../fuel/burn.ts'
import { brief, CLOSED, type Brief, type FlightBrief, type PlanInForce } from '../plan/brief.ts'
import { speedMPerS } from '../units.ts'
import { planWithReceivers } from './receivers.ts'
import type { Changes, LiveState } from './state.ts'

/** Plans made, by the plan and the maps of changes they were made of. */
interface Made {
  next: WeakMap<object, Made>
  plan: PlanInForce | undefined
}
const fresh = (): Made => ({ next: new WeakMap(), plan: undefined })
const made = fresh()

/**
 * The plan adopted with what the event has changed applied: receivers nobody planned, priorities, on-load rules of single
 * ships, tanker times and gives, bases closed. Undefined while no plan is adopted; the plan itself while nothing is changed.
 * The same document for the same changes, whatever else of the state differs: its brief is kept by it.
 */
export function planInForce(state: Pick<LiveState, 'plan' | keyof Changes>): PlanInForce | undefined {
  const plan = planWithReceivers(state)
  if (!plan) return undefined
  const { priorities, onLoads, tankerTimes, gives, bases } = state
  let at = made
  for (const part of [plan, priorities, onLoads, tankerTimes, gives, bases]) {
    let next = at.next.get(part)
    if (!next) at.next.set(part, (next = fresh()))
    at = next
  }
  return (at.plan ??= changed(plan, state))
}

/** Bases closed for landing. */
export function closedBases({ bases }: Pick<Changes, 'bases'>): ReadonlySet<string> {
  return new Set([...bases].flatMap(([baseId, facts]) => (facts.at(-1)?.open === false ? [baseId] : [])))
}

function changed(plan: Plan, changes: Changes): PlanInForce {
  const flights = plan.flights.map((flight) => changedFlight(flight, changes))
  const tankers = plan.tankers.map((tanker) => changedTanker(plan, tanker, changes))
  const same =
    flights.every((flight, index) => flight === plan.flights[index]) &&
    tankers.every((tanker, index) => tanker === plan.tankers[index])
  const next = same ? plan : { ...plan, flights, tankers }
  const closed = closedBases(changes)
  return closed.size === 0 ? next : closedPlan(next, closed)
}

function changedFlight(flight: Flight, { priorities, onLoads }: Changes): Flight {
  const priority = priorities.get(flight.id)?.at(-1)?.priority ?? flight.priority
  const visitIds = flight.route.flatMap((phase) => (phase.kind === 'refuelling' ? [phase.id] : []))
  const ships = flight.ships.map((ship) => {
    const told = visitIds.flatMap((visitId) => {
      const onLoad = onLoads.get(`${ship.id}/${visitId}`)?.at(-1)?.onLoad
      return onLoad ? [{ visitId, onLoad }] : []
    })
    if (told.length === 0) return ship
    const kept = ship.onLoads?.filter((one) => !told.some(({ visitId }) => visitId === one.visitId)) ?? []
    return { ...ship, onLoads: [...kept, ...told] }
  })
  const same = priority === flight.priority && ships.every((ship, index) => ship === flight.ships[index])
  return same ? flight : { ...flight, priority, ships }
}

function changedTanker(plan: Plan, tanker: Tanker, { tankerTimes, gives }: Changes): Tanker {
  const times = tankerTimes.get(tanker.id)?.at(-1)
  const give = gives.get(tanker.id)?.at(-1)
  const onStationAtMs = times?.onStationAtMs ?? tanker.onStationAtMs
  const leavesAtMs = times?.leavesAtMs ?? tanker.leavesAtMs
  // Times that a later plan has made nonsense of count for nothing.
  const timed =
    leavesAtMs > onStationAtMs && (onStationAtMs !== tanker.onStationAtMs || leavesAtMs !== tanker.leavesAtMs)
  if (!timed && !give?.keeps && !give?.mostTransferable) return tanker
  return {
    ...tanker,
    ...(give?.keeps && { keeps: give.keeps }),
    ...(give?.mostTransferable && { mostTransferable: give.mostTransferable }),
    ...(timed && { onStationAtMs, leavesAtMs }),
    // A planned leaving time gives way to a contact that runs over; one that the crew has called does not.
    ...(timed && leavesAtMs < tanker.leavesAtMs && { windows: windowsUntil(plan, tanker, onStationAtMs, leavesAtMs) })
  }
}

function windowsUntil(
  plan: Plan,
  tanker: Tanker,
  onStationAtMs: number,
  leavesAtMs: number
): NonNullable<Tanker['windows']> {
  const stations = plan.tankerTypes.find((type) => type.id === tanker.tankerTypeId)?.stations ?? []
  return stations.map(({ id }) => {
    const window = tanker.windows?.find((one) => one.stationId === id)
    return {
      stationId: id,
      opensAtMs: window?.opensAtMs ?? onStationAtMs,
      closesAtMs: Math.min(window?.closesAtMs ?? leavesAtMs, leavesAtMs)
    }
  })
}

/** The whole plan with bases closed: no divert stands at one, and whoever can recovers and aborts elsewhere. */
export function closedPlan(plan: Plan, closed: ReadonlySet<string>): PlanInForce {
  const { moved } = withoutBases(brief(plan), closed)
  const flights = plan.flights.map((flight) => {
    const next = moved.find((one) => one.id === flight.id) ?? flight
    const divertBaseIds = next.divertBaseIds.filter((id) => !closed.has(id))
    return divertBaseIds.length === next.divertBaseIds.length ? next : { ...next, divertBaseIds }
  })
  return { ...plan, flights, [CLOSED]: [...closed] }
}

interface WithoutBases {
  /** Those flights alone that recover at one of the bases and can recover elsewhere, doing so. */
  readonly moved: readonly Flight[]
  /** Of every flight, what counts when the bases are closed; undefined: none. */
  readonly nextBases: ReadonlyMap<string, string | undefined>
}

/** By plan and bases: what is made of the changed flights is worth keeping. */
const kept = new WeakMap<Brief, Map<string, WithoutBases>>()

/**
 * What becomes of the flights when bases are closed for landing: the next divert that is named, open and within reach
 * counts as recovery base, and the recovery leg ends there.
 */
export function withoutBases(plan: Brief, closed: ReadonlySet<string>): WithoutBases {
  let known = kept.get(plan)
  if (!known) kept.set(plan, (known = new Map<string, WithoutBases>()))
  const key = [...closed].sort().join(' ')
  let without = known.get(key)
  if (!without) known.set(key, (without = makeWithout(plan, closed)))
  return without
}

function makeWithout(resolved: Brief, closed: ReadonlySet<string>): WithoutBases {
  const { plan } = resolved
  const nextBases = new Map<string, string | undefined>()
  const moved = plan.flights.flatMap((flight): Flight[] => {
    const its = resolved.flights.get(flight.id)
    const { recoveryBaseId } = flight
    const next = its?.openBaseIds.find((id) => !closed.has(id) && reaches(resolved, its, flight, recoveryBaseId, id))
    nextBases.set(flight.id, next)
    const base = plan.bases.find((one) => one.id === next)
    if (!base || !closed.has(recoveryBaseId)) return []
    const route = flight.route.map((phase) =>
      endsAt(resolved, phase, recoveryBaseId) ? { ...phase, span: { ...phase.span, to: base.position } } : phase
    )
    const divertBaseIds = flight.divertBaseIds.filter((id) => !closed.has(id) && id !== base.id)
    return [{ ...flight, recoveryBaseId: base.id, divertBaseIds, route }]
  })
  return { moved, nextBases }
}

type Phase = Flight['route'][number]

/** A recovery that ends at the base. */
function endsAt(plan: Brief, phase: Phase, baseId: string): phase is Exclude<Phase, { kind: 'refuelling' }> {
  if (phase.kind !== 'recovery') return false
  const base = plan.bases.get(baseId)
  const to = 'to' in phase.span ? phase.span.to : undefined
  return base !== undefined && to?.latitudeDeg === base.latitudeDeg && to.longitudeDeg === base.longitudeDeg
}

/** Some ground speed is left to the base from every place of the route, and on the leg that is to end there. */
function reaches(plan: Brief, its: FlightBrief, flight: Flight, baseId: string, nextBaseId: string): boolean {
  const to = plan.bases.get(nextBaseId)
  if (!to) return false
  return its.phases.every((phase, index) => {
    const typed = flight.route[index]
    const home = { trueAirspeedMPerS: its.recoveryAirspeedMPerS, wind: plan.wind }
    if (legTimeS(phase.to, to, home) === undefined) return false
    if (!typed || !endsAt(plan, typed, baseId) || !('trueAirspeed' in typed.span)) return true
    const leg = { trueAirspeedMPerS: speedMPerS(typed.span.trueAirspeed), wind: plan.wind }
    return legTimeS(phase.from, to, leg) !== undefined
  })
}
