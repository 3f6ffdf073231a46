/**
 * What crews and tankers of the demonstration would say next. It knows what everyone may read, the event's log, and
 * draws true fuel from the plan's own model with small deviations that follow from ids alone: run again on the same
 * log, it says the same.
 */
import type { NewFact } from '../../shared/contracts/facts.ts'
import type { EventRequest } from '../../shared/contracts/requests.ts'
import type { SlotView, View } from '../../shared/contracts/view.ts'
import { advance, type Leg } from '../../shared/live/course.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { planInForce } from '../../shared/live/inforce.ts'
import { crewsOf, tankerFuelKg, type Crew } from '../../shared/live/slots.ts'
import type { LiveState, ShipRecord } from '../../shared/live/state.ts'
import { brief, type Brief, type VisitBrief } from '../../shared/plan/brief.ts'
import { gaugeKg, totalKg } from '../../shared/tanks/sheet.ts'
import { KG_PER_LB, MS_PER_MIN } from '../../shared/units.ts'

type WithoutId<R> = R extends unknown ? Omit<R, 'requestId'> : never
/** A request but for the id its sender gives it. */
export type Said = WithoutId<EventRequest>

/** Gauges are read to the nearest of these. */
const GAUGE_STEP_LB = 100
/** True burn against the plan's: this much either way. */
const BURN_SHARE = 0.04
/** Shares of all calls, contacts and flows that go otherwise than by the book. */
const LATE_CALL_SHARE = 0.12
const PARTIAL_SHARE = 0.07
const UNCALLED_FLOW_SHARE = 0.15
const OFF_LOAD_CALLED_SHARE = 0.7
/** How much of its time a contact lasts that breaks off early. */
const PARTIAL_OF_TIME = 0.85
const TANKER_CALL_MIN = 13
const END_SLACK_MS = 500

/** A number from 0 to 1 that follows from the words: FNV-1a, then stirred so that like words lie far apart. */
function chance(...words: readonly (string | number)[]): number {
  let hash = 0x811c9dc5
  for (const letter of words.join('|')) hash = Math.imul(hash ^ (letter.codePointAt(0) ?? 0), 0x01000193)
  hash = Math.imul(hash ^ (hash >>> 16), 0x85ebca6b)
  hash = Math.imul(hash ^ (hash >>> 13), 0xc2b2ae35)
  return ((hash ^ (hash >>> 16)) >>> 0) / 2 ** 32
}
const between = (low: number, high: number, share: number): number => low + (high - low) * share

const quietRecords = new WeakMap<ShipRecord, ShipRecord>()
/** The record as if nobody had called fuel: what the plan's model makes of contacts alone. */
function quiet(record: ShipRecord): ShipRecord {
  const known = quietRecords.get(record)
  if (known) return known
  const made = record.filter((fact) => fact.kind !== 'fuelCalled')
  quietRecords.set(record, made)
  return made
}

interface Scene {
  plan: Brief
  state: LiveState
  nowMs: number
  crews: ReadonlyMap<string, Crew>
  /** What the board shows: worked out when something first asks for it, which on most looks nothing does. */
  seen: () => Seen
}

interface Seen extends Pick<View, 'ships' | 'tankers'> {
  slots: ReadonlyMap<string, SlotView>
}

function seer(state: LiveState, nowMs: number): () => Seen {
  let seen: Seen | undefined
  return () => {
    if (seen) return seen
    const view = estimate(state, nowMs)
    if (!view) throw new RangeError('no plan is adopted')
    return (seen = { ...view, slots: new Map(view.slots.map((slot) => [slot.slotId, slot])) })
  }
}

/** Everything that is due by now: at most one thing a ship, a flight, a tanker; ask again once it is recorded. */
export function saidNext(state: LiveState, nowMs: number): Said[] {
  const inForce = planInForce(state)
  if (!inForce) return []
  const plan = brief(inForce)
  const ships = new Map([...state.ships].map(([shipId, record]) => [shipId, quiet(record)]))
  const silent = { ...state, ships, tankerCalls: new Map() }
  const crews = crewsOf(silent, plan, nowMs)
  const scene: Scene = { plan, state, nowMs, crews, seen: seer(state, nowMs) }
  const pushing = [...plan.flights.values()].flatMap((flight) => pushOf(scene, flight.id) ?? [])
  const busy = new Set<string>(pushing.flatMap((said) => (said.kind === 'push' ? said.shipIds : [])))
  return [
    ...pushing,
    ...[...crews.values()].flatMap((crew) => (busy.has(crew.ship.id) ? [] : (saidByShip(scene, crew) ?? []))),
    ...[...plan.tankers.values()].flatMap((tanker) => {
      const last = state.tankerCalls.get(tanker.id)?.at(-1)?.atMs ?? tanker.onStationAtMs
      const waitMs = between(0.8, 1.2, chance(tanker.id, last)) * TANKER_CALL_MIN * MS_PER_MIN
      if (nowMs < last + waitMs || nowMs > tanker.leavesAtMs) return []
      const fuel = calledLb(tankerFuelKg(silent, tanker, crews, nowMs))
      return [{ kind: 'callTankerFuel' as const, tankerId: asTanker(tanker.id), fuel, atMs: nowMs }]
    })
  ]
}

const calledLb = (kg: number) => ({
  value: Math.max(0, Math.round(kg / KG_PER_LB / GAUGE_STEP_LB) * GAUGE_STEP_LB),
  unit: 'lb' as const
})

function saidByShip(scene: Scene, crew: Crew): Said | undefined {
  const { its } = crew
  if (its.landed) return undefined
  return (
    landing(scene, crew) ??
    inContact(scene, crew) ??
    leaving(scene, crew) ??
    joining(scene, crew) ??
    hookingUp(scene, crew) ??
    fuelCall(scene, crew)
  )
}

function landing({ nowMs }: Scene, { ship, legs }: Crew): Said | undefined {
  const home = legs.find((leg) => leg.kind === 'ended')
  if (!home || nowMs < home.fromAtMs) return undefined
  return { kind: 'land', shipId: asShip(ship.id), atMs: nowMs }
}

/** Flow is called soon after contact; the disconnect when the order's on-load is reached, now and then before. */
function inContact({ seen, nowMs }: Scene, { ship, its }: Crew): Said | undefined {
  const contact = its.inContact
  const slot = contact && seen().slots.get(contact.slotId)
  if (!slot) return undefined
  const { slotId } = slot
  const shipId = asShip(ship.id)
  const flowAtMs = contact.contactAtMs + between(8, 25, chance(slotId, 'flow at')) * 1000
  if (!contact.flowCalled && nowMs >= flowAtMs && chance(slotId, 'flow') > UNCALLED_FLOW_SHARE) {
    return { kind: 'startFlow', shipId, atMs: nowMs }
  }
  const spanMs = slot.disconnectAtMs - contact.flowAtMs
  const isPartial = chance(slotId, 'partial') < PARTIAL_SHARE
  if (isPartial && spanMs > 0 && nowMs >= contact.flowAtMs + PARTIAL_OF_TIME * spanMs) {
    return { kind: 'disconnect', shipId, how: 'partial', offLoad: calledLb(flowedKg(slot, nowMs)), atMs: nowMs }
  }
  // Past its end a contact still on is shown as ending now.
  if (nowMs < slot.disconnectAtMs - END_SLACK_MS) return undefined
  const called =
    chance(slotId, 'off-load') < OFF_LOAD_CALLED_SHARE ? { offLoad: calledLb(flowedKg(slot, nowMs)) } : undefined
  return { kind: 'disconnect', shipId, how: 'whole', ...called, atMs: nowMs }
}

/** What has come over by now, kg: along the fill to its end. */
function flowedKg(slot: SlotView, nowMs: number): number {
  const flowedS = Math.min(nowMs, slot.disconnectAtMs) / 1000 - slot.contactAtMs / 1000
  let before = { minutesS: 0, onLoadKg: 0 }
  for (const stop of slot.stops) {
    if (flowedS <= stop.minutesS) {
      const share = (flowedS - before.minutesS) / (stop.minutesS - before.minutesS)
      return Math.min(slot.onLoadKg, before.onLoadKg + share * (stop.onLoadKg - before.onLoadKg))
    }
    before = stop
  }
  return slot.onLoadKg
}

/** Who is not served leaves at the last moment: until then a coordinator may still find it a place. */
function leaving({ seen, nowMs }: Scene, { ship, its, current }: Crew): Said | undefined {
  if (its.left || !current || !its.joined.has(current.id)) return undefined
  const { ships, slots } = seen()
  const shown = ships.find((one) => one.shipId === ship.id)
  const leaveByMs = slots.get(shown?.slotId ?? '')?.leaveWaitByMs
  if (shown?.status !== 'must leave' || nowMs < (leaveByMs ?? nowMs)) return undefined
  return { kind: 'leave', shipId: asShip(ship.id), atMs: nowMs }
}

/** A ship reports on the track about when its route has it there. */
function joining({ nowMs }: Scene, crew: Crew): Said | undefined {
  const { ship, its, current } = crew
  if (its.left || !current || its.joined.has(current.id)) return undefined
  const lateMs = between(-20, 50, chance(ship.id, current.id, 'join')) * 1000
  if (nowMs < plannedReadyMs(crew, current) + lateMs) return undefined
  return { kind: 'joinShip', shipId: asShip(ship.id), atMs: nowMs }
}

/** Ready for a visit by the route: from the last push, else from the start. */
function plannedReadyMs({ flight, its }: Crew, visit: VisitBrief): number {
  let atMs = flight.startsAtMs
  for (const phase of flight.phases) {
    if (phase.visit?.id === visit.id) break
    atMs = phase.visit ? (its.pushed.get(phase.visit.id) ?? atMs) : atMs + phase.durationMs
  }
  return atMs
}

/** The next at a free station hooks up as soon as changeover and hook-up allow, give or take. */
function hookingUp({ plan, seen, crews, nowMs }: Scene, crew: Crew): Said | undefined {
  const { ship, flight, its, current } = crew
  const joinedAtMs = current && its.joined.get(current.id)
  if (its.left || joinedAtMs === undefined) return undefined
  const { slots, tankers } = seen()
  const slot = [...slots.values()].find(
    (one) => one.shipId === ship.id && one.visitId === current?.id && one.state === 'planned'
  )
  const tanker = tankers.find((one) => one.tankerId === slot?.tankerId)
  const station = tanker?.stations.find((one) => one.stationId === slot?.stationId)
  const known = slot && plan.stations.get(`${slot.tankerId}/${slot.stationId}`)
  if (!slot || !known || station?.nextSlotId !== slot.slotId) return undefined
  if (station.inContact || station.status !== 'good') return undefined
  let beginsMs = Math.max(joinedAtMs, plan.tankers.get(slot.tankerId)?.onStationAtMs ?? 0)
  for (const other of crews.values()) {
    for (const contact of other.its.contacts) {
      if (contact.tankerId !== slot.tankerId || contact.stationId !== slot.stationId) continue
      const changeMs = other.flight.id === flight.id ? plan.changeoverWithinFlightMs : known.changeoverBetweenMs
      beginsMs = Math.max(beginsMs, (contact.disconnectAtMs ?? nowMs) + changeMs)
    }
  }
  const lateMs = between(0, 20, chance(slot.slotId, 'hook-up')) * 1000
  if (nowMs < beginsMs + known.hookUpMs + lateMs) return undefined
  return { kind: 'makeContact', shipId: asShip(ship.id), atMs: nowMs }
}

/** A flight pushes when nobody of its push group still waits for fuel, and not before the group's push. */
function pushOf({ plan, seen, crews, nowMs }: Scene, flightId: string): Said | undefined {
  const flight = plan.flights.get(flightId)
  const stayed = [...crews.values()].filter((crew) => crew.flight.id === flightId && !crew.its.left && !crew.its.landed)
  const visit = stayed[0]?.current
  if (!flight || !visit) return undefined
  if (stayed.some((crew) => crew.its.inContact || !crew.its.joined.has(visit.id))) return undefined
  const lateMs = between(0, 25, chance(flightId, visit.id, 'push')) * 1000
  // Before the board is asked, which takes longer than all else here: most looks come before the push.
  if (nowMs < visit.plannedPushAtMs + lateMs) return undefined
  const { slots } = seen()
  const waits = [...slots.values()].some(
    (slot) => slot.pushGroupId === visit.pushGroupId && (slot.state === 'planned' || slot.state === 'in contact')
  )
  if (waits) return undefined
  // A push nobody has called is shown at now, so it is counted from what was flown.
  const groupOf = (slotId: string) => slots.get(slotId)?.pushGroupId
  const offAtMs = [...crews.values()].flatMap(({ its }) =>
    its.contacts.flatMap((contact) =>
      groupOf(contact.slotId) === visit.pushGroupId ? (contact.disconnectAtMs ?? []) : []
    )
  )
  const readyAtMs = Math.max(visit.plannedPushAtMs, ...offAtMs.map((atMs) => atMs + plan.reformMs))
  if (nowMs < readyAtMs + lateMs) return undefined
  return { kind: 'push', shipIds: stayed.map((crew) => asShip(crew.ship.id)), atMs: nowMs }
}

const inTheAir = (leg: Leg | undefined): boolean =>
  leg !== undefined && !['planned', 'taxi', 'ended', 'departure'].includes(leg.kind)

/** Fuel is called on joining and after each contact, else every few minutes; now and then a call is late. */
function fuelCall({ state, nowMs }: Scene, crew: Crew): Said | undefined {
  const { ship, flight, legs } = crew
  const leg = legs.find((one) => one.toAtMs > nowMs)
  if (!inTheAir(leg)) return undefined
  const calls = state.ships.get(ship.id) ?? []
  const last = calls.at(-1)
  const lastMs = last?.atMs ?? flight.startsAtMs
  const isLate = chance(ship.id, calls.length, 'late') < LATE_CALL_SHARE
  const reports = last?.kind === 'shipJoined' || last?.kind === 'disconnected'
  const [low, high] = reports ? [10, 40] : isLate ? [660, 780] : [260, 520]
  if (nowMs < lastMs + between(low, high, chance(ship.id, calls.length, 'call')) * 1000) return undefined
  return {
    kind: 'callFuel',
    shipId: asShip(ship.id),
    fuel: calledLb(trueGaugeKg(crew, nowMs)),
    covers: ship.sheet.gauge,
    atMs: nowMs
  }
}

/** What the ship's own gauge shows, kg: the model's figure, less what this ship burns more than the plan has it. */
function trueGaugeKg({ ship, its, folded, legs }: Crew, nowMs: number): number {
  const { state } = advance(ship, legs, folded.anchor, nowMs)
  const slotId = its.contacts.findLast((contact) => contact.disconnectAtMs !== undefined)?.slotId
  const since = (slotId === undefined ? undefined : folded.flown.get(slotId)?.after) ?? ship.start
  const burnedKg = Math.max(0, totalKg(ship.sheet, since) - totalKg(ship.sheet, state))
  const factor = between(1 - BURN_SHARE, 1 + BURN_SHARE, chance(ship.id, 'burn'))
  return gaugeKg(ship.sheet, state) - (factor - 1) * burnedKg
}

// Ids that come out of a brief have passed the plan's schema; the brands are put back here, in one place.
type ShipIdOf = Extract<NewFact, { kind: 'shipJoined' }>['shipId']
type TankerIdOf = Extract<NewFact, { kind: 'tankerFuelCalled' }>['tankerId']
const asShip = (id: string) => id as ShipIdOf
const asTanker = (id: string) => id as TankerIdOf
