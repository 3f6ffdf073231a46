/**
 * Where a ship is on its route at any event time, and what its tanks hold there: the planned phases as the calls
 * have shifted them, with contacts as known inputs. Exact between events; nothing is stepped.
 */
import type { PhaseKind } from '../contracts/kinds.ts'
import type { Position } from '../contracts/quantities.ts'
import { legTimeS } from '../fuel/burn.ts'
import { alongLeg } from '../geodesy.ts'
import { refitted, type Brief, type FlightBrief, type ShipBrief, type VisitBrief } from '../plan/brief.ts'
import { dumpFor, dumpTimeS } from '../tanks/dump.ts'
import { feed, type FeedResult } from '../tanks/feed.ts'
import { fillCurve, stopAt } from '../tanks/fill.ts'
import { type Figure } from '../tanks/drain.ts'
import { readingOf, withReading, type Reading } from '../tanks/reading.ts'
import { externalKg, internalKg, totalKg, usableKg, type Sheet, type TankState } from '../tanks/sheet.ts'
import { asRead, called, carriesExternals, without, withTrouble } from './troubles.ts'
import { quantityKg } from '../units.ts'
import { currentVisit, type Standing } from './standing.ts'
import type { ShipRecord } from './state.ts'

export interface Leg {
  /** Place in the route; -1 before the start, the number of phases after its end. */
  phaseIndex: number
  phaseId: string | undefined
  kind: PhaseKind | 'refuelling' | 'planned' | 'diverting' | 'ended'
  fromAtMs: number
  toAtMs: number
  burnKgPerS: number
  from: Position
  to: Position
  visit: VisitBrief | undefined
  /** Groups the plan throws off when the leg begins. */
  jettisons: readonly string[]
  /** Usable fuel down to which it dumps, kg. */
  dumpToKg: number | undefined
}

const PLAIN: Pick<Leg, 'visit' | 'jettisons' | 'dumpToKg'> = { visit: undefined, jettisons: [], dumpToKg: undefined }

/** The legs of a ship's course, in time, without gaps, from the beginning of time to its end. */
export function legsOf(
  plan: Brief,
  flight: FlightBrief,
  ship: ShipBrief,
  its: Standing,
  nowMs: number,
  pushAtMs: (visit: VisitBrief) => number | undefined
): Leg[] {
  const origin = flight.phases[0]?.from ?? { latitudeDeg: 0, longitudeDeg: 0 }
  const legs: Leg[] = [
    {
      phaseIndex: -1,
      phaseId: undefined,
      kind: 'planned',
      fromAtMs: -Infinity,
      toAtMs: flight.startsAtMs,
      burnKgPerS: 0,
      from: origin,
      to: origin,
      ...PLAIN
    }
  ]
  const current = currentVisit(flight.visits, its)
  let t = flight.startsAtMs
  for (const [phaseIndex, phase] of flight.phases.entries()) {
    const burnKgPerS = ship.plannedBurnsKgPerS[phaseIndex] ?? 0
    const { visit } = phase
    let toAtMs = t + phase.durationMs
    if (visit) {
      const pushed = its.pushed.get(visit.id)
      // As it has said, else as planned; until then it goes on as in the phase before.
      const dueAtMs = its.ready.get(visit.id) ?? t
      const late = visit === current && its.left === undefined ? Math.max(dueAtMs, nowMs) : dueAtMs
      const ready = its.joined.get(visit.id) ?? (pushed === undefined ? late : Math.min(dueAtMs, pushed))
      shiftEnd(legs, ready)
      t = ready
      const waits = visit === current ? Math.max(ready, nowMs) : ready
      toAtMs = Math.max(ready, pushed ?? Math.max(pushAtMs(visit) ?? visit.plannedPushAtMs, waits))
    }
    legs.push({
      phaseIndex,
      phaseId: phase.id,
      kind: phase.kind,
      fromAtMs: t,
      toAtMs,
      burnKgPerS,
      from: phase.from,
      to: phase.to,
      visit,
      jettisons: phase.jettisons,
      dumpToKg: phase.dumpToKg
    })
    t = toAtMs
  }
  const end = legs.at(-1)?.to ?? origin
  legs.push(ended(flight.phases.length, t, end))
  if (its.left) divert(plan, ship, legs, its.left)
  if (its.landed) {
    cut(legs, its.landed.atMs)
    legs.push(ended(flight.phases.length, its.landed.atMs, plan.bases.get(its.landed.baseId) ?? end))
  }
  return its.jettisoned.length > 0 ? asFitted(plan, ship, legs, its) : legs
}

/** The legs with the burn of what was fitted when they were flown: a jettison in the middle of one makes two of it. */
function asFitted(plan: Brief, ship: ShipBrief, legs: readonly Leg[], its: Standing): Leg[] {
  const carried = plan.ships.get(ship.id) ?? ship
  const turns = [...new Set(its.jettisoned.map((one) => one.atMs))].sort((a, b) => a - b)
  const shipAt = (atMs: number): ShipBrief =>
    refitted(plan, carried, {
      ...ship.fit,
      jettisoned: its.jettisoned.filter((one) => one.atMs <= atMs).map((one) => one.groupId)
    })
  return legs.flatMap((leg) => {
    const bounds = [leg.fromAtMs, ...turns.filter((atMs) => atMs > leg.fromAtMs && atMs < leg.toAtMs), leg.toAtMs]
    return bounds.slice(1).map((toAtMs, part): Leg => {
      const fromAtMs = bounds[part] ?? leg.fromAtMs
      const { plannedBurnsKgPerS, divertBurnKgPerS } = shipAt(fromAtMs)
      return {
        ...leg,
        fromAtMs,
        toAtMs,
        from: positionOn(leg, fromAtMs),
        to: positionOn(leg, toAtMs),
        jettisons: part === 0 ? leg.jettisons : [],
        burnKgPerS:
          leg.burnKgPerS === 0
            ? 0
            : leg.kind === 'diverting'
              ? divertBurnKgPerS
              : (plannedBurnsKgPerS[leg.phaseIndex] ?? leg.burnKgPerS)
      }
    })
  })
}

const ended = (phaseIndex: number, fromAtMs: number, at: Position): Leg => ({
  phaseIndex,
  phaseId: undefined,
  kind: 'ended',
  fromAtMs,
  toAtMs: Infinity,
  burnKgPerS: 0,
  from: at,
  to: at,
  ...PLAIN
})

/** The ship arrived earlier or later than planned: the legs flown end at the instant it was seen. */
function shiftEnd(legs: Leg[], atMs: number): void {
  for (const leg of legs) {
    if (leg.fromAtMs > atMs) leg.fromAtMs = atMs
    if (leg.toAtMs > atMs) leg.toAtMs = atMs
  }
  const last = legs.at(-1)
  if (last) last.toAtMs = atMs
}

/** Ends the course at an instant, wherever the ship is then. */
function cut(legs: Leg[], atMs: number): void {
  const place = legs.findIndex((leg) => leg.toAtMs > atMs)
  const leg = legs[place]
  if (!leg) return
  const at = positionOn(leg, atMs)
  legs.length = place + 1
  leg.toAtMs = atMs
  leg.to = at
}

function divert(plan: Brief, ship: ShipBrief, legs: Leg[], left: { baseId: string; atMs: number }): void {
  cut(legs, left.atMs)
  const last = legs.at(-1)
  const to = plan.bases.get(left.baseId)
  if (!last || !to) return
  const timeS = legTimeS(last.to, to, { trueAirspeedMPerS: ship.recoveryAirspeedMPerS, wind: plan.wind }) ?? 0
  const toAtMs = left.atMs + timeS * 1000
  legs.push({
    phaseIndex: last.phaseIndex,
    phaseId: undefined,
    kind: 'diverting',
    fromAtMs: left.atMs,
    toAtMs,
    burnKgPerS: ship.divertBurnKgPerS,
    from: last.to,
    to,
    ...PLAIN
  })
  legs.push(ended(last.phaseIndex + 1, toAtMs, to))
}

/** The leg an instant lies on. */
export function legAt(legs: readonly Leg[], atMs: number): Leg {
  const leg = legs.find((one) => one.toAtMs > atMs) ?? legs.at(-1)
  if (!leg) throw new RangeError('a course without legs')
  return leg
}

/** Where the ship is on a leg; the share of the leg flown is that of its time. */
export function positionOn(leg: Leg, atMs: number): Position {
  const spanMs = leg.toAtMs - leg.fromAtMs
  if (!(spanMs > 0) || spanMs === Infinity) return leg.from
  if (leg.from === leg.to || atMs <= leg.fromAtMs) return leg.from
  if (atMs >= leg.toAtMs) return leg.to
  return alongLeg(leg.from, leg.to, (atMs - leg.fromAtMs) / spanMs)
}

/** A contact that has begun, or is planned. */
export interface ContactOn {
  slotId: string
  stationRateKgPerS: number
  hookedAtMs: number
  flowAtMs: number
  /** State when fuel began to flow, as a call since then tells of it; undefined before. */
  atFlow: TankState | undefined
}

/** What a ship holds at an instant from which its future follows. */
export interface Anchor {
  atMs: number
  state: TankState
  contact: ContactOn | undefined
}

const shutExternals = (state: TankState): TankState =>
  state.externals === 'selected' ? { ...state, externals: 'off' } : state

/** Anchor moved on along the legs; through a contact where it is in one. */
export function advance(ship: ShipBrief, legs: readonly Leg[], from: Anchor, toMs: number): Anchor {
  if (toMs <= from.atMs) return from
  const { contact } = from
  if (!contact) return { atMs: toMs, state: burned(ship, legs, from.state, from.atMs, toMs), contact }
  let { state } = from
  let atMs = from.atMs
  let { atFlow } = contact
  if (atMs < contact.flowAtMs) {
    const untilMs = Math.min(toMs, contact.flowAtMs)
    state = burned(ship, legs, shutExternals(state), atMs, untilMs)
    atMs = untilMs
  }
  if (atMs < toMs) {
    atFlow ??= state
    const burnKgPerS = legAt(legs, atMs).burnKgPerS
    const curve = fillCurve(ship.sheet, shutExternals(state), {
      stationRateKgPerS: contact.stationRateKgPerS,
      burnKgPerS
    })
    state = curve.stateAt((toMs - atMs) / 1000)
  }
  return { atMs: toMs, state, contact: { ...contact, atFlow } }
}

/** A part of one leg: burned, and dumped where the plan dumps. */
export function flown(
  sheet: Sheet,
  state: TankState,
  leg: Pick<Leg, 'burnKgPerS' | 'dumpToKg'>,
  durationS: number
): FeedResult {
  const { burnKgPerS, dumpToKg } = leg
  if (dumpToKg === undefined) return feed(sheet, state, burnKgPerS, durationS)
  const dumpS = Math.min(durationS, dumpTimeS(sheet, state, burnKgPerS, dumpToKg) ?? durationS)
  const dumped = dumpFor(sheet, state, burnKgPerS, dumpS)
  const rest = feed(sheet, dumped.state, burnKgPerS, durationS - dumpS)
  return {
    state: rest.state,
    events: [...dumped.events, ...rest.events.map((event) => ({ ...event, atS: event.atS + dumpS }))],
    starvedAtS: dumped.starvedAtS ?? (rest.starvedAtS === undefined ? undefined : rest.starvedAtS + dumpS)
  }
}

/** Fuel burned along the legs, by the feed. */
function burned(ship: ShipBrief, legs: readonly Leg[], from: TankState, fromMs: number, toMs: number): TankState {
  let state = from
  for (const leg of legs) {
    const start = Math.max(fromMs, leg.fromAtMs)
    const stop = Math.min(toMs, leg.toAtMs)
    // A leg of no length burns nothing; what it throws off is gone all the same.
    if (stop < start || (stop === start && leg.toAtMs !== leg.fromAtMs)) continue
    if (start === leg.fromAtMs) state = without(ship.sheet, state, leg.jettisons)
    if (stop === start || leg.burnKgPerS === 0) continue
    state = flown(ship.sheet, state, leg, (stop - start) / 1000).state
  }
  return state
}

/** External transfer after a contact: as commanded, else selected again wherever externals hold something. */
export function reselected(
  ship: ShipBrief,
  state: TankState,
  commanded: TankState['externals'] | undefined
): TankState {
  return { ...state, externals: commanded ?? (externalKg(ship.sheet, state) > 0 ? 'selected' : 'off') }
}

/** Ends a contact at an instant, with the off-load called (kg) or as computed. */
export function disconnected(
  ship: ShipBrief,
  legs: readonly Leg[],
  anchor: Anchor,
  atMs: number,
  offLoadKg: number | undefined,
  commanded: TankState['externals'] | undefined
): Anchor {
  const reached = advance(ship, legs, anchor, atMs)
  const contact = reached.contact
  if (!contact) return reached
  const after = (state: TankState): Anchor => ({
    atMs: reached.atMs,
    state: reselected(ship, state, commanded),
    contact: undefined
  })
  if (offLoadKg === undefined || !contact.atFlow) return after(reached.state)
  const burnKgPerS = legAt(legs, contact.flowAtMs).burnKgPerS
  const curve = fillCurve(ship.sheet, shutExternals(contact.atFlow), {
    stationRateKgPerS: contact.stationRateKgPerS,
    burnKgPerS
  })
  const stop = stopAt(curve, { kind: 'onLoad', onLoadKg: offLoadKg })
  // A flow slower than the sheet's took longer: the rest of the time only burned.
  const restMs = reached.atMs - contact.flowAtMs - stop.durationS * 1000
  const state = restMs > 0 ? burned(ship, legs, stop.state, reached.atMs - restMs, reached.atMs) : stop.state
  return after(state)
}

/** What a call in contact tells of the instant at which fuel began to flow: filled from there, it is what was called. */
function asCalled(ship: ShipBrief, legs: readonly Leg[], anchor: Anchor, covers: Figure['covers']): Anchor {
  const { contact, state, atMs } = anchor
  if (!contact?.atFlow) return anchor
  const held = (tanks: TankState): number => (covers === 'internal' ? internalKg : totalKg)(ship.sheet, tanks)
  const burnKgPerS = legAt(legs, contact.flowAtMs).burnKgPerS
  const flow = { stationRateKgPerS: contact.stationRateKgPerS, burnKgPerS }
  let { atFlow } = contact
  // Kilogram for kilogram, but where a tank closes on the way: there a few more looks.
  for (let look = 0; look < LOOKS_MOST; look++) {
    const now = fillCurve(ship.sheet, shutExternals(atFlow), flow).stateAt((atMs - contact.flowAtMs) / 1000)
    const offKg = held(state) - held(now)
    if (Math.abs(offKg) < 1e-9) break
    atFlow = withReading(ship.sheet, atFlow, { figureKg: Math.max(0, held(atFlow) + offKg), covers })
  }
  return { ...anchor, contact: { ...contact, atFlow } }
}
const LOOKS_MOST = 8
/** Readings that say something of the externals. */
const TELLING: ReadonlySet<Reading> = new Set(['in band', 'unclear', 'empty', 'not giving'])

/** What a contact that is over did to the ship. */
export interface Flown {
  slotId: string
  onLoadKg: number
  fuelAtContactKg: number
  fuelAtDisconnectKg: number
  after: TankState
}

export interface Folded {
  anchor: Anchor
  flown: ReadonlyMap<string, Flown>
  /** Calls folded. */
  count: number
  /** What the last reading of an internal gauge says of the externals. */
  read: Reading | undefined
  /** Tanks in trouble by a reading alone, nobody called them, as `group/tank` indices. */
  readTroubles: ReadonlySet<string>
  /** What follows from this anchor and is worth keeping: ready states and service curves, by what they depend on. */
  kept: Map<string, unknown>
}

const folds = new WeakMap<object, { plan: Brief; folded: Folded }>()

/**
 * Folds the calls of a ship up to an event time: what it holds at the last of them, and what each contact did.
 * The legs flown depend on the record alone, so the result is kept by record for as long as no further call counts.
 */
export function foldCalls(
  plan: Brief,
  ship: ShipBrief,
  record: ShipRecord,
  its: Standing,
  legs: readonly Leg[],
  nowMs: number
): Folded {
  let count = record.length
  while (count > 0 && (record[count - 1]?.atMs ?? 0) > nowMs) count -= 1
  const key = record.length === 0 ? ship : record
  const known = folds.get(key)
  if (known?.plan === plan && known.folded.count === count) return known.folded
  const folded = fold(plan, ship, record.slice(0, count), its, legs)
  folds.set(key, { plan, folded })
  return folded
}

function fold(plan: Brief, ship: ShipBrief, calls: ShipRecord, its: Standing, legs: readonly Leg[]): Folded {
  let anchor: Anchor = { atMs: legs[0]?.toAtMs ?? 0, state: ship.start, contact: undefined }
  let commanded: TankState['externals'] | undefined
  const flown = new Map<string, Flown>()
  let read: Reading | undefined
  const readTroubles = new Set<string>()
  /** Since a reading left it in doubt whether the externals give: the ship as it would be if they did. */
  let giving: Anchor | undefined
  /** What the externals of the anchor hold was taken out for a doubt. */
  let emptyEnd = false
  const end = (atMs: number, offLoadKg: number | undefined): void => {
    const open = advance(ship, legs, anchor, atMs)
    anchor = disconnected(ship, legs, open, atMs, offLoadKg, commanded)
    const { contact } = open
    if (!contact) return
    const before = contact.atFlow ?? open.state
    const burnedKg = (legAt(legs, contact.flowAtMs).burnKgPerS * Math.max(0, atMs - contact.flowAtMs)) / 1000
    flown.set(contact.slotId, {
      slotId: contact.slotId,
      onLoadKg: offLoadKg ?? Math.max(0, totalKg(ship.sheet, anchor.state) - totalKg(ship.sheet, before) + burnedKg),
      fuelAtContactKg: usableKg(ship.sheet, before),
      fuelAtDisconnectKg: usableKg(ship.sheet, anchor.state),
      after: anchor.state
    })
  }
  for (const fact of calls) {
    const atMs = Math.max(fact.atMs, anchor.atMs)
    switch (fact.kind) {
      case 'fuelCalled': {
        anchor = advance(ship, legs, anchor, atMs)
        giving = giving && advance(ship, legs, giving, atMs)
        const reading = { figureKg: quantityKg(fact.fuel, plan.fuelKgPerM3), covers: fact.covers }
        if (fact.covers === 'internal' && ship.sheet.gauge === 'internal' && !anchor.contact) {
          // A reading is judged by what they would hold if they gave, not by the end at which the ship is planned.
          const carried = giving?.state ?? anchor.state
          read = readingOf(ship.sheet, carried, reading.figureKg)
          const from = emptyEnd && TELLING.has(read) ? carried : anchor.state
          if (read === 'unclear' || read === 'not giving') giving ??= anchor
          else if (read === 'in band') giving = undefined
          if (TELLING.has(read)) emptyEnd = read === 'unclear'
          anchor = { ...anchor, state: asRead(ship.sheet, from, read, readTroubles) }
        }
        anchor = { ...anchor, state: withReading(ship.sheet, anchor.state, reading) }
        anchor = asCalled(ship, legs, anchor, fact.covers)
        break
      }
      case 'externalsSet':
        read = undefined
        commanded = fact.externals
        anchor = advance(ship, legs, anchor, atMs)
        anchor = { ...anchor, state: { ...anchor.state, externals: fact.externals } }
        giving = giving && advance(ship, legs, giving, atMs)
        giving = giving && { ...giving, state: { ...giving.state, externals: fact.externals } }
        break
      case 'troubleSet':
      case 'jettisoned': {
        anchor = advance(ship, legs, anchor, atMs)
        const changed = (state: TankState): TankState =>
          fact.kind === 'troubleSet' ? withTrouble(ship.sheet, state, fact) : without(ship.sheet, state, fact.groupIds)
        const { contact } = anchor
        anchor = {
          ...anchor,
          state: changed(anchor.state),
          contact: contact && { ...contact, atFlow: contact.atFlow && changed(contact.atFlow) }
        }
        giving = giving && advance(ship, legs, giving, atMs)
        giving = giving && { ...giving, state: changed(giving.state) }
        if (fact.kind === 'troubleSet') called(ship.sheet, fact, readTroubles)
        else for (const groupId of fact.groupIds) called(ship.sheet, { groupId }, readTroubles)
        if (fact.kind === 'jettisoned' || fact.trouble === undefined || fact.trouble === 'gone') {
          // What was read was read of tanks that are no longer in doubt.
          if (read === 'not giving' ? readTroubles.size === 0 : !carriesExternals(ship.sheet, anchor.state)) {
            read = undefined
            giving = undefined
          }
        }
        break
      }
      case 'contactMade': {
        read = undefined
        giving = undefined
        emptyEnd = false
        end(atMs, undefined)
        const contact = its.contacts.find((one) => one.slotId === fact.slotId && one.contactAtMs === fact.atMs)
        const station = plan.stations.get(`${fact.tankerId}/${fact.stationId}`)
        if (!contact || !station) break
        anchor = {
          ...anchor,
          contact: {
            slotId: fact.slotId,
            stationRateKgPerS: station.rateKgPerS,
            hookedAtMs: atMs,
            flowAtMs: Math.max(atMs, contact.flowAtMs),
            atFlow: undefined
          }
        }
        break
      }
      case 'disconnected':
        if (anchor.contact?.slotId === fact.slotId)
          end(atMs, fact.offLoad ? quantityKg(fact.offLoad, plan.fuelKgPerM3) : undefined)
        break
      case 'pushed':
      case 'shipLeft':
      case 'landed':
        end(atMs, undefined)
        break
      case 'shipJoined':
      case 'fuelFlowing':
      case 'readySet':
      case 'noShowSet':
        break
    }
  }
  return { anchor, flown, count: calls.length, read, readTroubles, kept: new Map() }
}
