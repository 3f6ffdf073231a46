/**
 * Answers a request on the state as it stands: the facts it makes, or why it makes none. Never throws, knows no
 * clock: event time and real time now are given.
 */
import { BOUNDS, GAUGE_SLACK_FACTOR, OFF_LOAD_SLACK_FACTOR } from '../contracts/bounds.ts'
import type { FactOf, NewFact } from '../contracts/facts.ts'
import { OBSERVED_REQUESTS, type HandLimit, type RequestKind } from '../contracts/kinds.ts'
import type { AnyRequest } from '../contracts/requests.ts'
import { homeBaseOf } from '../plan/abort.ts'
import { brief, type Brief, type FlightBrief, type ShipBrief, type VisitBrief } from '../plan/brief.ts'
import { abortRuling, bingoRuling, jokerRuling, requiredRuling } from '../plan/limits.ts'
import { stationFault } from '../plan/stations.ts'
import { massIn, MS_PER_MIN, quantityKg } from '../units.ts'
import { eventTime } from './clock.ts'
import { refuse, refuseField, refuseFuel, type Decision, type Ground, type Refusal } from './decision.ts'
import { mayAsk, type Who } from './permissions.ts'
import { flowedIn } from './flowed.ts'
import { closedBases, planInForce } from './inforce.ts'
import { decideReceiver } from './receive.ts'
import { decideOrder } from './reorder.ts'
import { asItIs } from './slots.ts'
import { currentVisit, standing, type Standing } from './standing.ts'
import { orderOf, stationStatusOf, withdrawable, type LiveState } from './state.ts'

export interface Instant {
  eventMs: number
  realMs: number
}

/** Clocks of phones and the service differ a little; what is observed further ahead is refused. */
export const AHEAD_MS = 5_000

interface Scene extends Ground {
  who: Who
  at: Instant
}

type Asked<Kind extends RequestKind> = Extract<AnyRequest, { kind: Kind }>
type Decider<Kind extends RequestKind> = (scene: Scene, request: Asked<Kind>) => Decision

interface ShipScene {
  ship: ShipBrief
  flight: FlightBrief
  its: Standing
  visit: VisitBrief | undefined
}

/** The ship asked about, if it is in the plan; else a refusal. */
function shipOf({ state, plan }: Scene, shipId: string): ShipScene | { refusal: Refusal } {
  const ship = plan.ships.get(shipId)
  const flight = ship && plan.flights.get(ship.flightId)
  if (!flight) return { refusal: { code: 'unknown-ship', detail: `${shipId} is not in the plan in force` } }
  const its = standing(state.ships.get(shipId) ?? [])
  return { ship: asItIs(state, plan, ship, its), flight, its, visit: currentVisit(flight.visits, its) }
}

/** A ship that still flies; else a refusal. */
function flyingShip(scene: Scene, shipId: string): ShipScene | { refusal: Refusal } {
  const found = shipOf(scene, shipId)
  if ('refusal' in found) return found
  if (found.its.landed) return { refusal: { code: 'ship-gone', detail: `${found.ship.callSign} has landed` } }
  return found
}

/** Slots of a ship's visit that nobody has flown yet, in the order in force. */
function openSlots(
  state: LiveState,
  plan: Brief,
  ship: ShipScene,
  visitId: string
): { slotId: string; tankerId: string; stationId: string }[] {
  const flown = new Set(ship.its.contacts.map((contact) => contact.slotId))
  return [...plan.tankers.keys()].flatMap((tankerId) =>
    orderOf(state, tankerId).sequences.flatMap(({ stationId, slots }) =>
      slots
        .filter((slot) => slot.shipId === ship.ship.id && slot.visitId === visitId && !flown.has(slot.id))
        .map((slot) => ({ slotId: slot.id, tankerId, stationId }))
    )
  )
}

/** Changes of a ship that what is observed later builds on. */
const TURNS: ReadonlySet<string> = new Set(['contactMade', 'disconnected', 'pushed', 'shipLeft', 'landed'])

/** What happens to a ship is told in order: an earlier turn cannot be slipped in before a recorded one. */
function outOfOrder({ state, atMs }: Scene, { ship }: ShipScene): Decision | undefined {
  const last = state.ships.get(ship.id)?.findLast((fact) => TURNS.has(fact.kind))
  if (!last || last.atMs <= atMs) return undefined
  return refuse('out-of-order', `${ship.callSign}: ${last.kind} was observed at ${String(last.atMs)} ms, after this`)
}

/** Whoever was hooked up at a station at an instant, other than the given ship. */
function occupant(state: LiveState, key: string, shipId: string, atMs: number): string | undefined {
  for (const [other, record] of state.ships) {
    if (other === shipId) continue
    const there = standing(record).contacts.some(
      (one) =>
        `${one.tankerId}/${one.stationId}` === key && (one.disconnectAtMs ?? Infinity) > Math.max(atMs, one.contactAtMs)
    )
    if (there) return other
  }
  return undefined
}

/** The track's abort base, or the recovery base; where that is closed the first of the flight's bases that is open. */
function baseOfLeaving({ state, plan }: Scene, { flight, visit }: ShipScene): string {
  const baseId = homeBaseOf(plan, flight, visit)
  const closed = closedBases(state)
  return closed.has(baseId) ? (flight.openBaseIds.find((id) => !closed.has(id)) ?? baseId) : baseId
}

/** The planned ready time may move this far, and a tanker's times as well. */
const LATER_MOST_MS = BOUNDS.durationMin.max * MS_PER_MIN

const DECIDERS: { [Kind in RequestKind]: Decider<Kind> } = {
  adoptPlan: ({ state, atMs, plan }, request) => {
    // Only what is live may not be dropped: ships with a record, slots flown, tankers that gave.
    const next = brief(planInForce({ ...state, plan: request.plan }) ?? request.plan)
    for (const [shipId, record] of state.ships) {
      if (record.length > 0 && !next.ships.has(shipId)) {
        return refuse('adoption-drops-live', `${plan.ships.get(shipId)?.callSign ?? shipId} has calls in this event`)
      }
      const its = standing(record)
      const flight = next.flights.get(next.ships.get(shipId)?.flightId ?? '')
      for (const visitId of [...its.joined.keys(), ...its.pushed.keys()]) {
        if (flight && !flight.visits.some((visit) => visit.id === visitId)) {
          return refuse('adoption-drops-live', `visit ${visitId} has begun`)
        }
      }
      for (const { slotId, tankerId, stationId } of its.contacts) {
        const kept = request.plan.orders.some((order) =>
          order.sequences.some((sequence) => sequence.slots.some((slot) => slot.id === slotId))
        )
        if (!kept) return refuse('adoption-drops-live', `slot ${slotId} has been flown`)
        if (!next.stations.has(`${tankerId}/${stationId}`)) {
          return refuse('adoption-drops-live', `slot ${slotId} was flown at ${tankerId}/${stationId}`)
        }
      }
    }
    return { facts: [{ kind: 'planAdopted', atMs, revision: request.revision, plan: request.plan }] }
  },
  openEvent: ({ state, plan, at, atMs }) =>
    at.eventMs < plan.plan.opensAtMs
      ? refuse('time-before-event', `the event opens at ${String(plan.plan.opensAtMs)} ms; set its clock to rehearse`)
      : state.opened
        ? refuse('event-already-open', 'it was opened before')
        : { facts: [{ kind: 'eventOpened', atMs }] },
  closeEvent: ({ atMs }) => ({ facts: [{ kind: 'eventClosed', atMs }] }),
  setClock: ({ state, plan, at, atMs }, { eventAtMs: asked, rateFactor }) => {
    const now = eventTime(state.clock, at.realMs)
    const eventAtMs = asked ?? Math.round(now)
    if (eventAtMs < now - 1 && state.opened) {
      return refuse('clock-backwards', `event time is ${String(Math.round(now))} ms, asked for ${String(eventAtMs)} ms`)
    }
    // It never runs backwards: a slip of a year could not be mended.
    const mostMs = Math.max(now, plan.plan.opensAtMs) + BOUNDS.clockAheadMs.max
    if (eventAtMs > mostMs) {
      const limit = `at most ${String(Math.round(mostMs))} ms`
      const why = 'the clock may be set a day ahead of event time, or of the opening'
      return refuseField('out-of-bounds', { path: '/eventAtMs', value: String(eventAtMs), limit, why })
    }
    return { facts: [{ kind: 'clockSet', atMs, realAtMs: Math.round(at.realMs), eventAtMs, rateFactor }] }
  },
  joinShip: (scene, { shipId }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    if (!found.visit) return refuse('visit-done', `${found.ship.callSign} has no visit left`)
    return {
      facts: [{ kind: 'shipJoined', atMs: scene.atMs, shipId: asShip(shipId), visitId: asVisit(found.visit.id) }]
    }
  },
  callFuel: (scene, { shipId, fuel, covers }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    const most = covers === 'total' ? found.ship.capacityKg : found.ship.internalCapacityKg
    const kg = quantityKg(fuel, scene.plan.fuelKgPerM3)
    if (kg > most * GAUGE_SLACK_FACTOR) {
      const limit = `at most ${String(Math.round(most))} kg`
      return {
        refusal: {
          code: 'fuel-above-capacity',
          detail: `${found.ship.callSign} holds ${limit}`,
          errors: [
            { path: '/fuel/value', value: `${String(fuel.value)} ${fuel.unit}`, limit, message: 'above the tanks' }
          ]
        }
      }
    }
    return { facts: [{ kind: 'fuelCalled', atMs: scene.atMs, shipId: asShip(shipId), fuel, covers }] }
  },
  callTankerFuel: ({ plan, atMs }, { tankerId, fuel }) =>
    plan.tankers.has(tankerId)
      ? { facts: [{ kind: 'tankerFuelCalled', atMs, tankerId, fuel }] }
      : refuse('unknown-tanker', `${tankerId} is not in the plan in force`),
  makeContact: (scene, request) => {
    const { state, plan, atMs } = scene
    const found = flyingShip(scene, request.shipId)
    if ('refusal' in found) return found
    const { ship, flight, its, visit } = found
    if (its.left) return refuse('ship-gone', `${ship.callSign} has left`)
    if (its.inContact) return refuse('ship-in-contact', `${ship.callSign} is in contact already`)
    if (!visit) return refuse('visit-done', `${ship.callSign} has no visit left`)
    const open = openSlots(state, plan, found, visit.id)
    const slot = request.slotId === undefined ? open[0] : open.find((one) => one.slotId === request.slotId)
    if (!slot) return refuse('unknown-slot', `${ship.callSign} has no open slot for this visit`)
    const key = `${request.tankerId ?? slot.tankerId}/${request.stationId ?? slot.stationId}`
    const station = plan.stations.get(key)
    if (!station) return refuse('unknown-station', `${key} is not in the plan in force`)
    const misfit = stationFault(plan, flight, station)
    if (misfit) return refuse(misfit.code, `${ship.callSign} on ${station.name}: ${misfit.detail}`)
    const status = stationStatusOf(state, key)
    if (status !== 'good') return refuse('station-closed', `${station.name} is ${status}`)
    const other = occupant(state, key, ship.id, atMs)
    if (other !== undefined) {
      return refuse('station-occupied', `${plan.ships.get(other)?.callSign ?? other} is in contact at ${station.name}`)
    }
    const early = outOfOrder(scene, found)
    if (early) return early
    const shipId = asShip(ship.id)
    const joined: NewFact[] = its.joined.has(visit.id)
      ? []
      : [{ kind: 'shipJoined', atMs, shipId, visitId: asVisit(visit.id) }]
    const made: NewFact = {
      kind: 'contactMade',
      atMs,
      shipId,
      slotId: slot.slotId as FactOf<'contactMade'>['slotId'],
      tankerId: station.tankerId as FactOf<'contactMade'>['tankerId'],
      stationId: station.stationId as FactOf<'contactMade'>['stationId']
    }
    return { facts: [...joined, made] }
  },
  startFlow: (scene, { shipId }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    const contact = found.its.inContact
    if (!contact) return refuse('not-in-contact', `${found.ship.callSign} is not in contact`)
    const early = outOfOrder(scene, found)
    if (early) return early
    return {
      facts: [{ kind: 'fuelFlowing', atMs: scene.atMs, shipId: asShip(shipId), slotId: asSlot(contact.slotId) }]
    }
  },
  disconnect: (scene, { shipId, how, offLoad, contactCalledLate }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    const contact = found.its.inContact
    if (!contact) return refuse('not-in-contact', `${found.ship.callSign} is not in contact`)
    if (how === 'partial' && !offLoad) return refuse('off-load-missing', 'say how much was given')
    const early = outOfOrder(scene, found)
    if (early) return early
    const flowed = offLoad && flowedIn(scene.state, scene.plan, shipId, scene.atMs)
    const mostKg = flowed?.mostTakenKg ?? found.ship.capacityKg * OFF_LOAD_SLACK_FACTOR
    if (offLoad && quantityKg(offLoad, scene.plan.fuelKgPerM3) > mostKg) {
      const why = `${found.ship.callSign} had no room for that, and cannot have burned it`
      return refuseFuel('fuel-above-capacity', { path: '/offLoad/value', fuel: offLoad, mostKg, why })
    }
    return {
      facts: [
        {
          kind: 'disconnected',
          atMs: scene.atMs,
          shipId: asShip(shipId),
          slotId: asSlot(contact.slotId),
          how,
          ...(offLoad && { offLoad, ...(contactCalledLate && { contactCalledLate }) })
        }
      ]
    }
  },
  push: (scene, { shipIds }) => {
    const facts: NewFact[] = []
    for (const shipId of shipIds) {
      const found = flyingShip(scene, shipId)
      if ('refusal' in found) return found
      if (found.its.inContact) return refuse('ship-in-contact', `${found.ship.callSign} is in contact`)
      if (!found.visit) return refuse('visit-done', `${found.ship.callSign} has no visit left`)
      const { ship, its, visit } = found
      if (!its.joined.has(visit.id)) return refuse('ship-not-joined', `${ship.callSign} is not at its tanker yet`)
      const early = outOfOrder(scene, found)
      if (early) return early
      facts.push({ kind: 'pushed', atMs: scene.atMs, shipId, visitId: asVisit(visit.id) })
    }
    return { facts }
  },
  leave: (scene, request) => {
    const found = flyingShip(scene, request.shipId)
    if ('refusal' in found) return found
    if (found.its.inContact) return refuse('ship-in-contact', `${found.ship.callSign} is in contact`)
    const early = outOfOrder(scene, found)
    if (early) return early
    const baseId = request.baseId ?? baseOfLeaving(scene, found)
    if (!scene.plan.bases.has(baseId)) return refuse('unknown-base', `${baseId} is not in the plan in force`)
    return { facts: [{ kind: 'shipLeft', atMs: scene.atMs, shipId: request.shipId, baseId: asBase(baseId) }] }
  },
  land: (scene, request) => {
    const found = flyingShip(scene, request.shipId)
    if ('refusal' in found) return found
    if (found.its.inContact) return refuse('ship-in-contact', `${found.ship.callSign} is in contact`)
    const early = outOfOrder(scene, found)
    if (early) return early
    const baseId = request.baseId ?? found.its.left?.baseId ?? found.flight.recoveryBaseId
    if (!scene.plan.bases.has(baseId)) return refuse('unknown-base', `${baseId} is not in the plan in force`)
    return { facts: [{ kind: 'landed', atMs: scene.atMs, shipId: request.shipId, baseId: asBase(baseId) }] }
  },
  setStation: ({ plan, atMs }, { tankerId, stationId, status }) =>
    plan.stations.has(`${tankerId}/${stationId}`)
      ? { facts: [{ kind: 'stationStatus', atMs, tankerId, stationId, status }] }
      : refuse('unknown-station', `${tankerId}/${stationId} is not in the plan in force`),
  setExternals: (scene, { shipId, externals }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    const { ship, its } = found
    const thrown = new Set(its.jettisoned.map(({ groupId }) => groupId))
    if (!ship.sheet.groups.some(({ id, place }) => place === 'external' && !thrown.has(id))) {
      return refuse('unknown-group', `${ship.callSign} carries no external tanks`)
    }
    return { facts: [{ kind: 'externalsSet', atMs: scene.atMs, shipId, externals }] }
  },
  setTrouble: (scene, { shipId, groupId, tankNumber, trouble }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    const { ship, its } = found
    const group = ship.sheet.groups.find((one) => one.id === groupId)
    if (!group || its.jettisoned.some((one) => one.groupId === groupId)) {
      return refuse('unknown-group', `${ship.callSign} does not carry ${groupId}`)
    }
    if (tankNumber !== undefined && tankNumber > group.tankCount) {
      return refuse('unknown-group', `${group.name} of ${ship.callSign} has ${String(group.tankCount)} tanks`)
    }
    return {
      facts: [
        {
          kind: 'troubleSet',
          atMs: scene.atMs,
          shipId: asShip(shipId),
          groupId,
          ...(tankNumber === undefined ? {} : { tankNumber }),
          ...(trouble === undefined ? {} : { trouble })
        }
      ]
    }
  },
  jettison: (scene, { shipId, groupIds }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    const { ship, its } = found
    if (its.inContact) return refuse('ship-in-contact', `${ship.callSign} is in contact`)
    const carried = ship.sheet.groups.filter((group) => !its.jettisoned.some((one) => one.groupId === group.id))
    const groups = groupIds
      ? groupIds.map((groupId) => ({ groupId, group: carried.find((one) => one.id === groupId) }))
      : carried.filter((group) => group.jettisonable).map((group) => ({ groupId: group.id, group }))
    if (groups.length === 0) return refuse('group-stays', `${ship.callSign} carries nothing that can be jettisoned`)
    for (const { groupId, group } of groups) {
      if (!group) return refuse('unknown-group', `${ship.callSign} does not carry ${groupId}`)
      if (!group.jettisonable) return refuse('group-stays', `${group.name} of ${ship.callSign}`)
    }
    return {
      facts: [
        {
          kind: 'jettisoned',
          atMs: scene.atMs,
          shipId: asShip(shipId),
          groupIds: groups.map(({ groupId }) => asGroup(groupId))
        }
      ]
    }
  },
  setLimit: (scene, { shipId, limit, fuel }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    const { ship, its, visit } = found
    const fact = { kind: 'limitSet' as const, atMs: scene.atMs, shipId: asShip(shipId), limit }
    if (!fuel) return { facts: [fact] }
    const phaseIndex = found.flight.visits.findLast((one) => its.pushed.has(one.id))?.phaseIndex ?? 0
    const computed = computedLimitKg(scene.plan, ship, limit, visit, phaseIndex)
    if (computed === undefined) return refuse('visit-done', `${ship.callSign} has no ${limit} to set`)
    const kg = quantityKg(fuel, scene.plan.fuelKgPerM3)
    if (kg > ship.capacityKg * GAUGE_SLACK_FACTOR) {
      const why = `${ship.callSign} holds less`
      return refuseFuel('fuel-above-capacity', { path: '/fuel/value', fuel, mostKg: ship.capacityKg, why })
    }
    if (kg < computed) {
      const unit = fuel.unit === 'lb' ? 'lb' : 'kg'
      const floor = `${String(Math.ceil(massIn(unit, computed)))} ${unit}`
      const why = `${limit} of ${ship.callSign} is below what is computed`
      const value = `${String(fuel.value)} ${fuel.unit}`
      return refuseField('limit-below-computed', { path: '/fuel/value', value, limit: `at least ${floor}`, why })
    }
    return { facts: [{ ...fact, fuel }] }
  },
  setPin: ({ state, plan, atMs }, { slotId, pinned, serveAnyway }) => {
    const known = [...plan.tankers.keys()].some((tankerId) =>
      orderOf(state, tankerId).sequences.some((sequence) => sequence.slots.some((slot) => slot.id === slotId))
    )
    if (!known) return refuse('unknown-slot', `${slotId} is not in the order in force`)
    return { facts: [{ kind: 'pinSet', atMs, slotId, pinned, serveAnyway }] }
  },
  setOrder: (scene, request) => decideOrder(scene, request.orders, request.basedOnSeq),
  setReady: (scene, { shipId, readyAtMs }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    const { ship, its, visit } = found
    if (its.left) return refuse('ship-gone', `${ship.callSign} has left`)
    if (its.inContact) return refuse('ship-in-contact', `${ship.callSign} is in contact`)
    if (!visit) return refuse('visit-done', `${ship.callSign} has no visit left`)
    const fact = { kind: 'readySet' as const, atMs: scene.atMs, shipId: asShip(shipId), visitId: asVisit(visit.id) }
    if (readyAtMs === undefined) return { facts: [fact] }
    const unready = (limit: string, why: string): Decision =>
      refuseField('out-of-bounds', { path: '/readyAtMs', value: String(readyAtMs), limit, why })
    const atMs = its.joined.get(visit.id)
    if (atMs !== undefined) {
      return unready(`joined at ${String(atMs)} ms`, `${ship.callSign} is there already`)
    }
    if (readyAtMs < scene.atMs) {
      return unready(`at or after ${String(scene.atMs)} ms`, `${ship.callSign} has not been ready yet`)
    }
    if (readyAtMs > scene.atMs + LATER_MOST_MS) {
      const limit = `at or before ${String(scene.atMs + LATER_MOST_MS)} ms`
      return unready(limit, `${ship.callSign} would be ready more than a day from now`)
    }
    return { facts: [{ ...fact, readyAtMs }] }
  },
  setNoShow: (scene, { shipId, noShow }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    const { ship, its } = found
    if (noShow && its.left) return refuse('ship-gone', `${ship.callSign} has left`)
    const [contact] = its.contacts
    if (noShow && contact) {
      return refuse(
        'ship-came',
        `${ship.callSign} made contact at ${String(contact.contactAtMs)} ms; record that it left`
      )
    }
    const joinedAtMs = found.visit && its.joined.get(found.visit.id)
    if (noShow && joinedAtMs !== undefined) {
      return refuse(
        'ship-came',
        `${ship.callSign} is there already: joined at ${String(joinedAtMs)} ms; record that it left`
      )
    }
    return { facts: [{ kind: 'noShowSet', atMs: scene.atMs, shipId: asShip(shipId), noShow }] }
  },
  setPriority: ({ plan, atMs }, { flightId, priority }) =>
    plan.flights.has(flightId)
      ? { facts: [{ kind: 'prioritySet', atMs, flightId, ...(priority === undefined ? {} : { priority }) }] }
      : refuse('unknown-flight', `${flightId} is not in the plan in force`),
  setOnLoad: (scene, { shipId, visitId, onLoad }) => {
    const found = flyingShip(scene, shipId)
    if ('refusal' in found) return found
    const { ship, flight, its } = found
    const visit = visitId === undefined ? found.visit : flight.visits.find((one) => one.id === visitId)
    if (!visit && visitId !== undefined) return refuse('unknown-visit', `${visitId} is no visit of ${ship.callSign}`)
    if (!visit || its.pushed.has(visit.id)) return refuse('visit-done', `${ship.callSign} has pushed from it`)
    const mostKg = ship.capacityKg * OFF_LOAD_SLACK_FACTOR
    if (onLoad?.kind === 'fixed' && quantityKg(onLoad.fuel, scene.plan.fuelKgPerM3) > mostKg) {
      const why = `${ship.callSign} cannot take that`
      return refuseFuel('fuel-above-capacity', { path: '/onLoad/fuel/value', fuel: onLoad.fuel, mostKg, why })
    }
    const fact = { kind: 'onLoadSet' as const, atMs: scene.atMs, shipId: asShip(shipId), visitId: asVisit(visit.id) }
    return { facts: [onLoad ? { ...fact, onLoad } : fact] }
  },
  setTankerTimes: ({ state, plan, atMs }, { tankerId, onStationAtMs, leavesAtMs }) => {
    const tanker = plan.tankers.get(tankerId)
    const planned = state.plan?.tankers.find((one) => one.id === tankerId)
    if (!tanker || !planned) return refuse('unknown-tanker', `${tankerId} is not in the plan in force`)
    const wrong = (path: string, value: number, limit: string, why: string): Decision =>
      refuseField('out-of-bounds', { path, value: String(value), limit, why: `${tanker.callSign} ${why}` })
    const latest = atMs + LATER_MOST_MS
    for (const [field, value] of Object.entries({ onStationAtMs, leavesAtMs })) {
      if (value === undefined || value <= latest) continue
      return wrong(`/${field}`, value, `at or before ${String(latest)} ms`, 'is told more than a day ahead')
    }
    const comesAtMs = onStationAtMs ?? planned.onStationAtMs
    const goesAtMs = leavesAtMs ?? planned.leavesAtMs
    if (goesAtMs <= comesAtMs) {
      const why = 'would leave before it is on station'
      return leavesAtMs === undefined
        ? wrong('/onStationAtMs', comesAtMs, `before it leaves at ${String(goesAtMs)} ms`, why)
        : wrong('/leavesAtMs', goesAtMs, `after it comes at ${String(comesAtMs)} ms`, why)
    }
    const until = lastContactAtMs(state, tankerId)
    if (leavesAtMs !== undefined && until !== undefined && leavesAtMs < until) {
      return wrong('/leavesAtMs', leavesAtMs, `at or after ${String(until)} ms`, 'was in contact then')
    }
    const times = {
      ...(onStationAtMs === undefined ? {} : { onStationAtMs }),
      ...(leavesAtMs === undefined ? {} : { leavesAtMs })
    }
    return { facts: [{ kind: 'tankerTimesSet', atMs, tankerId, ...times }] }
  },
  setGive: ({ state, plan, atMs }, { tankerId, keeps, mostTransferable }) => {
    const tanker = plan.tankers.get(tankerId)
    if (!tanker) return refuse('unknown-tanker', `${tankerId} is not in the plan in force`)
    const calledKg = state.tankerCalls.get(tankerId)?.map((call) => quantityKg(call.fuel, plan.fuelKgPerM3)) ?? []
    const mostKg = Math.max(tanker.fuelOnStationKg, ...calledKg) * GAUGE_SLACK_FACTOR
    for (const [field, fuel] of Object.entries({ keeps, mostTransferable })) {
      if (!fuel || quantityKg(fuel, plan.fuelKgPerM3) <= mostKg) continue
      const why = `${tanker.callSign} never had that much aboard`
      return refuseFuel('out-of-bounds', { path: `/${field}/value`, fuel, mostKg, why })
    }
    const figures = { ...(keeps && { keeps }), ...(mostTransferable && { mostTransferable }) }
    return { facts: [{ kind: 'giveSet', atMs, tankerId, ...figures }] }
  },
  setBase: ({ plan, atMs }, { baseId, open }) =>
    plan.bases.has(baseId)
      ? { facts: [{ kind: 'baseSet', atMs, baseId, open }] }
      : refuse('unknown-base', `${baseId} is not in the plan in force`),
  addReceiver: decideReceiver,
  seeSlot: ({ state, plan, atMs }, { shipId, revision, seenSeq }) => {
    if (!plan.ships.has(shipId)) return refuse('unknown-ship', `${shipId} is not in the plan in force`)
    const most = { revision: state.revision, seenSeq: state.seq }
    for (const [field, value] of Object.entries({ revision, seenSeq })) {
      const last = most[field as keyof typeof most]
      if (value <= last) continue
      const limit = `at most ${String(last)}, the last there is`
      return refuseField('out-of-bounds', {
        path: `/${field}`,
        value: String(value),
        limit,
        why: 'nobody can have read it'
      })
    }
    return { facts: [{ kind: 'slotSeen', atMs, shipId, revision, seenSeq }] }
  },
  holdTanker: ({ plan, who, atMs }, { tankerId, held }) =>
    plan.tankers.has(tankerId)
      ? { facts: [{ kind: 'tankerHeld', atMs, tankerId, ...(held && { holder: asLink(who.linkId) }) }] }
      : refuse('unknown-tanker', `${tankerId} is not in the plan in force`),
  withdrawFact: ({ state, who, atMs }, { withdrawnSeq }) => {
    if (state.withdrawn.has(withdrawnSeq)) return refuse('fact-already-withdrawn', `fact ${String(withdrawnSeq)}`)
    const fact = withdrawable(state, withdrawnSeq)
    if (!fact) {
      return withdrawnSeq >= 1 && withdrawnSeq <= state.seq
        ? refuse('fact-not-withdrawable', `fact ${String(withdrawnSeq)}`)
        : refuse('unknown-fact', `fact ${String(withdrawnSeq)}; the last is ${String(state.seq)}`)
    }
    if (who.role === 'crew' && fact.by !== who.linkId) return refuse('not-your-fact', `fact ${String(withdrawnSeq)}`)
    const gone = (facts: readonly { seq: number }[]): Decision => ({
      facts: facts.map(({ seq }) => ({ kind: 'factWithdrawn', atMs, withdrawnSeq: seq }))
    })
    if (fact.kind !== 'orderSet' && fact.kind !== 'receiverAdded') return gone([fact])
    // An order over several tankers was one act, and a receiver with its order as well: withdrawn whole.
    const sameAct = (one: { requestId: string }): boolean => one.requestId === fact.requestId
    const receivers = [...state.receivers.values()].flat().filter(sameAct)
    for (const { flight } of receivers) {
      const busy = flight.ships.find((ship) => (state.ships.get(ship.id)?.length ?? 0) > 0)
      if (busy) return refuse('fact-not-withdrawable', `${busy.callSign} has calls; record that it left`)
    }
    const orders = [...state.orders.values()].flat().filter(sameAct)
    const built = orders.filter((one) => state.orders.get(one.tankerId)?.at(-1)?.seq !== one.seq)
    const [later] = built
    if (!later) return gone([...receivers, ...orders])
    // What later orders hold of a receiver that never was binds nobody.
    if (fact.kind === 'receiverAdded') return gone(receivers)
    return refuse('fact-not-withdrawable', `a later order of ${later.tankerId} builds on fact ${String(later.seq)}`)
  }
}

/** The last instant at which somebody was in contact with a tanker, as far as it is known. */
function lastContactAtMs(state: LiveState, tankerId: string): number | undefined {
  const instants = [...state.ships.values()].flatMap((record) =>
    standing(record).contacts.flatMap((one) =>
      one.tankerId === tankerId ? Math.max(one.contactAtMs, one.disconnectAtMs ?? one.contactAtMs) : []
    )
  )
  return instants.length === 0 ? undefined : Math.max(...instants)
}

/** The limit as computed for what is fitted, with the route from a phase on still ahead, kg. */
function computedLimitKg(
  plan: Brief,
  ship: ShipBrief,
  limit: HandLimit,
  visit: VisitBrief | undefined,
  phaseIndex: number
): number | undefined {
  if (limit === 'bingo') return bingoRuling(plan, ship, phaseIndex)?.computedKg
  if (limit === 'joker') return jokerRuling(plan, ship, phaseIndex)?.computedKg
  const flight = plan.flights.get(ship.flightId)
  if (limit === 'required') return visit && flight && requiredRuling(plan, flight, ship, visit).computedKg
  const trackId = visit && plan.tankers.get(visit.tankerId)?.trackId
  return trackId === undefined ? undefined : abortRuling(plan, ship, trackId).computedKg
}

// Ids that come out of a brief have passed the plan's schema; the brands are put back here, in one place.
const asShip = (id: string) => id as FactOf<'shipJoined'>['shipId']
const asVisit = (id: string) => id as FactOf<'shipJoined'>['visitId']
const asGroup = (id: string) => id as FactOf<'troubleSet'>['groupId']
const asSlot = (id: string) => id as FactOf<'contactMade'>['slotId']
const asLink = (id: string) => id as FactOf<'fuelCalled'>['by']
const asBase = (id: string) => id as FactOf<'shipLeft'>['baseId']

const OBSERVED: ReadonlySet<RequestKind> = new Set(OBSERVED_REQUESTS)

/** The facts a request makes, or the reason why it makes none. */
export function decide(state: LiveState, request: AnyRequest, who: Who, at: Instant): Decision {
  const forbidden = mayAsk(who, request)
  if (forbidden) return refuse(forbidden, `${who.role} may not ask for ${request.kind}`)
  const adopting = request.kind === 'adoptPlan'
  const document = planInForce(state) ?? (adopting ? request.plan : undefined)
  if (!document) return refuse('event-not-begun', 'publish a plan first')
  if (state.closed) return refuse('event-closed', 'nothing more is recorded')
  const atMs = Math.round(request.atMs ?? at.eventMs)
  if (atMs > at.eventMs + AHEAD_MS) {
    return refuse('time-ahead', `observed at ${String(atMs)} ms, event time is ${String(Math.round(at.eventMs))} ms`)
  }
  if (OBSERVED.has(request.kind)) {
    if (!state.opened) return refuse('event-not-begun', 'the event is not open yet')
    if (atMs < document.opensAtMs) {
      return refuse(
        'time-before-event',
        `observed at ${String(atMs)} ms, the event opens at ${String(document.opensAtMs)} ms`
      )
    }
  }
  const decider = DECIDERS[request.kind] as Decider<RequestKind>
  return decider({ state, who, at, atMs, plan: brief(document) }, request)
}
