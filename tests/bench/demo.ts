import { demoPlan } from '../../server/demo/plan.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import {
  brief,
  type FlightBrief,
  type ShipBrief,
  type StationBrief,
  type TankerBrief
} from '../../shared/plan/brief.ts'
import { MemoryEvent } from '../make/event.ts'

/** The opening of the demonstration event in every row. */
export const OPENS_AT_MS = Date.UTC(2030, 2, 4, 12)
export const MINUTE_MS = 60_000
export const PLAN = demoPlan(OPENS_AT_MS)

const resolved = brief(PLAN)

export function found<Value>(value: Value | undefined, what: string): Value {
  if (value === undefined) throw new RangeError(`${what} is not in the demonstration plan`)
  return value
}

interface Pair {
  ship: ShipBrief
  flight: FlightBrief
  station: StationBrief
  tanker: TankerBrief
}

/** A ship of the demonstration and a station it uses there. */
export function pairOf(shipId: string, stationKey: string): Pair {
  const ship = found(resolved.ships.get(shipId), shipId)
  const station = found(resolved.stations.get(stationKey), stationKey)
  return {
    ship,
    station,
    flight: found(resolved.flights.get(ship.flightId), ship.flightId),
    tanker: found(resolved.tankers.get(station.tankerId), station.tankerId)
  }
}

export const RESOLVED = resolved

/** The demonstration's log with so many facts, every one decided on what was there before: calls above all. */
export function longLog(count: number): readonly Fact[] {
  const event = new MemoryEvent(PLAN)
  const ships = PLAN.flights.flatMap((flight) => flight.ships)
  for (let turn = 0; event.log.length < count; turn++) {
    const ship = ships[turn % ships.length]
    const atMs = OPENS_AT_MS + turn * 1_000
    const refused = ship && event.ask(askOf(turn, ship.id), atMs)
    if (refused) throw new Error(`${refused.code}: ${refused.detail}`)
  }
  return event.log
}

/** Mostly fuel of a ship; now and then a tanker's fuel, a station that closes and opens again, a pin. */
function askOf(turn: number, shipId: string): Parameters<MemoryEvent['ask']>[0] {
  const tanker = found(PLAN.tankers[turn % PLAN.tankers.length], 'a tanker')
  const stationId = found(PLAN.tankerTypes.find(({ id }) => id === tanker.tankerTypeId)?.stations[0], 'a station').id
  if (turn % 10 === 7) return { kind: 'callTankerFuel', tankerId: tanker.id, fuel: { value: 20_000, unit: 'kg' } }
  if (turn % 50 === 9) return { kind: 'setStation', tankerId: tanker.id, stationId, status: 'suspect' }
  if (turn % 50 === 19) return { kind: 'setStation', tankerId: tanker.id, stationId, status: 'good' }
  if (turn % 50 === 29) {
    const slot = found(PLAN.orders[0]?.sequences[0]?.slots[turn % 8], 'a slot')
    return { kind: 'setPin', slotId: slot.id, pinned: turn % 100 === 29, serveAnyway: false }
  }
  return { kind: 'callFuel', shipId, fuel: { value: 2_000 + (turn % 700), unit: 'kg' }, covers: 'total' }
}
