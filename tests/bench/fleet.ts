import { demoPlan } from '../../server/demo/plan.ts'
import { plan, type Plan } from '../../shared/contracts/plan.ts'

/** Five of the demonstration's largest flights, as often side by side. */
const FLIGHTS = new Set(['alder', 'kelp', 'rasp', 'thistle', 'sleet'])
const COPIES = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'h', 'i', 'j'] as const

/** A hundred ships (constructed): the flights of four of the demonstration with all its tankers, five times over. */
export const hundredShips = (opensAtMs: number): Plan => copied(opensAtMs, 5, 'A hundred ships')

/** Two hundred, the most a plan may hold. */
export const twoHundredShips = (opensAtMs: number): Plan => copied(opensAtMs, 10, 'Two hundred ships')

function copied(opensAtMs: number, times: number, name: string): Plan {
  const demo = demoPlan(opensAtMs)
  const flights = demo.flights.filter(({ id }) => FLIGHTS.has(id))
  const shipIds = new Set(flights.flatMap(({ ships }) => ships.map(({ id }) => id as string)))
  const copies = COPIES.slice(0, times).map((copy) => {
    const of = (id: string): string => `${id}-${copy}`
    const sign = (callSign: string): string => callSign.replace(/^(\S+)/, `$1${copy.toUpperCase()}`)
    return {
      flights: flights.map((flight) => ({
        ...flight,
        id: of(flight.id),
        callSign: sign(flight.callSign),
        route: flight.route.map((phase) =>
          phase.kind === 'refuelling'
            ? { ...phase, id: of(phase.id), tankerId: of(phase.tankerId), pushGroupId: of(phase.pushGroupId) }
            : { ...phase, id: of(phase.id) }
        ),
        ships: flight.ships.map((ship) => ({ ...ship, id: of(ship.id), callSign: sign(ship.callSign) }))
      })),
      tankers: demo.tankers.map((tanker) => ({ ...tanker, id: of(tanker.id), callSign: sign(tanker.callSign) })),
      pushGroups: demo.pushGroups.map((group) => ({ ...group, id: of(group.id), name: `${group.name} ${copy}` })),
      orders: demo.orders.map(({ tankerId, sequences }) => ({
        tankerId: of(tankerId),
        sequences: sequences.map(({ stationId, slots }) => ({
          stationId,
          slots: slots
            .filter(({ shipId }) => shipIds.has(shipId))
            .map((slot) => ({ ...slot, id: of(slot.id), shipId: of(slot.shipId), visitId: of(slot.visitId) }))
        }))
      }))
    }
  })
  return plan.parse({
    ...demo,
    name,
    flights: copies.flatMap((one) => one.flights),
    tankers: copies.flatMap((one) => one.tankers),
    pushGroups: copies.flatMap((one) => one.pushGroups),
    orders: copies.flatMap((one) => one.orders),
    // It names ships by their own ids, not by those of the copies.
    fallOut: []
  })
}
