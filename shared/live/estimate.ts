/**
 * The view of an event at one instant of event time: pure, worked out anew each time from the state and the plan.
 * Board, slot page, state route and order route all show what this gives.
 */
import type { FactOf } from '../contracts/facts.ts'
import type { TankerOrder } from '../contracts/plan.ts'
import type { Limit, Reason, ShipStatus, ShipView, SlotView, TankerView, View } from '../contracts/view.ts'
import { SAME_KG, weakestPoint, type ProofPiece } from '../fuel/ladder.ts'
import { jokerKg } from '../fuel/limits.ts'
import { stepsOfKg } from '../order/judgement.ts'
import type { SlotOut } from '../order/times.ts'
import { brief, type Brief, type FlightBrief, type VisitBrief } from '../plan/brief.ts'
import { abortKg, bingoFrom, isTask, recoveryKg, recoveryOf, requiredKg } from '../plan/limits.ts'
import { feedUntil } from '../tanks/feed.ts'
import { fillCurve } from '../tanks/fill.ts'
import { countedKg, gaugeKg, totalKg, trappedKg, usableKg, type TankState } from '../tanks/sheet.ts'
import { massKg } from '../units.ts'
import { firstBelow, wayAhead, type ContactAhead, type WayAhead } from './ahead.ts'
import { advance, legAt, legsOf, positionOn, type Leg } from './course.ts'
import { ranked } from './ranking.ts'
import { crewsOf, givenKg, judgeOrder, keep, tankerFuelKg, type Crew, type Order, type PlacedSlot } from './slots.ts'
import { orderOf, stationStatusOf, type LiveState } from './state.ts'

/** How far ahead a limit is looked for, s. */
const LOOK_AHEAD_S = 8 * 3600
/** A contact whose flow nobody called by now is worth a word. */
const NO_FLOW_MS = 60_000

/** Everything the figures of one ship are made from, at one instant. */
interface Scene {
  plan: Brief
  nowMs: number
  crew: Crew
  /** Legs with the pushes of the order. */
  legs: readonly Leg[]
  leg: Leg
  tanks: TankState
  /** From the last call on; what lies before now is in it as well. */
  way: WayAhead
  /** This ship's slots, in order of visit. */
  slots: readonly { placed: PlacedSlot; out: SlotOut }[]
  /** Tells this course from others that follow from the same calls. */
  key: string
}

/** The view, or undefined while no plan is adopted. Orders given replace those in force. */
export function estimate(state: LiveState, nowMs: number, orders?: readonly TankerOrder[]): View | undefined {
  if (!state.plan) return undefined
  const plan = brief(state.plan)
  const crews = crewsOf(state, plan, nowMs)
  const order = judgeOrder(state, plan, crews, nowMs, orders)
  const pushes = new Map(order.judged.pushes.map((push) => [push.pushGroupId, push]))
  const outs = new Map(order.judged.slots.map((out) => [out.slotId, out]))
  const scenes = new Map<string, Scene>()
  for (const crew of crews.values()) {
    scenes.set(
      crew.ship.id,
      sceneOf(plan, crew, order, outs, (visit) => pushes.get(visit.pushGroupId)?.pushAtMs, nowMs)
    )
  }
  const nextAt = nextSlots(plan, order, outs)
  const ships = ranked([...scenes.values()].map((scene) => shipView(scene, nextAt))).map((ship, index) => ({
    ...ship,
    rank: index + 1
  }))
  const slots = order.judged.slots.flatMap((out) => {
    const placed = order.slots.get(out.slotId)
    const scene = placed && scenes.get(placed.shipId)
    return scene ? [slotView(scene, placed, out, order)] : []
  })
  const flights = [...plan.flights.values()].map((flight) => flightView(plan, flight, scenes, nowMs))
  return {
    eventId: state.eventId,
    seq: state.seq,
    atMs: nowMs,
    revision: state.revision,
    open: state.opened && !state.closed,
    closed: state.closed,
    clock: state.clock,
    ships,
    slots,
    tankers: tankerViews(state, plan, crews, order, outs, nextAt, nowMs),
    pushes: order.judged.pushes.map((push) => ({
      pushGroupId: push.pushGroupId,
      name: plan.pushGroups.get(push.pushGroupId)?.name ?? push.pushGroupId,
      plannedAtMs: push.plannedAtMs,
      pushAtMs: push.pushAtMs,
      lateS: push.lateMs / 1000
    })),
    flights,
    judgement: order.judged.judgement,
    reasons: reasonsOf(plan, order, ships, slots, flights, scenes, nowMs)
  }
}

function sceneOf(
  plan: Brief,
  crew: Crew,
  order: Order,
  outs: ReadonlyMap<string, SlotOut>,
  pushAtMs: (visit: VisitBrief) => number | undefined,
  nowMs: number
): Scene {
  const { ship, flight, its, folded } = crew
  const slots: { placed: PlacedSlot; out: SlotOut }[] = []
  for (const placed of order.slots.values()) {
    const out = placed.shipId === ship.id ? outs.get(placed.id) : undefined
    if (out) slots.push({ placed, out })
  }
  slots.sort((a, b) => a.placed.visit.index - b.placed.visit.index || a.out.contactAtMs - b.out.contactAtMs)
  const contacts = slots
    .filter(({ out }) => out.state === 'planned' || out.state === 'in contact')
    .map(({ placed, out }): ContactAhead => ({
      slotId: placed.id,
      stationRateKgPerS: placed.station.rateKgPerS,
      contactAtMs: out.contactAtMs,
      disconnectAtMs: out.disconnectAtMs,
      onLoadKg: out.onLoadKg
    }))
  const fresh = legsOf(plan, flight, ship, its, nowMs, pushAtMs)
  const key = courseKey(fresh, contacts)
  const { legs, way } = keep(folded.kept, `way ${key}`, () => {
    const endMs = Math.max(fresh.at(-1)?.fromAtMs ?? nowMs, folded.anchor.atMs)
    return { legs: fresh, way: wayAhead(ship, fresh, folded.anchor, endMs, contacts, its.externals) }
  })
  const now = advance(ship, legs, folded.anchor, nowMs)
  return { plan, nowMs, crew, legs, leg: legAt(legs, nowMs), tanks: now.state, way, slots, key }
}

/** A course ahead is the same for as long as its legs and contacts are: it need not be worked out each second. */
function courseKey(legs: readonly Leg[], contacts: readonly ContactAhead[]): string {
  let key = ''
  for (const leg of legs) key += `${String(leg.phaseIndex)}:${String(leg.toAtMs)} `
  for (const one of contacts)
    key += `${one.slotId}:${String(one.contactAtMs)}:${String(one.disconnectAtMs)}:${String(one.onLoadKg)}:${String(one.stationRateKgPerS)} `
  return key
}

/** Head of each station: the first slot still to come there. */
function nextSlots(plan: Brief, order: Order, outs: ReadonlyMap<string, SlotOut>): ReadonlyMap<string, string> {
  const heads = new Map<string, { slotId: string; index: number }>()
  for (const placed of order.slots.values()) {
    const out = outs.get(placed.id)
    if (out?.state !== 'planned') continue
    const head = heads.get(placed.station.key)
    if (!head || out.index < head.index) heads.set(placed.station.key, { slotId: placed.id, index: out.index })
  }
  return new Map(
    [...plan.stations.keys()].flatMap((key) => {
      const head = heads.get(key)
      return head ? [[key, head.slotId] as const] : []
    })
  )
}

/** The slot that counts now: in contact, else the next to come, else the last one flown. */
function slotNow({ slots }: Scene): { placed: PlacedSlot; out: SlotOut } | undefined {
  return (
    slots.find(({ out }) => out.state === 'in contact') ??
    slots.find(({ out }) => out.state === 'planned' || out.state === 'missed') ??
    slots.findLast(({ out }) => out.state === 'done')
  )
}

/** Slots of the visit a ship is at or on its way to. */
const currentSlots = ({ crew, slots }: Scene) => slots.filter(({ placed }) => placed.visit.id === crew.current?.id)

function statusOf(scene: Scene, nextAt: ReadonlyMap<string, string>): ShipStatus {
  const { crew, leg, nowMs } = scene
  const { its, current, flight } = crew
  if (its.landed) return 'landed'
  if (its.left) return 'left'
  if (its.inContact) return 'in contact'
  if (leg.kind === 'planned') return 'planned'
  if (current && its.joined.has(current.id)) {
    const here = currentSlots(scene)
    const open = here.filter(({ out }) => out.state === 'planned' || out.state === 'missed')
    if (open.length === 0 && here.some(({ out }) => out.state === 'done')) return 'done'
    const first = open[0]
    if (first?.out.state === 'missed' || (first?.out.latestContactAtMs ?? Infinity) < nowMs) return 'must leave'
    return first && nextAt.get(first.placed.station.key) === first.placed.id ? 'next' : 'waiting'
  }
  const visitAt = current ? flight.phases.findIndex((phase) => phase.visit?.id === current.id) : flight.phases.length
  const taskAhead = flight.phases.some((phase, index) => index >= leg.phaseIndex && index < visitAt && isTask(phase))
  if (taskAhead) return 'on task'
  return current ? 'inbound' : 'recovering'
}

/** Seconds until a fuel falls to a level at a constant burn; negative where it is below already, by the burn. */
function untilLevelS(scene: Scene, burnKgPerS: number, measure: 'counted' | 'usable', levelKg: number): number {
  const { ship } = scene.crew
  const heldKg = measure === 'counted' ? countedKg(ship.sheet, scene.tanks) : usableKg(ship.sheet, scene.tanks)
  if (heldKg < levelKg) return (heldKg - levelKg) / Math.max(burnKgPerS, 1e-9)
  return feedUntil(ship.sheet, scene.tanks, burnKgPerS, measure, levelKg, LOOK_AHEAD_S) ?? Infinity
}

type Candidate = [Limit, number | undefined]

/** The limits that apply, each with the instant at which it is reached. */
function limitsAhead(scene: Scene, status: ShipStatus): Candidate[] {
  const { plan, crew, legs, leg, way, nowMs } = scene
  const { ship, flight, current } = crew
  switch (status) {
    case 'landed':
    case 'left':
    case 'in contact':
      return []
    case 'planned':
    case 'inbound':
    case 'waiting':
    case 'next':
    case 'must leave':
      return [['latest contact', latestContact(scene)]]
    case 'done': {
      if (!current) return []
      const burnKgPerS = flight.refuellingFlowKgPerS * ship.dragFactor
      const needKg = requiredKg(plan, flight, ship, current)
      return [['latest push', nowMs + untilLevelS(scene, burnKgPerS, 'usable', needKg) * 1000]]
    }
    case 'on task':
    case 'recovering': {
      const ready = current && legs.find((one) => one.visit?.id === current.id)
      const bends = way.bends.slice(
        Math.max(
          0,
          way.bends.findLastIndex((bend) => bend.atMs <= nowMs)
        )
      )
      const home = (from: Leg, at: Leg['from']) =>
        recoveryKg(plan, ship, at, from.visit?.abortBaseId ?? flight.recoveryBaseId)
      const recovery: Candidate = [
        'recovery fuel',
        firstBelow(bends, home, (bend) => bend.leg === ready || bend.leg.kind === 'ended')
      ]
      if (ready) return [['leave for the tanker', leaveForTanker(scene, ready)], recovery]
      const bingo = firstBelow(
        bends,
        (from) => bingoFrom(plan, ship, from.phaseIndex),
        (bend) => bend.leg.kind === 'ended'
      )
      return leg.kind === 'ended' ? [] : [['bingo', bingo], recovery]
    }
  }
}

/** When counted fuel falls to abort fuel on the way to the tanker and waiting there. */
function latestContact(scene: Scene): number | undefined {
  const { plan, crew, legs, nowMs } = scene
  const { ship, flight, current } = crew
  if (!current) return undefined
  const slot = currentSlots(scene).find(({ out }) => out.state === 'planned' || out.state === 'missed')
  const judged = slot?.out.latestContactAtMs
  if (judged !== undefined) return judged
  const trackId = slot?.placed.tanker.trackId ?? plan.tankers.get(current.tankerId)?.trackId ?? ''
  const readyAtMs = Math.max(nowMs, legs.find((one) => one.visit?.id === current.id)?.fromAtMs ?? nowMs)
  const at = advance(ship, legs, { ...crew.folded.anchor, contact: undefined }, readyAtMs)
  const burnKgPerS = flight.refuellingFlowKgPerS * ship.dragFactor
  const levelKg = abortKg(plan, ship, trackId)
  const heldKg = countedKg(ship.sheet, at.state)
  const untilS =
    heldKg < levelKg
      ? (heldKg - levelKg) / burnKgPerS
      : feedUntil(ship.sheet, at.state, burnKgPerS, 'counted', levelKg, LOOK_AHEAD_S)
  return untilS === undefined ? undefined : readyAtMs + untilS * 1000
}

/**
 * The last instant to stop the task and fly to the tanker as planned: what would be spare there above abort fuel and
 * the hook-up, spent at the flow of the last task phase after its planned end.
 */
function leaveForTanker(scene: Scene, ready: Leg): number | undefined {
  const { plan, crew, legs, leg } = scene
  const { ship, flight, current } = crew
  const task = legs.findLast(
    (one) => one.phaseIndex >= leg.phaseIndex && one.phaseIndex < ready.phaseIndex && isTask(one)
  )
  if (!task || !current) return undefined
  const placed = currentSlots(scene)[0]?.placed
  const tanker = placed?.tanker ?? plan.tankers.get(current.tankerId)
  if (!tanker) return undefined
  const hookUpMs =
    placed?.station.hookUpMs ?? tanker.stations.find((one) => one.method === flight.method)?.hookUpMs ?? 0
  const at = advance(ship, legs, { ...crew.folded.anchor, contact: undefined }, ready.fromAtMs)
  const burnKgPerS = flight.refuellingFlowKgPerS * ship.dragFactor
  const spareKg = countedKg(ship.sheet, at.state) - abortKg(plan, ship, tanker.trackId) - (burnKgPerS * hookUpMs) / 1000
  return task.toAtMs + (spareKg / task.burnKgPerS) * 1000
}

function shipView(scene: Scene, nextAt: ReadonlyMap<string, string>): ShipView {
  const { plan, crew, leg, tanks, nowMs } = scene
  const { ship, flight, current } = crew
  const { sheet } = ship
  const status = statusOf(scene, nextAt)
  const slot = slotNow(scene)
  const at = positionOn(leg, nowMs)
  const track =
    slot?.placed.visit.id === current?.id
      ? slot?.placed.tanker.trackId
      : plan.tankers.get(current?.tankerId ?? '')?.trackId
  const bingo = bingoFrom(plan, ship, leg.phaseIndex)
  let margin: ShipView['margin'] = null
  for (const [limit, atMs] of limitsAhead(scene, status)) {
    if (atMs === undefined || atMs === Infinity || (margin && margin.atMs <= atMs)) continue
    margin = { limit, atMs, marginS: (atMs - nowMs) / 1000 }
  }
  const call = crew.record.findLast(
    (fact): fact is FactOf<'fuelCalled'> => fact.kind === 'fuelCalled' && fact.atMs <= nowMs
  )
  const staleAtMs = call ? call.atMs + plan.staleAfterMs : null
  return {
    shipId: ship.id,
    callSign: ship.callSign,
    flightId: flight.id,
    rank: 0,
    status,
    phaseId: leg.phaseId ?? null,
    externals: tanks.externals,
    tanks: sheet.groups.map((group, index) => ({
      groupId: group.id,
      name: group.name,
      external: group.place === 'external',
      quantityKg: (tanks.quantitiesKg[index] ?? []).reduce((sum, kg) => sum + kg, 0),
      capacityKg: group.capacityKg * group.tankCount,
      trappedKg: trappedKg(sheet, tanks, index)
    })),
    fuelKg: totalKg(sheet, tanks),
    usableKg: usableKg(sheet, tanks),
    countedKg: countedKg(sheet, tanks),
    gaugeKg: gaugeKg(sheet, tanks),
    capacityKg: ship.capacityKg,
    flowKgPerS: leg.burnKgPerS,
    lastCall: call
      ? {
          seq: call.seq,
          atMs: call.atMs,
          figureKg: massKg(call.fuel),
          covers: call.covers,
          stale: nowMs > (staleAtMs ?? Infinity)
        }
      : null,
    staleAtMs,
    abortKg: track === undefined ? null : abortKg(plan, ship, track),
    abortBaseId: track === undefined ? null : (plan.tracks.get(track)?.abortBaseId ?? null),
    bingoKg: bingo ?? null,
    jokerKg: bingo === undefined ? null : jokerKg({ bingoKg: bingo, allowanceKg: plan.jokerAllowanceKg }),
    recoveryKg: recoveryKg(plan, ship, at, flight.recoveryBaseId) ?? null,
    recoveryBaseId: flight.recoveryBaseId,
    margin,
    slotId: slot?.placed.id ?? null,
    left: leftOf(scene)
  }
}

/** Where a ship that left goes, and what it holds there before the approach. */
function leftOf({ plan, crew, legs, nowMs }: Scene): ShipView['left'] {
  const { ship, its, folded } = crew
  if (!its.left) return null
  const { baseId, atMs } = its.left
  const leg = legs.find((one) => one.kind === 'diverting')
  if (!leg || !plan.bases.has(baseId)) return { baseId, atMs, arrivesAtMs: null, fuelOnArrivalKg: null }
  const there = advance(ship, legs, folded.anchor, Math.max(leg.toAtMs, nowMs))
  return { baseId, atMs, arrivesAtMs: leg.toAtMs, fuelOnArrivalKg: usableKg(ship.sheet, there.state) }
}

function slotView(scene: Scene, placed: PlacedSlot, out: SlotOut, order: Order): SlotView {
  const { plan, crew, way } = scene
  const { ship, flight } = crew
  const { station, tanker, visit } = placed
  const trackAbortKg = abortKg(plan, ship, tanker.trackId)
  const atContact = way.atContact.get(placed.id)
  const stops = atContact
    ? keep(crew.folded.kept, `stops ${placed.id} ${scene.key}`, () => stopsOf(crew, placed, atContact))
    : []
  const ahead = out.aheadSlotId === undefined ? undefined : order.slots.get(out.aheadSlotId)
  return {
    slotId: placed.id,
    shipId: ship.id,
    visitId: visit.id,
    flightId: flight.id,
    tankerId: tanker.id,
    stationId: station.stationId,
    index: out.index,
    state: out.state,
    pinned: placed.pin.pinned,
    serveAnyway: placed.pin.serveAnyway,
    aheadShipId: ahead?.shipId ?? null,
    readyAtMs: out.readyAtMs,
    startAtMs: out.startAtMs,
    contactAtMs: out.contactAtMs,
    disconnectAtMs: out.disconnectAtMs,
    latestContactAtMs: out.latestContactAtMs ?? null,
    leaveWaitByMs: out.latestContactAtMs === undefined ? null : out.latestContactAtMs - station.hookUpMs,
    slackS: out.slackMs === undefined ? null : out.slackMs / 1000,
    pastS: out.pastMs / 1000,
    onLoadKg: out.onLoadKg,
    neededKg: out.neededKg,
    endedBy: out.state === 'done' ? 'called' : out.endedBy,
    fuelAtContactKg: out.fuelAtContactKg,
    gaugeAtContactKg: atContact ? gaugeKg(ship.sheet, atContact) : out.fuelAtContactKg,
    fuelAtDisconnectKg: out.fuelAtDisconnectKg,
    requiredAtPushKg: out.requiredAtPushKg,
    fuelAtPushKg: out.fuelAtPushKg,
    shortageKg: out.shortageKg,
    pushGroupId: visit.pushGroupId,
    plannedPushAtMs: out.plannedPushAtMs,
    pushAtMs: out.pushAtMs,
    latestPushAtMs: out.latestPushAtMs ?? null,
    abortBaseId: plan.tracks.get(tanker.trackId)?.abortBaseId ?? visit.abortBaseId,
    abortKg: trackAbortKg,
    stops
  }
}

/** What stopping at each bend of the fill costs and gives. */
function stopsOf({ ship, flight }: Crew, { station }: PlacedSlot, atContact: TankState): SlotView['stops'] {
  const burnKgPerS = flight.refuellingFlowKgPerS * ship.dragFactor
  const curve = fillCurve(ship.sheet, atContact, { stationRateKgPerS: station.rateKgPerS, burnKgPerS })
  return curve.points.slice(1).map((point, index) => ({
    minutesS: point.atS,
    onLoadKg: point.onLoadKg,
    fuelKg: point.fuelKg,
    closes: point.closes.map((group) => ship.sheet.groups[group]?.name ?? '').join(', ') || null,
    knee: curve.kneeIndex === index + 1
  }))
}

function flightView(
  plan: Brief,
  flight: FlightBrief,
  scenes: ReadonlyMap<string, Scene>,
  nowMs: number
): View['flights'][number] {
  const members = flight.ships.flatMap((ship) => scenes.get(ship.id) ?? [])
  let weakest: View['flights'][number]['weakest'] = null
  for (const scene of members) {
    const point = weakestOf(plan, flight, scene)
    if (point && (!weakest || point.marginKg < weakest.marginKg - SAME_KG)) weakest = point
  }
  const flying = members.filter(({ crew }) => !crew.its.landed)
  const least = flying.reduce<Scene | undefined>((worst, one) => {
    const kg = (scene: Scene) => totalKg(scene.crew.ship.sheet, scene.tanks)
    return !worst || kg(one) < kg(worst) ? one : worst
  }, undefined)
  const ladder: View['flights'][number]['ladder'] = []
  if (least) {
    const { way, legs, crew } = least
    for (const leg of legs) {
      if (leg.toAtMs <= nowMs || leg.phaseIndex < 0) continue
      const bend = way.bends.find((one) => one.leg === leg) ?? (leg.kind === 'ended' ? way.bends.at(-1) : undefined)
      const flying = leg.fromAtMs < nowMs
      const held = flying ? least.tanks : bend?.state
      if (!held) continue
      ladder.push({
        atMs: flying ? nowMs : leg.fromAtMs,
        phaseId: leg.phaseId ?? null,
        fuelKg: totalKg(crew.ship.sheet, held),
        countedKg: countedKg(crew.ship.sheet, held),
        recoveryKg:
          recoveryKg(plan, crew.ship, flying ? positionOn(leg, nowMs) : leg.from, flight.recoveryBaseId) ?? null
      })
    }
  }
  return { flightId: flight.id, callSign: flight.callSign, weakest, ladder }
}

type Weakest = View['flights'][number]['weakest']

/**
 * The point of the way ahead at which counted fuel stands least above what an open base asks for. What is ahead only
 * shrinks while nothing changes, so the weakest point stays the weakest until it is passed.
 */
function weakestOf(plan: Brief, flight: FlightBrief, scene: Scene): Weakest {
  const { crew, nowMs, key } = scene
  if (crew.its.left ?? crew.its.landed) return null
  const { kept } = crew.folded
  const name = `weakest ${key}`
  const known = kept.get(name) as Weakest | undefined
  if (known && known.atMs >= nowMs) return known
  const fresh = weakestFromNow(plan, flight, scene)
  kept.set(name, fresh)
  return fresh
}

function weakestFromNow(plan: Brief, flight: FlightBrief, { way, crew, legs, nowMs }: Scene): Weakest {
  const pieces: ProofPiece[] = []
  for (let i = 0; i + 1 < way.bends.length; i++) {
    const a = way.bends[i]
    const b = way.bends[i + 1]
    if (!a || !b || a.leg !== b.leg || b.atMs < nowMs || a.leg.kind === 'planned' || a.leg.kind === 'ended') continue
    const fromMs = Math.max(a.atMs, nowMs)
    const share = b.atMs > a.atMs ? (fromMs - a.atMs) / (b.atMs - a.atMs) : 0
    pieces.push({
      fromS: fromMs / 1000,
      toS: b.atMs / 1000,
      fuelFromKg: a.countedKg + share * (b.countedKg - a.countedKg),
      fuelToKg: b.countedKg,
      from: positionOn(a.leg, fromMs),
      to: positionOn(a.leg, b.atMs)
    })
  }
  const bases = flight.openBaseIds.flatMap((id) => {
    const position = plan.bases.get(id)
    return position ? [{ id, position }] : []
  })
  const weakest = weakestPoint(pieces, bases, recoveryOf(plan, crew.ship))
  if (!weakest) return null
  const atMs = weakest.atS * 1000
  return {
    atMs,
    phaseId: legAt(legs, atMs).phaseId ?? '',
    shipId: crew.ship.id,
    marginKg: weakest.marginKg,
    baseId: weakest.baseId
  }
}

function tankerViews(
  state: LiveState,
  plan: Brief,
  crews: ReadonlyMap<string, Crew>,
  order: Order,
  outs: ReadonlyMap<string, SlotOut>,
  nextAt: ReadonlyMap<string, string>,
  nowMs: number
): TankerView[] {
  const ledgers = new Map(order.judged.ledger.map((ledger) => [ledger.tankerId, ledger]))
  return [...plan.tankers.values()].flatMap((tanker) => {
    const ledger = ledgers.get(tanker.id)
    if (!ledger) return []
    return [
      {
        tankerId: tanker.id,
        callSign: tanker.callSign,
        trackId: tanker.trackId,
        stations: tanker.stations.map((station) => {
          const guest = [...crews.values()].find(
            ({ its }) => its.inContact?.tankerId === tanker.id && its.inContact.stationId === station.stationId
          )
          const contact = guest?.its.inContact
          return {
            stationId: station.stationId,
            name: station.name,
            status: stationStatusOf(state, station.key),
            inContact: contact
              ? {
                  shipId: guest.ship.id,
                  slotId: contact.slotId,
                  sinceMs: contact.contactAtMs,
                  flowing: contact.flowCalled
                    ? ('called' as const)
                    : nowMs >= contact.flowAtMs
                      ? ('assumed' as const)
                      : ('no' as const),
                  disconnectAtMs: outs.get(contact.slotId)?.disconnectAtMs ?? nowMs
                }
              : null,
            nextSlotId: nextAt.get(station.key) ?? null
          }
        }),
        fuelKg: tankerFuelKg(state, tanker, crews, nowMs),
        giveKg: ledger.giveKg,
        givenKg: givenKg(tanker.id, crews, nowMs),
        promisedKg: ledger.promisedKg,
        shortKg: ledger.shortKg,
        dryAtSlotId: ledger.dryAtSlotId ?? null,
        leavesAtMs: ledger.leavesAtMs,
        lastDisconnectAtMs: ledger.lastDisconnectAtMs ?? null,
        orderSeq: orderOf(state, tanker.id).seq
      }
    ]
  })
}

const PLAIN: Omit<Reason, 'kind' | 'severity'> = {
  shipId: null,
  slotId: null,
  tankerId: null,
  pushGroupId: null,
  atMs: null,
  byKg: null,
  byS: null
}
const SEVERITY = { now: 0, soon: 1, note: 2 } as const

/** What breaks or will break, worst first: by severity, then by how soon. */
function reasonsOf(
  plan: Brief,
  order: Order,
  ships: readonly ShipView[],
  slots: readonly SlotView[],
  flights: View['flights'],
  scenes: ReadonlyMap<string, Scene>,
  nowMs: number
): Reason[] {
  const reasons: Reason[] = [...order.judged.reasons]
  for (const slot of slots) {
    if (slot.state !== 'planned' || slot.slackS === null || slot.slackS < 0 || slot.slackS >= plan.lateMarginS) continue
    reasons.push({
      ...PLAIN,
      kind: 'near latest contact',
      severity: 'soon',
      shipId: slot.shipId,
      slotId: slot.slotId,
      tankerId: slot.tankerId,
      atMs: slot.latestContactAtMs,
      byS: slot.slackS
    })
  }
  for (const ship of ships) {
    const about = { ...PLAIN, shipId: ship.shipId, slotId: ship.slotId }
    if (ship.margin && ship.margin.marginS < 0 && ship.margin.limit !== 'latest contact') {
      const kind = ship.margin.limit === 'latest push' ? 'past latest push' : 'below limit'
      const said = reasons.some((reason) => reason.kind === kind && reason.shipId === ship.shipId)
      if (!said) reasons.push({ ...about, kind, severity: 'now', atMs: ship.margin.atMs, byS: -ship.margin.marginS })
    }
    if (ship.lastCall?.stale && ship.status !== 'landed' && ship.status !== 'left') {
      const byS = (nowMs - (ship.staleAtMs ?? nowMs)) / 1000
      reasons.push({ ...about, kind: 'stale call', severity: 'note', atMs: ship.staleAtMs, byS })
    }
    const scene = scenes.get(ship.shipId)
    const starvedAtMs = scene?.way.starvedAtMs
    if (starvedAtMs !== undefined && starvedAtMs >= nowMs) {
      reasons.push({ ...about, kind: 'feed starved', severity: 'now', atMs: starvedAtMs })
    }
    const contact = scene?.crew.its.inContact
    if (contact && !contact.flowCalled && nowMs - contact.contactAtMs > NO_FLOW_MS) {
      const byS = (nowMs - contact.contactAtMs) / 1000
      reasons.push({
        ...about,
        kind: 'no fuel flowing',
        severity: 'note',
        tankerId: contact.tankerId,
        atMs: contact.contactAtMs,
        byS
      })
    }
  }
  for (const { weakest } of flights) {
    if (!weakest || stepsOfKg(weakest.marginKg) >= 0) continue
    reasons.push({
      ...PLAIN,
      kind: 'weak point',
      severity: 'now',
      shipId: weakest.shipId,
      atMs: weakest.atMs,
      byKg: -weakest.marginKg
    })
  }
  return reasons.sort(
    (a, b) => SEVERITY[a.severity] - SEVERITY[b.severity] || (a.atMs ?? Infinity) - (b.atMs ?? Infinity) || 0
  )
}
