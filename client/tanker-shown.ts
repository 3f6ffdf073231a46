import type { MassUnit } from '../shared/contracts/kinds.ts'
import type { SlotView, TankerView, View } from '../shared/contracts/view.ts'
import { BOARD_STEP, fuelText, minuteText, onLoadText, spanText } from './figures.ts'

/** All that a tanker's line shows: it is drawn anew when this changes, not each second. */
export function tankerShown(tanker: TankerView, { slots, atMs }: View, unit: MassUnit): string {
  // Who shares a give that is short hangs on every slot.
  if (tanker.shortKg > 0) return String(atMs)
  const byId = slotsById(slots)
  const said = (slotId: string | null | undefined) => slotShown(byId.get(slotId ?? ''), unit)
  return [
    fuelText(tanker.giveKg, unit, 'down', BOARD_STEP),
    fuelText(tanker.promisedKg, unit, 'up', BOARD_STEP),
    Math.round((tanker.promisedKg / Math.max(tanker.giveKg, tanker.promisedKg, 1)) * 200),
    ...tanker.stations.flatMap(({ status, inContact, nextSlotId }) => [
      status,
      inContact === null ? '' : spanText((inContact.disconnectAtMs - atMs) / 1000, 'up'),
      said(inContact?.slotId),
      said(nextSlotId)
    ])
  ].join('|')
}

const known = new WeakMap<readonly SlotView[], ReadonlyMap<string, SlotView>>()
/** Found once a picture, for all that ask. */
function slotsById(slots: readonly SlotView[]): ReadonlyMap<string, SlotView> {
  let byId = known.get(slots)
  if (byId === undefined) {
    byId = new Map(slots.map((slot) => [slot.slotId, slot]))
    known.set(slots, byId)
  }
  return byId
}

/** As a line that is read out tells it. */
function slotShown(slot: SlotView | undefined, unit: MassUnit): string {
  if (slot === undefined) return ''
  const { slotId, state, aheadShipId, internalsOnly, contactAtMs, disconnectAtMs } = slot
  const times = `${minuteText(contactAtMs, 'up')} ${minuteText(disconnectAtMs, 'up')}`
  return `${slotId} ${state} ${aheadShipId ?? ''} ${String(internalsOnly)} ${times} ${onLoadText(slot, unit)}`
}
