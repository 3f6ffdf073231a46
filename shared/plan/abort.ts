/**
 * Bases to land at: who may, and when; and which of the two bases of a track a flight aborts to. It follows from the plan
 * and from what is closed, never from the order: a limit that moved with the order would move the order again.
 */
import type { AbortWhy } from '../contracts/kinds.ts'
import { legTimeS } from '../fuel/burn.ts'
import type { Brief, FlightBrief, TrackBrief } from './brief.ts'

/** Who may land at a base, and when. */
export interface Landing {
  opensAtMs: number
  closesAtMs: number
  /** Receiver types; undefined: all of them. */
  fitFor: ReadonlySet<string> | undefined
  /** For landing, by what the event has told. */
  closed: boolean
}

export interface AbortBase {
  baseId: string
  /** Whether there is abort fuel: the base is within reach, fit, and open at some time of the visits. */
  stands: boolean
  /** Why the first abort base of the track does not count; undefined where it does. */
  why: AbortWhy | undefined
}

export const isFit = (plan: Brief, baseId: string, receiverTypeId: string): boolean =>
  plan.landings.get(baseId)?.fitFor?.has(receiverTypeId) !== false

/** Whether somebody may land at a base at an instant: it is open then, and nobody has told that it is closed. */
export function isOpenAt(plan: Brief, baseId: string, atMs: number): boolean {
  const its = plan.landings.get(baseId)
  return its !== undefined && !its.closed && its.opensAtMs <= atMs && atMs <= its.closesAtMs
}

/** When a flight that left a track at an instant would be at a base, ms; undefined where the wind keeps it from it. */
export function arrivalAtMs(
  plan: Brief,
  {
    trueAirspeedMPerS,
    trackId,
    baseId,
    fromMs
  }: { trueAirspeedMPerS: number; trackId: string; baseId: string; fromMs: number }
): number | undefined {
  const from = plan.tracks.get(trackId)?.controlPoint
  const to = plan.bases.get(baseId)
  const timeS = from && to && legTimeS(from, to, { trueAirspeedMPerS, wind: plan.wind })
  return timeS === undefined ? undefined : fromMs + timeS * 1000
}

const known = new WeakMap<FlightBrief, Map<string, AbortBase>>()

/**
 * The base that counts for abort fuel of a flight on a track: the first abort base, or the second one where the first is
 * closed, not fit for its type, out of reach, or not open whenever the flight may come from its visits as planned, from
 * ready to push. A base that is open for a part of that time counts where the other is not open for all of it.
 * Checked: tests/shared/plan/abort.test.ts (constructed, worked out by hand).
 */
export function abortBaseOf(plan: Brief, flight: FlightBrief, trackId: string): AbortBase {
  let byTrack = known.get(flight)
  if (!byTrack) known.set(flight, (byTrack = new Map<string, AbortBase>()))
  let its = byTrack.get(trackId)
  if (!its) byTrack.set(trackId, (its = chosen(plan, flight, plan.tracks.get(trackId))))
  return its
}

/** The base it recovers to from a place of its route: from a visit the abort base, else its recovery base. */
export function homeBaseOf(plan: Brief, flight: FlightBrief, visit: { tankerId: string } | undefined): string {
  const trackId = visit && plan.tankers.get(visit.tankerId)?.trackId
  return trackId === undefined ? flight.recoveryBaseId : abortBaseOf(plan, flight, trackId).baseId
}

interface Judged {
  baseId: string
  /** Undefined: nothing is against it at all. */
  why: AbortWhy | undefined
  /** Nothing but that it is not open all of the time. */
  partly: boolean
}

function chosen(plan: Brief, flight: FlightBrief, track: TrackBrief | undefined): AbortBase {
  if (!track) return { baseId: '', stands: false, why: undefined }
  const first = judged(plan, flight, track, track.abortBaseId)
  if (first.why === undefined) return { baseId: first.baseId, stands: true, why: undefined }
  const { secondAbortBaseId } = track
  const second = secondAbortBaseId === undefined ? undefined : judged(plan, flight, track, secondAbortBaseId)
  if (second && (second.why === undefined || (second.partly && !first.partly)))
    return { baseId: second.baseId, stands: true, why: first.why }
  if (first.partly) return { baseId: first.baseId, stands: true, why: undefined }
  // Whoever has none is still judged by a figure: to a base that the wind lets it reach.
  const figured = second && !isReached(plan, flight, track, first.baseId) ? second : first
  return { baseId: figured.baseId, stands: false, why: first.why }
}

/** Whether there is abort fuel to it from a visit whose contact comes then: it stands, and is open when it would be there. */
export function hasAbortBase(plan: Brief, flight: FlightBrief, trackId: string, contactAtMs: number): boolean {
  const { baseId, stands } = abortBaseOf(plan, flight, trackId)
  const its = plan.landings.get(baseId)
  if (!stands || !its) return false
  if (its.opensAtMs === -Infinity && its.closesAtMs === Infinity) return true
  const trueAirspeedMPerS = flight.recoveryAirspeedMPerS
  const atMs = arrivalAtMs(plan, { trueAirspeedMPerS, trackId, baseId, fromMs: contactAtMs })
  return atMs !== undefined && isOpenAt(plan, baseId, atMs)
}

/** Some ground speed is left on the way to the base from everywhere on the orbit. */
function isReached(plan: Brief, flight: FlightBrief, track: TrackBrief, baseId: string): boolean {
  const to = plan.bases.get(baseId)
  const home = { trueAirspeedMPerS: flight.recoveryAirspeedMPerS, wind: plan.wind }
  return to !== undefined && track.orbit.every((point) => legTimeS(point, to, home) !== undefined)
}

function judged(plan: Brief, flight: FlightBrief, track: TrackBrief, baseId: string): Judged {
  const against = (why: AbortWhy, partly = false): Judged => ({ baseId, why, partly })
  const its = plan.landings.get(baseId)
  if (!its || its.closed) return against('closed')
  if (!isFit(plan, baseId, flight.receiverTypeId)) return against('not fit')
  const alwaysOpen = its.opensAtMs === -Infinity && its.closesAtMs === Infinity
  // Without another base to turn to, reach is judged with the fuel it takes.
  if (alwaysOpen && track.secondAbortBaseId === undefined) return { baseId, why: undefined, partly: false }
  if (track.secondAbortBaseId !== undefined && !isReached(plan, flight, track, baseId)) return against('out of reach')
  const { recoveryAirspeedMPerS: trueAirspeedMPerS } = flight
  const { fromMs, toMs } = visitTimes(plan, flight, track.id)
  const arrives = (atMs: number): number =>
    arrivalAtMs(plan, { trueAirspeedMPerS, trackId: track.id, baseId, fromMs: atMs }) ?? Infinity
  const [earliestMs, latestMs] = [arrives(fromMs), arrives(toMs)]
  if (its.opensAtMs <= earliestMs && latestMs <= its.closesAtMs) return { baseId, why: undefined, partly: false }
  return against('not open', its.opensAtMs <= latestMs && earliestMs <= its.closesAtMs)
}

/** From when to when the plan has a flight at its visits on a track; of all its visits where none is planned there. */
function visitTimes(plan: Brief, flight: FlightBrief, trackId: string): { fromMs: number; toMs: number } {
  const here = flight.visits.filter((visit) => plan.tankers.get(visit.tankerId)?.trackId === trackId)
  const visits = here.length > 0 ? here : flight.visits
  return {
    fromMs: Math.min(...visits.map((visit) => visit.readyAtMs)),
    toMs: Math.max(...visits.map((visit) => visit.plannedPushAtMs))
  }
}
