import type { FactOf } from '../contracts/facts.ts'
import type { Plan } from '../contracts/plan.ts'
import { speedMPerS } from '../units.ts'
import type { LiveState } from './state.ts'

/** By plan and receivers: the same parts of a state give the same plan. */
const known = new WeakMap<Plan, WeakMap<LiveState['receivers'], Plan>>()

/**
 * The plan adopted, with the receivers nobody planned; undefined while there is none. One whose type, tanker, push group
 * or base a later plan lacks, or that a later plan has itself, is left out.
 */
export function planWithReceivers({ plan, receivers }: Pick<LiveState, 'plan' | 'receivers'>): Plan | undefined {
  if (!plan || receivers.size === 0) return plan
  let byReceivers = known.get(plan)
  if (!byReceivers) known.set(plan, (byReceivers = new WeakMap<LiveState['receivers'], Plan>()))
  let made = byReceivers.get(receivers)
  if (!made) byReceivers.set(receivers, (made = extended(plan, receivers)))
  return made
}

function extended(plan: Plan, receivers: LiveState['receivers']): Plan {
  const added = [...receivers.values()].flatMap((facts) => facts.at(-1) ?? []).filter((fact) => fits(plan, fact))
  if (added.length === 0) return plan
  return {
    ...plan,
    pushGroups: [...plan.pushGroups, ...added.flatMap(({ pushGroup }) => pushGroup ?? [])],
    flights: [...plan.flights, ...added.map(({ flight }) => flight)]
  }
}

/** Everything the flight refers to is there, nothing of it is there already, and it makes way against the wind. */
function fits(plan: Plan, { flight, pushGroup }: FactOf<'receiverAdded'>): boolean {
  const type = plan.receiverTypes.find((one) => one.id === flight.receiverTypeId)
  if (!type || speedMPerS(type.recoveryAirspeed) <= speedMPerS(plan.rules.windSpeed)) return false
  const shipIds = new Set(flight.ships.map((ship) => ship.id))
  if (plan.flights.some((one) => one.id === flight.id || one.ships.some((ship) => shipIds.has(ship.id)))) return false
  const bases = new Set(plan.bases.map((base) => base.id))
  if (![flight.departureBaseId, flight.recoveryBaseId, ...flight.divertBaseIds].every((id) => bases.has(id)))
    return false
  return flight.route.every(
    (phase) =>
      phase.kind !== 'refuelling' ||
      (plan.tankers.some((tanker) => tanker.id === phase.tankerId) &&
        (pushGroup?.id === phase.pushGroupId || plan.pushGroups.some((group) => group.id === phase.pushGroupId)))
  )
}
