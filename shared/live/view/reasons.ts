import type { Reason, ShipView, SlotView, TankerView, View } from '../../contracts/view.ts'
import { stepsOfKg } from '../../order/judgement.ts'
import type { Brief } from '../../plan/brief.ts'
import { BOARD_STEP, massIn } from '../../units.ts'
import { isServed } from '../served.ts'
import type { Order } from '../slots.ts'
import { askedReasons } from './asked.ts'
import { baseReasons } from './bases.ts'
import type { Scene } from './scene.ts'

/** A contact whose flow nobody called by now is worth a word. */
const NO_FLOW_MS = 60_000

/** A hold that begins within this of now is the one that is flown. */
const AT_ONCE_MS = 1000

const PLAIN: Omit<Reason, 'kind' | 'severity'> = {
  shipId: null,
  slotId: null,
  tankerId: null,
  pushGroupId: null,
  atMs: null,
  byKg: null,
  byS: null,
  mend: null
}

const SEVERITY: Record<Reason['severity'], number> = { now: 0, soon: 1, note: 2 }

export interface Seen {
  ships: readonly ShipView[]
  slots: readonly SlotView[]
  tankers: readonly TankerView[]
  flights: View['flights']
  scenes: ReadonlyMap<string, Scene>
  nowMs: number
}

/**
 * What breaks or will break, worst first: a ship that may not reach its base; of what is of now then who gets no contact,
 * by weight; then the rest; last what is soon, and notes. Among equals the sooner comes first.
 */
export function reasonsOf(plan: Brief, order: Order, seen: Seen): Reason[] {
  const { ships, slots, tankers, flights, scenes, nowMs } = seen
  const reasons = [
    ...order.judged.reasons.filter((reason) => !isBehind(reason, order, scenes)),
    ...baseReasons(PLAIN, plan, scenes, { ships, slots }),
    ...[...scenes.values()].flatMap((scene) => askedReasons(PLAIN, scene)),
    ...slots.flatMap((slot) => closeCalls(slot, plan.lateMarginS)),
    ...tankers.flatMap((tanker) => suspectStations(tanker, slots))
  ]
  for (const ship of ships) {
    if (ship.status !== 'no-show') reasons.push(...shipReasons(ship, seen, limitsPassed(ship, reasons)))
  }
  reasons.push(...flights.flatMap((flight) => weakPoints(flight, seen)))
  const dueMs = ({ severity, atMs }: Reason) => atMs ?? (severity === 'now' ? nowMs : Infinity)
  const weight = (reason: Reason) =>
    rankOf(reason) === UNSERVED ? (scenes.get(reason.shipId ?? '')?.crew.flight.weight ?? 0) : 0
  return reasons
    .map((reason) => (isSmall(reason, plan, nowMs) ? { ...reason, severity: 'soon' as const } : reason))
    .sort((a, b) => rankOf(a) - rankOf(b) || weight(b) - weight(a) || dueMs(a) - dueMs(b) || 0)
}

/** What a ship that has pushed, left or landed has behind it; a push once nobody is left that has still to push. */
function isBehind(reason: Reason, order: Order, scenes: ReadonlyMap<string, Scene>): boolean {
  const { kind, shipId, slotId, pushGroupId } = reason
  if (kind === 'late push') return hasPushed(pushGroupId, scenes)
  const its = scenes.get(shipId ?? '')?.crew.its
  if (its === undefined || kind === 'tanker dry') return false
  const visitId = order.slots.get(slotId ?? '')?.visit.id
  return (its.left ?? its.landed) !== undefined || (visitId !== undefined && its.pushed.has(visitId))
}

/** Whoever went home or never came holds no push up. */
const hasPushed = (pushGroupId: string | null, scenes: ReadonlyMap<string, Scene>): boolean =>
  [...scenes.values()].every(
    ({ crew: { flight, its } }) =>
      (its.left ?? its.landed ?? its.noShow) !== undefined ||
      flight.visits.every((visit) => visit.pushGroupId !== pushGroupId || its.pushed.has(visit.id))
  )

/** Lacks that no board shows are no trouble of now; nor is what a ship lacks of its way home, while that is still to come. */
const LACKS: ReadonlySet<Reason['kind']> = new Set(['short at push', 'past latest push', 'weak point'])
const isSmall = ({ kind, severity, byKg, atMs }: Reason, { plan }: Brief, nowMs: number): boolean =>
  severity === 'now' &&
  byKg !== null &&
  LACKS.has(kind) &&
  massIn(plan.massUnit, byKg) < BOARD_STEP &&
  (kind !== 'weak point' || (atMs ?? nowMs) > nowMs)

/**
 * Nothing is worse than a ship in the air that no order can help any more: it goes home now, or to a nearer base. Then one
 * whose way as planned ends in the air.
 */
const WORST: Partial<Record<Reason['kind'], number>> = {
  'short at base': -2,
  'below recovery fuel': -2,
  'out of fuel': -1
}
/** Who gets no contact, or has gone below a limit already: of now, and before all else of now. */
const UNSERVED = -0.5
const GETS_NONE: ReadonlySet<Reason['kind']> = new Set([
  'past latest contact',
  'station closed',
  'waits in a circle',
  'not in the order',
  'no abort base',
  'no open base',
  'below limit',
  'feed starved'
])
const rankOf = ({ kind, severity }: Reason): number =>
  WORST[kind] ?? (severity === 'now' && GETS_NONE.has(kind) ? UNSERVED : SEVERITY[severity])

function closeCalls(slot: SlotView, lateMarginS: number): Reason[] {
  const { shipId, slotId, tankerId, slackS, latestContactAtMs: atMs } = slot
  if (slot.state !== 'planned' || slackS === null || slackS < 0 || slackS >= lateMarginS) return []
  return [{ ...PLAIN, kind: 'near latest contact', severity: 'soon', shipId, slotId, tankerId, atMs, byS: slackS }]
}

/** A station that takes nobody new: worth more than a word while somebody stands in turn there. */
function suspectStations({ tankerId, stations }: TankerView, slots: readonly SlotView[]): Reason[] {
  return stations.flatMap(({ stationId, status }): Reason[] => {
    if (status !== 'suspect') return []
    const first = slots
      .filter((slot) => slot.tankerId === tankerId && slot.stationId === stationId)
      .filter(({ state }) => state === 'planned' || state === 'missed')
      .reduce<number | null>((atMs, slot) => Math.min(atMs ?? Infinity, slot.contactAtMs), null)
    const severity = first === null ? 'note' : 'soon'
    return [{ ...PLAIN, kind: 'station suspect', severity, tankerId, stationId, atMs: first }]
  })
}

/** A limit that is behind a ship already, unless the order has said so. */
function limitsPassed(ship: ShipView, said: readonly Reason[]): Reason[] {
  const { margin, shipId, slotId } = ship
  const recovery = ship.margins.find(({ limit, marginS }) => limit === 'recovery fuel' && marginS < 0)
  if (recovery) {
    const { atMs, marginS } = recovery
    const byKg = -marginS * ship.flowKgPerS
    return [{ ...PLAIN, kind: 'below recovery fuel', severity: 'now', shipId, slotId, atMs, byKg }]
  }
  if (!margin || margin.marginS >= 0 || margin.limit === 'latest contact') return []
  const kind = margin.limit === 'latest push' ? 'past latest push' : 'below limit'
  if (said.some((reason) => reason.kind === kind && reason.shipId === shipId)) return []
  return [{ ...PLAIN, kind, severity: 'now', shipId, slotId, atMs: margin.atMs, byS: -margin.marginS }]
}

function shipReasons(ship: ShipView, seen: Seen, passed: readonly Reason[]): Reason[] {
  const { scenes, slots, nowMs } = seen
  const about = { ...PLAIN, shipId: ship.shipId, slotId: ship.slotId }
  const reasons = [...passed, ...shortAtBase(ship)]
  const down = ship.status === 'landed'
  const gone = down || ship.status === 'left'
  if (ship.lastCall?.stale && !gone) {
    const byS = (nowMs - (ship.staleAtMs ?? nowMs)) / 1000
    reasons.push({ ...about, kind: 'stale call', severity: 'note', atMs: ship.staleAtMs, byS })
  }
  const slot = slots.find((one) => one.slotId === ship.slotId)
  if (ship.externals === 'held' && slot && releases(slot, nowMs)) {
    reasons.push({ ...about, kind: 'hold to release', severity: 'now', tankerId: slot.tankerId })
  }
  if (!gone && ship.externalsRead === 'not giving') {
    reasons.push({ ...about, kind: 'externals not giving', severity: 'now' })
  }
  if (!gone && ship.externalsRead === 'unclear') {
    reasons.push({ ...about, kind: 'externals unclear', severity: 'soon' })
  }
  if (ship.feedLow && !down) reasons.push({ ...about, kind: 'feed low', severity: 'soon' })
  const overruledKg = Object.values(ship.limits).map((limit) =>
    limit === null || limit.byHandKg === null ? 0 : limit.computedKg - limit.byHandKg
  )
  const byKg = Math.max(...overruledKg)
  if (byKg > 0) reasons.push({ ...about, kind: 'hand limit overruled', severity: 'note', byKg })
  const scene = scenes.get(ship.shipId)
  const starved = scene?.way.starved.find(({ toMs }) => toMs > nowMs)
  if (starved && !down) reasons.push({ ...about, kind: 'feed starved', severity: 'now', atMs: starved.fromMs })
  const empty = scene?.way.empty.find(({ toMs }) => toMs > nowMs)
  if (empty && !down) reasons.push(outOfFuel(about, empty.fromMs, ship.status === 'left' ? [] : slots))
  const contact = scene?.crew.its.inContact
  if (contact && !contact.flowCalled && nowMs - contact.contactAtMs > NO_FLOW_MS) {
    const { tankerId, contactAtMs: atMs } = contact
    const byS = (nowMs - atMs) / 1000
    const isLow = ship.abortKg !== null && ship.countedKg - ship.estimate.unsureKg < ship.abortKg
    const severity = isLow ? 'now' : 'soon'
    reasons.push({ ...about, kind: 'no fuel flowing', severity, tankerId, atMs, byS })
  }
  return reasons
}

/** With nothing left from an instant on: what it would have come to next, by the order and its route. */
function outOfFuel(about: Pick<Reason, keyof typeof PLAIN>, atMs: number, slots: readonly SlotView[]): Reason {
  const next = slots
    .filter((slot) => slot.shipId === about.shipId && isServed(slot))
    .flatMap(({ slotId, contactAtMs, pushAtMs }) => [
      { slotId, before: 'contact' as const, dueMs: contactAtMs },
      { slotId, before: 'push' as const, dueMs: pushAtMs }
    ])
    .filter(({ dueMs }) => dueMs >= atMs)
    .reduce<{ slotId: string; before: 'contact' | 'push'; dueMs: number } | undefined>(
      (first, one) => (first && first.dueMs <= one.dueMs ? first : one),
      undefined
    )
  const { slotId, before } = next ?? { slotId: about.slotId, before: 'landing' as const }
  return { ...about, kind: 'out of fuel', severity: 'now', slotId, atMs, before }
}

/** On the safe side it comes to its base with less than approach and landing ask for. */
function shortAtBase({ status, left, shipId, slotId }: ShipView): Reason[] {
  if (status !== 'left' || left === null) return []
  const { baseId, arrivesAtMs: atMs, fuelOnArrivalLowKg, reserveKg } = left
  if (fuelOnArrivalLowKg === null || reserveKg === null || stepsOfKg(fuelOnArrivalLowKg - reserveKg) >= 0) return []
  const byKg = reserveKg - fuelOnArrivalLowKg
  return [{ ...PLAIN, kind: 'short at base', severity: 'now', shipId, slotId, baseId, atMs, byKg }]
}

/** The weakest point of a way that asks for more than there is; what is lacking may be taken at a contact before it. */
function weakPoints({ weakest }: View['flights'][number], seen: Seen): Reason[] {
  if (!weakest || stepsOfKg(weakest.marginKg) >= 0) return []
  const { shipId, atMs, marginKg } = weakest
  const byKg = -marginKg
  const last = seen.slots
    .filter((slot) => slot.shipId === shipId && (slot.state === 'planned' || slot.state === 'in contact'))
    .filter(({ disconnectAtMs, endedBy }) => disconnectAtMs <= atMs && TAKES_MORE.has(endedBy))
    .toSorted((a, b) => a.disconnectAtMs - b.disconnectAtMs)
    .at(-1)
  const mends = last !== undefined && byKg <= moreKg(last, seen)
  const mend = mends ? { kind: 'take more' as const, byKg, byS: null } : null
  const slotId = mends ? last.slotId : null
  return [{ ...PLAIN, kind: 'weak point', severity: 'now', shipId, slotId, atMs, byKg, mend }]
}

/** What could be taken at a contact beyond what it takes: what its tanks have room for, and its tanker has promised nobody. */
function moreKg({ shipId, tankerId, fuelAtDisconnectKg }: SlotView, { ships, tankers }: Seen): number {
  const ship = ships.find((one) => one.shipId === shipId)
  const tanker = tankers.find((one) => one.tankerId === tankerId)
  if (!ship || !tanker) return 0
  return Math.min(ship.capacityKg - fuelAtDisconnectKg, tanker.giveKg - tanker.promisedKg)
}

/** What ends a contact that could go on. */
const TAKES_MORE: ReadonlySet<SlotView['endedBy']> = new Set(['target', 'called'])

/**
 * A flown hold that the floor no longer allows, that would have to be given up before the contact comes, or that is only
 * worth while when it is begun again later.
 */
function releases({ hold, contactAtMs }: SlotView, nowMs: number): boolean {
  if (hold === null) return false
  if (hold.kind === 'none') return hold.why === 'floor'
  return hold.fromMs > nowMs + AT_ONCE_MS || (hold.releaseAtMs !== null && hold.releaseAtMs < contactAtMs)
}
