import type { SlotView } from '../../contracts/view.ts'
import type { SlotOut } from '../../order/times.ts'
import { abortBaseOf } from '../../plan/abort.ts'
import { abortKg } from '../../plan/limits.ts'
import { fillCurve, stopAt, stopTable } from '../../tanks/fill.ts'
import { bothEnds, gaugeAtLevel } from '../../tanks/reading.ts'
import { gaugeKg, usableKg, type TankState } from '../../tanks/sheet.ts'
import { advance, reselected } from '../course.ts'
import { burnAt, fillTargetOf, keep, targetOf, type Crew, type Order, type PlacedSlot } from '../slots.ts'
import type { Scene } from './scene.ts'
import { holdOf } from './hold.ts'

export function slotView(scene: Scene, placed: PlacedSlot, out: SlotOut, order: Order): SlotView {
  const { plan, crew, way } = scene
  const { ship, flight } = crew
  const { station, tanker, visit } = placed
  const trackAbortKg = abortKg(plan, ship, tanker.trackId)
  const abort = abortBaseOf(plan, flight, tanker.trackId)
  const atContact = way.atContact.get(placed.id)
  const contact = atContact
    ? keep(
        crew.folded.kept,
        `contact ${placed.id} ${scene.key} ${String(out.requiredAtPushKg)} ${String(trackAbortKg)}`,
        () => contactAhead(crew, placed, atContact, out, trackAbortKg)
      )
    : undefined
  const after = crew.folded.flown.get(placed.id)?.after
  const requiredAfterKg = after
    ? (gaugeAtLevel(ship.sheet, after, burnAt(crew, visit), 'usable', out.requiredAtPushKg) ?? null)
    : null
  const ahead = out.aheadSlotId === undefined ? undefined : order.slots.get(out.aheadSlotId)
  const isDone = (slotId: string | undefined) =>
    order.judged.slots.some((one) => one.slotId === slotId && one.state === 'done')
  // Whoever is done keeps nobody waiting, and nobody waits for himself.
  const waitsFor = ahead?.shipId === ship.id || isDone(ahead?.id) ? undefined : ahead
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
    notBeforeAtMs: placed.notBeforeAtMs ?? null,
    internalsOnly: placed.internalsOnly,
    aheadShipId: waitsFor?.shipId ?? null,
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
    neededFullEndKg: neededFullEndKg(scene, placed, out) ?? null,
    endedBy: out.state === 'done' ? 'called' : out.endedBy,
    fuelAtContactKg: out.fuelAtContactKg,
    gaugeAtContactKg: atContact ? gaugeKg(ship.sheet, atContact) : out.fuelAtContactKg,
    fuelAtDisconnectKg: out.fuelAtDisconnectKg,
    gaugeAtDisconnectKg: contact?.gaugeAtDisconnectKg ?? (after ? gaugeKg(ship.sheet, after) : out.fuelAtDisconnectKg),
    lostKg: contact?.lostKg ?? 0,
    requiredAtPushKg: out.requiredAtPushKg,
    requiredGaugeKg: contact?.requiredGaugeKg ?? requiredAfterKg,
    leastOnLoadKg: contact?.leastOnLoadKg ?? 0,
    fuelAtPushKg: out.fuelAtPushKg,
    shortageKg: out.shortageKg,
    pushGroupId: visit.pushGroupId,
    plannedPushAtMs: out.plannedPushAtMs,
    pushAtMs: out.pushAtMs,
    latestPushAtMs: out.latestPushAtMs ?? null,
    abortBaseId: abort.baseId,
    abortWhy: abort.why ?? null,
    abortKg: trackAbortKg,
    abortGaugeKg: contact?.abortGaugeKg ?? null,
    hold: holdOf(scene, placed, out, trackAbortKg),
    stops: contact?.stops ?? []
  }
}

/**
 * When fuel flows in a contact, as far as its tanks are followed from there: one to come is taken to flow at once, one
 * that has begun as called or as assumed.
 */
export const flowsAtMs = ({ its }: Crew, { state, contactAtMs }: SlotOut): number =>
  state === 'in contact' ? (its.inContact?.flowAtMs ?? contactAtMs) : contactAtMs

/** What the rule asks for were the externals full, kg, while nobody knows; the contact itself is planned at the empty end. */
function neededFullEndKg(scene: Scene, placed: PlacedSlot, out: SlotOut): number | undefined {
  const { plan, crew, legs, way, slots } = scene
  const { ship, folded } = crew
  const atContact = way.atContact.get(placed.id)
  const isNext = slots.find(({ out: one }) => one.state === 'planned' || one.state === 'in contact')?.out === out
  if (folded.read !== 'unclear' || out.state !== 'planned' || !atContact || !isNext) return undefined
  const { full } = bothEnds(ship.sheet, folded.anchor.state)
  const at = advance(ship, legs, { ...folded.anchor, state: full }, out.contactAtMs).state
  const burnKgPerS = burnAt(crew, placed.visit)
  const target = targetOf(plan, placed)
  // A requirement falls by what the ship brings; every other rule is asked of the tanks.
  if (target.kind === 'required')
    return Math.max(0, out.neededKg - (usableKg(ship.sheet, at) - usableKg(ship.sheet, atContact)))
  const curve = fillCurve(ship.sheet, at, { stationRateKgPerS: placed.station.rateKgPerS, burnKgPerS })
  return stopAt(curve, fillTargetOf(target, out.contactAtMs, burnKgPerS)).onLoadKg
}

/** What a contact will do to the ship, beside what the judge says of it. */
interface ContactFigures {
  stops: SlotView['stops']
  gaugeAtDisconnectKg: number
  lostKg: number
  requiredGaugeKg: number | null
  leastOnLoadKg: number
  abortGaugeKg: number | null
}

export function contactAhead(
  crew: Crew,
  { station, visit }: PlacedSlot,
  atContact: TankState,
  out: SlotOut,
  trackAbortKg: number
): ContactFigures {
  const { sheet } = crew.ship
  const burnKgPerS = burnAt(crew, visit)
  const curve = fillCurve(sheet, atContact, { stationRateKgPerS: station.rateKgPerS, burnKgPerS })
  const fromMs = flowsAtMs(crew, out)
  const endS = Math.max(0, (out.disconnectAtMs - fromMs) / 1000)
  const end = stopAt(curve, { kind: 'called', atS: endS })
  const least = stopAt(curve, {
    kind: 'until',
    requiredKg: out.requiredAtPushKg,
    untilS: (out.pushAtMs - fromMs) / 1000,
    burnKgPerS
  })
  const after = reselected(crew.ship, end.state, crew.its.externals)
  return {
    stops: stopTable(curve, endS).map((stop) => ({
      minutesS: stop.atS,
      onLoadKg: stop.onLoadKg,
      fuelKg: stop.fuelKg,
      usableKg: stop.usableKg,
      closes: stop.closes.map((group) => sheet.groups[group]?.name ?? '').join(', ') || null,
      knee: stop.knee,
      savesS: stop.savesS,
      savesKg: stop.savesKg,
      forgoesKg: stop.forgoesKg
    })),
    gaugeAtDisconnectKg: gaugeKg(sheet, end.state),
    lostKg: end.lostKg,
    requiredGaugeKg: gaugeAtLevel(sheet, after, burnKgPerS, 'usable', out.requiredAtPushKg) ?? null,
    leastOnLoadKg: least.onLoadKg,
    abortGaugeKg: gaugeAtLevel(sheet, atContact, burnKgPerS, 'counted', trackAbortKg) ?? null
  }
}
