import type { Reason, ShipView, SlotView } from '../../contracts/view.ts'
import type { Brief } from '../../plan/brief.ts'

/** Until they have had their contact these count to abort fuel. */
const BEFORE_CONTACT: ReadonlySet<ShipView['status']> = new Set(['planned', 'inbound', 'waiting', 'next', 'must leave'])

/** A ship whose abort base is closed has no abort fuel, and no margin to it: whoever still counts to it ranks above all. */
export function withoutAbortBase(ship: ShipView, closed: ReadonlySet<string>): ShipView {
  if (ship.abortBaseId === null || !closed.has(ship.abortBaseId)) return ship
  const margin = BEFORE_CONTACT.has(ship.status) ? null : ship.margin
  return { ...ship, limits: { ...ship.limits, abort: null }, abortKg: null, abortBaseId: null, margin }
}

/** The same of a slot to come. */
export const slotWithoutAbortBase = (slot: SlotView, closed: ReadonlySet<string>): SlotView =>
  slot.abortBaseId !== null && closed.has(slot.abortBaseId)
    ? { ...slot, abortBaseId: null, abortKg: null, abortGaugeKg: null }
    : slot

/**
 * Ships that a closed base leaves without: those with a contact to come, or in contact, on a track whose abort base it
 * is, and those that recover there and have no other that is named, open and within reach. `blank` is a reason of nothing.
 */
export function baseReasons(
  blank: Omit<Reason, 'kind' | 'severity'>,
  plan: Brief,
  closed: ReadonlySet<string>,
  { ships, slots }: { ships: readonly ShipView[]; slots: readonly SlotView[] }
): Reason[] {
  if (closed.size === 0) return []
  const noAbort = slots.flatMap((slot): Reason[] => {
    const track = plan.tracks.get(plan.tankers.get(slot.tankerId)?.trackId ?? '')
    if ((slot.state !== 'planned' && slot.state !== 'in contact') || !track || !closed.has(track.abortBaseId)) return []
    const { slotId, shipId, tankerId, contactAtMs: atMs } = slot
    const baseId = track.abortBaseId
    return [{ ...blank, kind: 'no abort base', severity: 'now', shipId, slotId, tankerId, baseId, atMs }]
  })
  const noBase = ships.flatMap(({ status, left, recoveryBaseId, shipId, slotId }): Reason[] => {
    if (status === 'landed' || status === 'no-show') return []
    const baseId = left?.baseId ?? recoveryBaseId
    return baseId !== null && closed.has(baseId)
      ? [{ ...blank, kind: 'no open base', severity: 'now', shipId, slotId, baseId }]
      : []
  })
  return [...noAbort, ...noBase]
}
