/** The way from a track to its abort base, as a picture draws it. */
import type { Position } from '../contracts/quantities.ts'
import { legTimeS } from '../fuel/burn.ts'
import { distanceM } from '../geodesy.ts'
import { abortBaseOf } from './abort.ts'
import type { Brief, FlightBrief } from './brief.ts'

export interface AbortLeg {
  readonly baseId: string
  /** The turn point of the orbit that asks for most: the one furthest in time. */
  readonly from: Position
  readonly to: Position
  readonly distanceM: number
}

/**
 * From the turn point of a track that asks for most abort fuel to the base that counts for a flight; undefined where there
 * is no such base, or the wind keeps the flight from it. Checked: tests/shared/live/lines.test.ts, the demonstration.
 */
export function abortLegOf(plan: Brief, flight: FlightBrief, trackId: string): AbortLeg | undefined {
  const track = plan.tracks.get(trackId)
  const { baseId } = abortBaseOf(plan, flight, trackId)
  const to = plan.bases.get(baseId)
  if (!track || !to) return undefined
  const home = { trueAirspeedMPerS: flight.recoveryAirspeedMPerS, wind: plan.wind }
  let worst: { from: Position; timeS: number } | undefined
  for (const from of track.orbit) {
    const timeS = legTimeS(from, to, home)
    if (timeS === undefined) return undefined
    if (timeS > (worst?.timeS ?? -1)) worst = { from, timeS }
  }
  return worst && { baseId, from: worst.from, to, distanceM: distanceM(worst.from, to) }
}
