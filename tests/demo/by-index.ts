import type { OrderedSlot, Plan, TankerOrder } from '../../shared/contracts/plan.ts'
import { brief } from '../../shared/plan/brief.ts'
import { stationFault } from '../../shared/plan/stations.ts'

/**
 * The order nobody has thought about: first visits, then second ones, by place of flight and ship in the plan, dealt in
 * turn to the stations of the planned tanker that the type may use.
 */
export function byIndex(plan: Plan): TankerOrder[] {
  const resolved = brief(plan)
  const sequences = new Map<string, OrderedSlot[]>([...resolved.stations.keys()].map((key) => [key, []]))
  const dealt = new Map<string, number>()
  for (const visitIndex of [0, 1]) {
    for (const flight of plan.flights) {
      const its = resolved.flights.get(flight.id)
      const visit = flight.route.filter((phase) => phase.kind === 'refuelling')[visitIndex]
      const tanker = visit && resolved.tankers.get(visit.tankerId)
      if (!its || !tanker) continue
      const stations = tanker.stations.filter((station) => !stationFault(resolved, its, station))
      for (const ship of flight.ships) {
        const turn = dealt.get(tanker.id) ?? 0
        const station = stations[turn % stations.length]
        const planned = plan.orders
          .flatMap((order) => order.sequences.flatMap((sequence) => sequence.slots))
          .find((slot) => slot.shipId === ship.id && slot.visitId === visit.id)
        if (!station || !planned) throw new RangeError(`${ship.callSign} has no slot or no station`)
        sequences.get(station.key)?.push(planned)
        dealt.set(tanker.id, turn + 1)
      }
    }
  }
  return plan.tankers.map((tanker) => ({
    tankerId: tanker.id,
    sequences: (resolved.tankers.get(tanker.id)?.stations ?? []).map((station) => ({
      stationId: station.stationId as TankerOrder['sequences'][number]['stationId'],
      slots: sequences.get(station.key) ?? []
    }))
  }))
}
