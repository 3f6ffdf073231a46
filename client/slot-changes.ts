import type { SlotView, View } from '../shared/contracts/view.ts'
import { massIn } from '../shared/units.ts'
import { clockText, fuelText, holdFromText, holdOf, type Side } from './figures.ts'
import type { Labels } from './labels.ts'
import { CHANGED } from './words/changed.ts'

/** Less than this is no news: a figure moves a little with every call. */
const NEWS = { contactMs: 30_000, latestMs: 60_000, pushMs: 60_000, fuel: 100, atContact: 300 } as const

/**
 * What a pilot has to know anew of the slot of a ship, in words: as it stands against how it would stand had nothing been
 * recorded since it was read, both at one instant.
 */
export function slotChanges(
  shipId: string,
  { before, now, labels }: { before: View; now: View; labels: Labels }
): string[] {
  const slot = slotOf(now, shipId)
  const was = before.slots.find((one) => one.slotId === slot?.slotId)
  if (slot === undefined) return slotOf(before, shipId) === undefined ? [] : [CHANGED.noSlot]
  if (was === undefined)
    return [CHANGED.newSlot(labels.station(slot.tankerId, slot.stationId), clockText(slot.contactAtMs, 'up'))]
  // What has begun is no longer news.
  if (slot.state === 'in contact' || slot.state === 'done') return []
  return [...places(was, slot, labels), ...times(was, slot), ...fuels(was, slot, labels), ...holds(was, slot)]
}

function slotOf(view: View, shipId: string): SlotView | undefined {
  const slotId = view.ships.find((ship) => ship.shipId === shipId)?.slotId
  return view.slots.find((slot) => slot.slotId === slotId)
}

function places(was: SlotView, is: SlotView, labels: Labels): string[] {
  const station = ({ tankerId, stationId }: SlotView) => labels.station(tankerId, stationId)
  const ahead = ({ aheadShipId }: SlotView) =>
    aheadShipId === null ? CHANGED.first : CHANGED.after(labels.ship(aheadShipId))
  const base = ({ abortBaseId }: SlotView) => (abortBaseId === null ? CHANGED.noBase : labels.base(abortBaseId))
  return [
    ...(station(was) === station(is) ? [] : [CHANGED.from(station(is), station(was))]),
    ...(was.aheadShipId === is.aheadShipId ? [] : [CHANGED.from(ahead(is), ahead(was))]),
    ...(was.abortBaseId === is.abortBaseId ? [] : [CHANGED.from(`${CHANGED.abortBase} ${base(is)}`, base(was))])
  ]
}

function times(was: SlotView, is: SlotView): string[] {
  const told = (name: string, wasMs: number, isMs: number, leastMs: number, side: Side = 'up'): string[] =>
    Math.abs(isMs - wasMs) < leastMs ? [] : [CHANGED.from(`${name} ${clockText(isMs, side)}`, clockText(wasMs, side))]
  // Without a latest contact there is none to be told.
  const latest =
    was.latestContactAtMs === null || is.latestContactAtMs === null
      ? []
      : told(CHANGED.latest, was.latestContactAtMs, is.latestContactAtMs, NEWS.latestMs, 'down')
  if (is.state === 'missed') return was.state === 'missed' ? [] : [CHANGED.missed]
  return [
    ...told(CHANGED.contact, was.contactAtMs, is.contactAtMs, NEWS.contactMs),
    ...latest,
    ...told(CHANGED.push, was.pushAtMs, is.pushAtMs, NEWS.pushMs)
  ]
}

function fuels(was: SlotView, is: SlotView, { massUnit }: Labels): string[] {
  const told = (name: string, wasKg: number, isKg: number, least: number = NEWS.fuel, side: Side = 'up'): string[] =>
    massIn(massUnit, Math.abs(isKg - wasKg)) < least
      ? []
      : [CHANGED.from(`${name} ${fuelText(isKg, massUnit, side)}`, fuelText(wasKg, massUnit, side))]
  return [
    ...told(CHANGED.onLoad, was.onLoadKg, is.onLoadKg),
    ...told(CHANGED.least, was.leastOnLoadKg, is.leastOnLoadKg, NEWS.atContact),
    ...told(CHANGED.atContact, was.fuelAtContactKg, is.fuelAtContactKg, NEWS.atContact, 'down'),
    ...(was.abortKg === null || is.abortKg === null ? [] : told(CHANGED.abort, was.abortKg, is.abortKg)),
    ...told(CHANGED.required, was.requiredAtPushKg, is.requiredAtPushKg)
  ]
}

function holds(was: SlotView, is: SlotView): string[] {
  const [before, now] = [holdOf(was), holdOf(is)]
  if (now === undefined) return before === undefined ? [] : [CHANGED.noHold]
  if (before !== undefined && Math.abs(now.fromMs - before.fromMs) < NEWS.contactMs) return []
  return [CHANGED.hold(holdFromText(now))]
}
