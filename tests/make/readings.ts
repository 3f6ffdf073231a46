import type { Plan } from '../../shared/contracts/plan.ts'
import type { Reading } from '../../shared/contracts/readings.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { KG_PER_LB, MS_PER_MIN } from '../../shared/units.ts'
import { chance } from '../shared/order/chance.ts'
import { MemoryEvent } from './event.ts'

/** What gauges show, each second, of ships that are not quite what the plan says of them. */
export interface Gauges {
  at: (atMs: number) => (Reading & { atMs: number })[]
}

const LOSES_EVERY = 20
const LOST_SHARE = 0.1

/**
 * Gauges of all ships of a plan (constructed): burns up to 5 % off the sheet, each gauge off by up to 0.5 % of what it
 * can show and unsteady by 0.1 % of it, read to 10 lb; every twentieth ship loses a tenth of its fuel at once. Seeded.
 */
export function gaugesOf(plan: Plan, { fromMs, seed }: { fromMs: number; seed: number }): Gauges {
  const { state } = new MemoryEvent(plan)
  const dice = chance(seed)
  const internal = new Set(plan.receiverTypes.flatMap((type) => (type.gauge === 'internal' ? [type.id as string] : [])))
  const typeOf = new Map(plan.flights.map((flight) => [flight.id as string, flight.receiverTypeId as string]))
  const planned = (atMs: number) => estimate(state, atMs)?.ships ?? []
  const ships = planned(fromMs)
    .toSorted((a, b) => (a.shipId < b.shipId ? -1 : 1))
    .map((ship, index) => {
      const covers = internal.has(typeOf.get(ship.flightId) ?? '') ? ('internal' as const) : ('total' as const)
      const shown = ship.tanks.filter((tank) => covers === 'total' || !tank.external)
      const scaleKg = shown.reduce((kg, tank) => kg + tank.capacityKg, 0)
      const [burnFactor, offKg] = [dice.number(0.95, 1.05), dice.number(-0.005, 0.005) * scaleKg]
      const losesAtMs = index % LOSES_EVERY === 0 ? fromMs + dice.number(1, 9) * MS_PER_MIN : Infinity
      return { shipId: ship.shipId, covers, scaleKg, burnFactor, offKg, losesAtMs }
    })
  // Worked out at whole minutes, straight between them.
  const minutes = new Map<number, ReadonlyMap<string, number>>()
  const atMinute = (minute: number): ReadonlyMap<string, number> => {
    const known = minutes.get(minute)
    if (known) return known
    const shown = new Map(planned(fromMs + minute * MS_PER_MIN).map((one) => [one.shipId, one.gaugeKg]))
    minutes.set(minute, shown)
    return shown
  }
  const gaugeKg = (shipId: string, atMs: number): number => {
    const minute = Math.floor((atMs - fromMs) / MS_PER_MIN)
    const share = (atMs - fromMs) / MS_PER_MIN - minute
    return (atMinute(minute).get(shipId) ?? 0) * (1 - share) + (atMinute(minute + 1).get(shipId) ?? 0) * share
  }
  return {
    at: (atMs) => {
      return ships.map(({ shipId, covers, scaleKg, burnFactor, offKg, losesAtMs }) => {
        const beganKg = gaugeKg(shipId, fromMs)
        const lostKg = atMs < losesAtMs ? 0 : LOST_SHARE * scaleKg
        const trueKg = beganKg - burnFactor * (beganKg - gaugeKg(shipId, atMs)) - lostKg
        const shownKg = Math.min(scaleKg, Math.max(0, trueKg + offKg + dice.number(-0.001, 0.001) * scaleKg))
        const fuel = { value: Math.round(shownKg / KG_PER_LB / 10) * 10, unit: 'lb' as const }
        return { shipId: shipId as Reading['shipId'], atMs, fuel, covers }
      })
    }
  }
}
