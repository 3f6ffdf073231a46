/** A ship's way ahead from an instant, with the contacts the order gives it: fuel at every bend, exact between. */
import type { Position } from '../contracts/quantities.ts'
import { countedKg, feedHolds, usableKg, type TankState } from '../tanks/sheet.ts'
import type { ShipBrief } from '../plan/brief.ts'
import { advance, disconnected, flown, legAt, positionOn, type Anchor, type Leg } from './course.ts'
import { without } from './troubles.ts'
import type { Externals } from '../contracts/kinds.ts'

export interface Bend {
  atMs: number
  leg: Leg
  state: TankState
  countedKg: number
  usableKg: number
  /** What the engines have asked for since the last call and not had: planned fuel goes on so far below nothing. */
  lackedKg: number
}

/** Counted fuel as it is planned, kg: below nothing where the engines have lacked some. */
export const plannedCountedKg = ({ countedKg, lackedKg }: Pick<Bend, 'countedKg' | 'lackedKg'>): number =>
  countedKg - lackedKg

export interface ContactAhead {
  slotId: string
  stationRateKgPerS: number
  contactAtMs: number
  disconnectAtMs: number
  onLoadKg: number
}

/** From an instant until just before another. */
interface Span {
  fromMs: number
  toMs: number
}

export interface WayAhead {
  bends: readonly Bend[]
  /** State when a contact of the order begins; of the one it is in, when fuel began to flow. */
  atContact: ReadonlyMap<string, TankState>
  /** While the feed group is dry and other tanks hold fuel that does not reach it: nothing counts then. */
  starved: readonly Span[]
  /** While there is nothing at all that reaches the engines, and nothing that could. */
  empty: readonly Span[]
  /** When the low-level light of the feed group comes on. */
  feedLowAtMs: readonly number[]
}

/**
 * Bends from `from` to `toMs`: leg ends, feed events, contacts and disconnects. Counted and usable fuel are linear
 * between two bends of one leg outside a contact; at a disconnect, and where the feed group starves, two bends stand at
 * one instant. A starved feed group stays so until a contact brings it something. What was lacking is owed to the end of
 * the way: a contact does not pay for what should have been burned before it.
 */
export function wayAhead(
  ship: ShipBrief,
  legs: readonly Leg[],
  from: Anchor,
  toMs: number,
  contacts: readonly ContactAhead[],
  commanded: Externals | undefined
): WayAhead {
  const bends: Bend[] = []
  const atContact = new Map<string, TankState>()
  const starved: Span[] = []
  let dry: Span | undefined
  const empty: Span[] = []
  let nothing: Span | undefined
  let lackedKg = 0
  const feedLowAtMs: number[] = []
  const mark = (atMs: number, leg: Leg, state: TankState, moreKg = 0): void => {
    const [counted, usable] = dry ? [0, 0] : [countedKg(ship.sheet, state), usableKg(ship.sheet, state)]
    bends.push({ atMs, leg, state, countedKg: counted, usableKg: usable, lackedKg: lackedKg + moreKg })
  }
  const fly = (start: Anchor, untilMs: number): Anchor => {
    let { state } = start
    for (const leg of legs) {
      const fromMs = Math.max(start.atMs, leg.fromAtMs)
      const endMs = Math.min(untilMs, leg.toAtMs)
      if (endMs < fromMs || (endMs === fromMs && leg.toAtMs !== leg.fromAtMs)) continue
      if (fromMs === leg.fromAtMs) state = without(ship.sheet, state, leg.jettisons)
      mark(fromMs, leg, state)
      if (endMs === fromMs || endMs === Infinity) continue
      const fed = flown(ship.sheet, state, leg, (endMs - fromMs) / 1000)
      for (const event of fed.events) {
        const atS = event.atS
        const atMs = fromMs + atS * 1000
        if (event.kind === 'feed low') feedLowAtMs.push(atMs)
        const starves = event.kind === 'starved' && !dry
        if (!starves && (atS <= 0 || atS >= (endMs - fromMs) / 1000)) continue
        const { state: then, lackedKg: moreKg } = flown(ship.sheet, state, leg, atS)
        mark(atMs, leg, then, moreKg)
        if (!starves) continue
        dry = { fromMs: atMs, toMs: Infinity }
        starved.push(dry)
        mark(atMs, leg, then, moreKg)
      }
      if (fed.dryAtS !== undefined && !dry && !nothing) {
        nothing = { fromMs: fromMs + fed.dryAtS * 1000, toMs: Infinity }
        empty.push(nothing)
      }
      lackedKg += fed.lackedKg
      state = fed.state
      mark(endMs, leg, state)
    }
    return { atMs: Math.max(start.atMs, untilMs), state, contact: undefined }
  }
  let anchor = from
  if (!anchor.contact) mark(anchor.atMs, legAt(legs, anchor.atMs), anchor.state)
  for (const contact of contacts) {
    if (contact.disconnectAtMs > toMs) break
    if (!anchor.contact) {
      anchor = fly(anchor, Math.max(anchor.atMs, contact.contactAtMs))
      atContact.set(contact.slotId, anchor.state)
      const { slotId, stationRateKgPerS, contactAtMs } = contact
      anchor = {
        ...anchor,
        contact: { slotId, stationRateKgPerS, hookedAtMs: contactAtMs, flowAtMs: anchor.atMs, atFlow: anchor.state }
      }
    } else if (anchor.contact.slotId === contact.slotId) {
      const { atFlow, flowAtMs } = anchor.contact
      atContact.set(contact.slotId, atFlow ?? advance(ship, legs, anchor, flowAtMs).state)
    }
    const leg = legAt(legs, anchor.atMs)
    mark(anchor.atMs, leg, anchor.state)
    anchor = disconnected(
      ship,
      legs,
      anchor,
      Math.max(anchor.atMs, contact.disconnectAtMs),
      contact.onLoadKg,
      commanded
    )
    if (feedHolds(ship.sheet, anchor.state)) {
      if (dry) dry.toMs = anchor.atMs
      if (nothing) nothing.toMs = anchor.atMs
      dry = nothing = undefined
    }
    mark(anchor.atMs, leg, anchor.state)
  }
  if (anchor.contact) anchor = { ...advance(ship, legs, anchor, anchor.atMs), contact: undefined }
  fly(anchor, toMs)
  return { bends, atContact, starved, empty, feedLowAtMs }
}

/** Whether the feed group is dry at an instant of the way while other tanks hold fuel. */
export const starvedAt = ({ starved }: WayAhead, atMs: number): boolean =>
  starved.some(({ fromMs, toMs }) => fromMs <= atMs && atMs < toMs)

/**
 * First instant at which a fuel falls below a level on the way; undefined when it never does. The level may change
 * from leg to leg and along a leg; the spare is concave between bends, so its sign at the bends tells whether it does.
 */
export function firstBelow(
  bends: readonly Bend[],
  levelKg: (leg: Leg, at: Position) => number | undefined,
  until: (bend: Bend) => boolean = () => false
): number | undefined {
  for (let i = 0; i + 1 < bends.length; i++) {
    const a = bends[i]
    const b = bends[i + 1]
    if (!a || !b || until(a)) return undefined
    if (a.leg !== b.leg) continue
    const spare = (shareOf: number): number | undefined => {
      const atMs = a.atMs + shareOf * (b.atMs - a.atMs)
      const level = levelKg(a.leg, positionOn(a.leg, atMs))
      return level === undefined ? undefined : a.countedKg + shareOf * (b.countedKg - a.countedKg) - level
    }
    const first = spare(0)
    const last = spare(1)
    if (first === undefined || last === undefined) continue
    if (first < 0) return a.atMs
    if (last >= 0) continue
    let low = 0
    let high = 1
    // To a millisecond: an hour takes 22 halvings.
    for (let step = 0; step < 40 && (high - low) * (b.atMs - a.atMs) > 0.5; step++) {
      const middle = (low + high) / 2
      if ((spare(middle) ?? 0) >= 0) low = middle
      else high = middle
    }
    return a.atMs + low * (b.atMs - a.atMs)
  }
  return undefined
}
