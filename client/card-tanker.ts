import type { Join } from '../shared/contracts/plan.ts'
import type { SlotView, TankerView } from '../shared/contracts/view.ts'
import type { Sources } from './card.ts'
import { clockText, contactText, dayMark, disconnectText, fuelText, onLoadText, pushText, spanText } from './figures.ts'
import type { Labels } from './labels.ts'
import { giveLeftKg, isServed } from '../shared/live/served.ts'

export interface TankerRow {
  readonly slotId: string
  readonly contact: string
  readonly station: string
  readonly ship: string
  /** From the disconnect before at the station to its slot start. */
  readonly gap: string
  readonly onLoad: string
  readonly off: string
  readonly left: string
  readonly push: string
}
export interface TankerCard {
  readonly tankerId: string
  readonly callSign: string
  readonly typeName: string
  /** The opening: times of another day say so. */
  readonly dayMs: number
  readonly track: string
  readonly onStation: string
  readonly leaves: string
  readonly give: string
  readonly promised: string
  readonly join: Join | undefined
  readonly rows: readonly TankerRow[]
  /** Ships that stand in its order and get no contact. */
  readonly unserved: readonly string[]
}

/** The pages of the tankers: who comes when, and what is left to give. */
export function tankerCards({ view, plan, labels }: Sources): TankerCard[] {
  const dayMs = plan.opensAtMs
  return view.tankers.map((tanker) => {
    const typed = plan.tankers.find(({ id }) => id === tanker.tankerId)
    const slots = view.slots.filter(({ tankerId }) => tankerId === tanker.tankerId)
    const served = slots.filter(isServed).toSorted((a, b) => a.contactAtMs - b.contactAtMs || a.index - b.index)
    const unit = labels.massUnit
    return {
      tankerId: tanker.tankerId,
      callSign: tanker.callSign,
      typeName: plan.tankerTypes.find(({ id }) => id === typed?.tankerTypeId)?.name ?? '',
      dayMs,
      track: labels.track(tanker.trackId),
      onStation: typed ? clockText(typed.onStationAtMs, 'up') + dayMark(typed.onStationAtMs, dayMs, 'up') : '',
      leaves: clockText(tanker.leavesAtMs) + dayMark(tanker.leavesAtMs, dayMs),
      give: fuelText(tanker.giveKg, unit, 'down'),
      promised: fuelText(tanker.promisedKg, unit, 'up'),
      join: typed?.join,
      rows: served.map((slot) => tankerRow(slot, served, tanker, { labels, dayMs })),
      unserved: slots.filter((slot) => !isServed(slot)).map(({ shipId }) => labels.ship(shipId))
    }
  })
}

function tankerRow(
  slot: SlotView,
  served: readonly SlotView[],
  tanker: TankerView,
  { labels, dayMs }: { labels: Labels; dayMs: number }
): TankerRow {
  const before = served.filter((one) => one.stationId === slot.stationId && one.contactAtMs < slot.contactAtMs).at(-1)
  const station = tanker.stations.find(({ stationId }) => stationId === slot.stationId)
  return {
    slotId: slot.slotId,
    contact: contactText(slot) + dayMark(slot.contactAtMs, dayMs, 'up'),
    station: station?.name ?? slot.stationId,
    ship: labels.ship(slot.shipId),
    gap: before ? spanText((slot.startAtMs - before.disconnectAtMs) / 1000) : '',
    onLoad: onLoadText(slot, labels.massUnit),
    off: disconnectText(slot) + dayMark(slot.disconnectAtMs, dayMs, 'up'),
    left: slot.state === 'done' ? '' : fuelText(giveLeftKg(slot, served, tanker), labels.massUnit, 'down'),
    push: pushText(slot) + dayMark(slot.pushAtMs, dayMs, 'up')
  }
}
