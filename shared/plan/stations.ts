/** May a receiver use a station: method, clearance, speed. A "no" has its reason. */
import type { ProblemCode } from '../contracts/problem.ts'
import { methodFits, sharedBand } from '../order/rules.ts'
import { clearanceKey, type Brief, type FlightBrief, type StationBrief } from './brief.ts'

export interface Misfit {
  code: Extract<ProblemCode, 'method-mismatch' | 'no-clearance' | 'speed-mismatch'>
  detail: string
}

/** Undefined where the flight's type may use the station. */
export function stationFault(
  plan: Brief,
  flight: Pick<FlightBrief, 'method' | 'receiverTypeId'>,
  station: StationBrief
): Misfit | undefined {
  if (methodFits({ receiver: flight.method, station: station.method })) {
    return { code: 'method-mismatch', detail: `the ship refuels by ${flight.method}, the station by ${station.method}` }
  }
  const tankerTypeId = plan.tankers.get(station.tankerId)?.tankerTypeId ?? ''
  if (!plan.clearances.has(clearanceKey(flight.receiverTypeId, tankerTypeId, station.stationId))) {
    return { code: 'no-clearance', detail: `no clearance for ${flight.receiverTypeId} on ${tankerTypeId}` }
  }
  const receiver = plan.receiverSpeeds.get(flight.receiverTypeId)
  const tanker = plan.tankerSpeeds.get(tankerTypeId)
  if (receiver && tanker && !sharedBand(receiver, tanker)) {
    const band = (one: typeof receiver) => `${one.lowMPerS.toFixed(0)} to ${one.highMPerS.toFixed(0)} m/s`
    return {
      code: 'speed-mismatch',
      detail: `the receiver refuels at ${band(receiver)}, the tanker at ${band(tanker)}`
    }
  }
  return undefined
}

/** The speeds at which a flight and a tanker can refuel together, m/s; undefined where there is none. */
export function refuellingBand(plan: Brief, flight: FlightBrief, tankerTypeId: string) {
  const receiver = plan.receiverSpeeds.get(flight.receiverTypeId)
  const tanker = plan.tankerSpeeds.get(tankerTypeId)
  return receiver && tanker ? sharedBand(receiver, tanker) : undefined
}
