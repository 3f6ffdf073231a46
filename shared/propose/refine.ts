import type { TankerOrder } from '../contracts/plan.ts'
import type { SlotOut } from '../order/times.ts'
import { compareJudgements, type Judgement } from '../order/judgement.ts'
import type { Later } from '../order/later.ts'
import { onLoadRuleOf, type PlacedSlot } from '../live/slots.ts'

/*
 * What an order says besides who stands where: who leaves with internal tanks only, and who comes later than it could.
 */

/** An order as it would be set, with what it leads to. */
export interface Written {
  readonly orders: readonly TankerOrder[]
  readonly judgement: Judgement
  readonly slots: readonly SlotOut[]
  readonly placed: ReadonlyMap<string, PlacedSlot>
  readonly later: () => Later
}
export type Write = (orders: readonly TankerOrder[]) => Written

/** Slots tried for internals only in one proposal. */
const MOST_TRIED = 60

/**
 * The order with those ships on internals only whose flight may, one after the other, where that saves somebody, fuel at
 * a push or time; then with the contacts that come later than they could where that leaves more at the push.
 */
export function refined(first: Written, write: Write): Written {
  return comeLater(internalsOnly(first, write), write)
}

function internalsOnly(first: Written, write: Write): Written {
  let now = first
  const mayHelp = now.judgement.lostWeight + now.judgement.shortage + now.judgement.lateness > 0
  if (!mayHelp) return now
  // Of the least weight first; of equals whoever is longest on the station.
  const candidates = now.slots
    .filter((slot) => mayTakeInternals(now.placed.get(slot.slotId), slot))
    .sort(
      (a, b) =>
        weightOf(now, a) - weightOf(now, b) || b.disconnectAtMs - b.contactAtMs - (a.disconnectAtMs - a.contactAtMs)
    )
  for (const { slotId } of candidates.slice(0, MOST_TRIED)) {
    const next = write(withSlot(now.orders, slotId, { internalsOnly: true }))
    const better =
      next.judgement.lostWeight - now.judgement.lostWeight ||
      next.judgement.shortage - now.judgement.shortage ||
      next.judgement.lateness - now.judgement.lateness
    if (better < 0) now = next
  }
  return now
}

const weightOf = ({ placed }: Written, { slotId }: SlotOut): number => placed.get(slotId)?.crew.flight.weight ?? 0

function mayTakeInternals(placed: PlacedSlot | undefined, slot: SlotOut): boolean {
  if (!placed || slot.state !== 'planned' || placed.internalsOnly || placed.pin.pinned) return false
  return placed.crew.flight.mayTakeInternalsOnly && onLoadRuleOf(placed).kind !== 'internals'
}

function comeLater(now: Written, write: Write): Written {
  if (now.judgement.shortage === 0) return now
  const { notBeforeMs } = now.later()
  if (notBeforeMs.size === 0) return now
  let orders = now.orders
  for (const [slotId, atMs] of notBeforeMs) orders = withSlot(orders, slotId, { notBeforeAtMs: Math.floor(atMs) })
  const next = write(orders)
  return compareJudgements(next.judgement, now.judgement) < 0 ? next : now
}

function withSlot(
  orders: readonly TankerOrder[],
  slotId: string,
  more: { readonly internalsOnly?: true; readonly notBeforeAtMs?: number }
): TankerOrder[] {
  return orders.map((order) => ({
    ...order,
    sequences: order.sequences.map((sequence) =>
      sequence.slots.some(({ id }) => id === slotId)
        ? { ...sequence, slots: sequence.slots.map((slot) => (slot.id === slotId ? { ...slot, ...more } : slot)) }
        : sequence
    )
  }))
}
