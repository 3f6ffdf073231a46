import type { Allowed } from '../../../../shared/order/suggest/field.ts'
import type { OrderIn } from '../../../../shared/order/times.ts'
import { chance } from '../chance.ts'
import { MINUTE_MS, push, slot, station, tanker, type OneTank, type OneTankShip } from '../make.ts'

/*
 * Fleets of any size (constructed): flights in turn on the stations that take them, pushes about as long after now as the
 * services take, so that some are late in every order. The same for the same seed.
 */

export interface FleetOf {
  readonly ships: number
  readonly shipsAFlight: number
  readonly tankers: number
  /** Two at each tanker. With drogues the second one is a drogue, and each second flight takes its fuel there only. */
  readonly drogues?: boolean
  /** Flights may be split up. */
  readonly spread?: boolean
  /** Ships of a flight are alike but for their names. */
  readonly alike?: boolean
  /** Flights that push together; each for itself where left out. */
  readonly flightsAGroup?: number
}

export interface Fleet extends Allowed {
  readonly input: OrderIn<OneTank>
}

const STATIONS_A_TANKER = 2

export function fleetOf(of: FleetOf, seed: number): Fleet {
  const { number, whole } = chance(seed)
  const flightOf = (ship: number): number => Math.floor(ship / of.shipsAFlight)
  const flights = flightOf(of.ships - 1) + 1
  const stations = Array.from({ length: of.tankers * STATIONS_A_TANKER }, (_, k) => {
    const tankerId = `tanker-${String(Math.floor(k / STATIONS_A_TANKER))}`
    const drogue = of.drogues === true && k % STATIONS_A_TANKER === 1
    return station(`${tankerId}/${String(k % STATIONS_A_TANKER)}`, {
      tankerId,
      hookUpMs: (drogue ? 2 : 1.5) * MINUTE_MS,
      changeoverWithinFlightMs: 0.5 * MINUTE_MS,
      changeoverBetweenMs: (drogue ? 3 : 2) * MINUTE_MS
    })
  })
  const takes = (ship: number): readonly string[] =>
    stations
      .filter((_, k) => of.drogues !== true || k % STATIONS_A_TANKER === flightOf(ship) % STATIONS_A_TANKER)
      .map(({ id }) => id)
  const together = of.flightsAGroup ?? 1
  const groupOf = (flight: number): string => `flight-${String(Math.floor(flight / together) * together)}`
  const like = new Map<number, { readonly ship: Partial<OneTankShip>; readonly weight: number }>()
  const slots = Array.from({ length: of.ships }, (_, i) => {
    const flight = flightOf(i)
    const flightId = `flight-${String(flight)}`
    const own = { readyAtMs: number(0, 12) * MINUTE_MS, fuelKg: number(2200, 3000), rateKgPerS: number(8, 20) }
    const drawn = { ship: own, weight: 2 ** whole(0, 4) }
    const { ship, weight } = of.alike === true ? (like.get(flight) ?? drawn) : drawn
    like.set(flight, { ship, weight })
    return slot(
      `ship-${String(i)}`,
      { ...ship, burnKgPerS: 0.6, abortKg: 800, targetKg: 4500 },
      { flightId, visitId: flightId, pushGroupId: groupOf(flight), requiredAtPushKg: 2500, weight }
    )
  })
  const sequences = new Map(stations.map(({ id }) => [id, [] as string[]]))
  slots.forEach(({ id }, i) => {
    const here = takes(i)
    sequences.get(here[flightOf(i) % here.length] ?? '')?.push(id)
  })
  const turns = of.ships / stations.length
  const input: OrderIn<OneTank> = {
    slots,
    stations,
    sequences,
    inForce: sequences,
    pushGroups: Array.from({ length: flights }, (_, i) =>
      push(`flight-${String(i)}`, { plannedAtMs: number(3.5, 5.5) * turns * MINUTE_MS })
    ),
    tankers: Array.from({ length: of.tankers }, (_, t) => tanker(`tanker-${String(t)}`)),
    nowMs: 0
  }
  return {
    input,
    mayUse: new Map(slots.map(({ id }, i) => [id, takes(i)])),
    ...(of.spread === true ? { maySpread: new Set(slots.map(({ flightId }) => flightId)) } : {})
  }
}
