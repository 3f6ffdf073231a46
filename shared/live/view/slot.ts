import type { SlotView } from '../../contracts/view.ts'
import type { SlotOut } from '../../order/times.ts'
import { abortKg } from '../../plan/limits.ts'
import { fillCurve, stopAt, stopTable } from '../../tanks/fill.ts'
import { gaugeAtLevel } from '../../tanks/reading.ts'
import { gaugeKg, type TankState } from '../../tanks/sheet.ts'
import { reselected } from '../course.ts'
import { burnAt, keep, type Crew, type Order, type PlacedSlot } from '../slots.ts'
import type { Scene } from './scene.ts'
import { holdOf } from './hold.ts'

export function slotView(scene: Scene, placed: PlacedSlot, out: SlotOut, order: Order): SlotView {
  const { plan, crew, way } = scene
  const { ship, flight } = crew
  const { station, tanker, visit } = placed
  const trackAbortKg = abortKg(plan, ship, tanker.trackId)
  const atContact = way.atContact.get(placed.id)
  const contact = atContact
    ? keep(
        crew.folded.kept,
        `contact ${placed.id} ${scene.key} ${String(out.requiredAtPushKg)} ${String(trackAbortKg)}`,
        () => contactAhead(crew, placed, atContact, out, trackAbortKg)
      )
    : undefined
  const after = crew.folded.flown.get(placed.id)?.after
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
    gaugeAtDisconnectKg: contact?.gaugeAtDisconnectKg ?? (after ? gaugeKg(ship.sheet, after) : out.fuelAtDisconnectKg),
    lostKg: contact?.lostKg ?? 0,
    requiredAtPushKg: out.requiredAtPushKg,
    requiredGaugeKg: contact?.requiredGaugeKg ?? null,
    leastOnLoadKg: contact?.leastOnLoadKg ?? 0,
    fuelAtPushKg: out.fuelAtPushKg,
    shortageKg: out.shortageKg,
    pushGroupId: visit.pushGroupId,
    plannedPushAtMs: out.plannedPushAtMs,
    pushAtMs: out.pushAtMs,
    latestPushAtMs: out.latestPushAtMs ?? null,
    abortBaseId: plan.tracks.get(tanker.trackId)?.abortBaseId ?? visit.abortBaseId,
    abortKg: trackAbortKg,
    abortGaugeKg: contact?.abortGaugeKg ?? null,
    hold: holdOf(scene, placed, out, trackAbortKg),
    stops: contact?.stops ?? []
  }
}

/** What a contact to come will do to the ship, beside what the judge says of it. */
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
  const endS = Math.max(0, (out.disconnectAtMs - out.contactAtMs) / 1000)
  const end = stopAt(curve, { kind: 'called', atS: endS })
  const least = stopAt(curve, {
    kind: 'until',
    requiredKg: out.requiredAtPushKg,
    untilS: (out.pushAtMs - out.contactAtMs) / 1000,
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
