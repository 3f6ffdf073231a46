import type { ShipView, SlotView, View } from '../shared/contracts/view.ts'
import type { Plan } from '../shared/contracts/plan.ts'
import type { Vocabulary } from '../shared/entry/vocabulary.ts'
import type { LiveState } from '../shared/live/state.ts'
import { densityKgPerM3, quantityKg } from '../shared/units.ts'
import { flowedOf } from './flowed.ts'
import type { Labels } from './labels.ts'

/** The names the entry line may speak of, from the event as it stands. */
export function vocabularyOf(view: View, plan: Plan, labels: Labels, state: LiveState): Vocabulary {
  const { tankerTimes, gives } = state
  const slots = new Map(view.slots.map((slot) => [slot.slotId, slot]))
  const slotOf = ({ slotId }: View['ships'][number]) => (slotId === null ? undefined : slots.get(slotId))
  const endsAtMs = new Map(view.flights.map(({ flightId, ladder }) => [flightId, ladder.at(-1)?.atMs]))
  const fuelKgPerM3 = densityKgPerM3(plan.fuelDensity)
  const tankers = new Map<string, Plan['tankers'][number]>(plan.tankers.map((tanker) => [tanker.id, tanker]))
  return {
    massUnit: plan.massUnit,
    nowMs: view.atMs,
    opensAtMs: plan.opensAtMs,
    ships: view.ships
      .toSorted((a, b) => (a.callSign < b.callSign ? -1 : 1))
      .map((ship) => ({
        ...shipWords(ship, labels, slotOf(ship)),
        isThere: THERE.has(ship.status),
        landsAtMs: ship.left ? (ship.left.arrivesAtMs ?? undefined) : endsAtMs.get(ship.flightId),
        flowedAt: ship.status === 'in contact' ? flowedOf(state, ship.shipId) : undefined
      })),
    flights: plan.flights.map((flight) => ({
      flightId: flight.id,
      callSign: flight.callSign,
      shipIds: flight.ships.map((ship) => ship.id)
    })),
    tankers: view.tankers.map(({ tankerId, callSign, stations, leavesAtMs, givenKg, fuelKg }) => {
      const [planned, times, give] = [
        tankers.get(tankerId),
        tankerTimes.get(tankerId)?.at(-1),
        gives.get(tankerId)?.at(-1)
      ]
      return {
        tankerId,
        callSign,
        stations: stations.map(({ stationId, name }) => ({ stationId, name })),
        plannedFuelKg: planned === undefined ? 0 : quantityKg(planned.fuelOnStation, fuelKgPerM3),
        fuelKg: view.atMs < (times?.onStationAtMs ?? planned?.onStationAtMs ?? 0) ? undefined : fuelKg,
        onStationAtMs: times?.onStationAtMs ?? planned?.onStationAtMs ?? view.atMs,
        leavesAtMs: times?.leavesAtMs ?? planned?.leavesAtMs ?? leavesAtMs,
        givenKg,
        told: {
          onStationAtMs: times?.onStationAtMs,
          leavesAtMs: times?.leavesAtMs,
          keeps: give?.keeps,
          mostTransferable: give?.mostTransferable
        }
      }
    }),
    bases: plan.bases.map((base) => ({ baseId: base.id, name: base.name })),
    types: plan.receiverTypes.map((type) => ({ receiverTypeId: type.id, name: type.name }))
  }
}

const readyAtMs = (slot: SlotView | undefined): number | undefined =>
  slot?.state === 'planned' || slot?.state === 'missed' ? slot.readyAtMs : undefined

/** Joined, and not gone on. */
const THERE: ReadonlySet<ShipView['status']> = new Set(['waiting', 'next', 'in contact', 'done', 'must leave'])

/** A ship as the entry line may speak of it. */
function shipWords(ship: ShipView, labels: Labels, slot: SlotView | undefined): Vocabulary['ships'][number] {
  return {
    shipId: ship.shipId,
    callSign: ship.callSign,
    gauge: labels.gaugeOf(ship.shipId),
    capacityKg: ship.capacityKg,
    reason: ship.estimate.reason ?? undefined,
    slotId: ship.slotId ?? undefined,
    pinned: slot?.pinned ?? false,
    left: ship.status === 'left' || ship.status === 'landed',
    isThere: false,
    landsAtMs: undefined,
    flowedAt: undefined,
    readyAtMs: readyAtMs(slot),
    groups: ship.tanks
      .filter((tank) => !ship.jettisoned.includes(tank.groupId))
      .map(({ groupId, name, external, tankCount, capacityKg }) => ({ groupId, name, external, tankCount, capacityKg }))
  }
}

/** All that can be spoken of without contact: the own ship as it was known last. */
export function vocabularyOfLast({ ship, labels, atMs }: { ship: ShipView; labels: Labels; atMs: number }): Vocabulary {
  return {
    ...{
      massUnit: labels.massUnit,
      nowMs: atMs,
      opensAtMs: 0,
      ships: [{ ...shipWords(ship, labels, undefined), reason: undefined }]
    },
    ...{ flights: [], tankers: [], bases: [], types: [] }
  }
}
