import type { View } from '../shared/contracts/view.ts'
import type { Plan } from '../shared/contracts/plan.ts'
import type { Vocabulary } from '../shared/entry/vocabulary.ts'
import type { Labels } from './labels.ts'

/** The names the entry line may speak of, from the event as it stands. */
export function vocabularyOf(view: View, plan: Plan, labels: Labels): Vocabulary {
  const pinned = new Set(view.slots.filter((slot) => slot.pinned).map((slot) => slot.slotId))
  return {
    massUnit: plan.massUnit,
    ships: view.ships
      .toSorted((a, b) => (a.callSign < b.callSign ? -1 : 1))
      .map((ship) => ({
        shipId: ship.shipId,
        callSign: ship.callSign,
        gauge: labels.gaugeOf(ship.shipId),
        capacityKg: ship.capacityKg,
        slotId: ship.slotId ?? undefined,
        pinned: ship.slotId !== null && pinned.has(ship.slotId),
        groups: ship.tanks
          .filter((tank) => !ship.jettisoned.includes(tank.groupId))
          .map(({ groupId, name, external, tankCount }) => ({ groupId, name, external, tankCount }))
      })),
    flights: plan.flights.map((flight) => ({
      callSign: flight.callSign,
      shipIds: flight.ships.map((ship) => ship.id)
    })),
    tankers: view.tankers.map((tanker) => ({
      tankerId: tanker.tankerId,
      callSign: tanker.callSign,
      stations: tanker.stations.map(({ stationId, name }) => ({ stationId, name }))
    })),
    bases: plan.bases.map((base) => ({ baseId: base.id, name: base.name }))
  }
}
