import type { SlotView } from '../shared/contracts/view.ts'

/** Times are told in seconds. */
const SAME_MS = 1000

/** Whether an order that is not in force has a slot elsewhere, or at another time, than the one in force; as a row tells it. */
export const isMoved = (slot: SlotView, inForce: SlotView | undefined): boolean =>
  inForce === undefined ||
  slot.tankerId !== inForce.tankerId ||
  slot.stationId !== inForce.stationId ||
  slot.state !== inForce.state ||
  Math.abs(slot.contactAtMs - inForce.contactAtMs) >= SAME_MS ||
  Math.abs(slot.disconnectAtMs - inForce.disconnectAtMs) >= SAME_MS
