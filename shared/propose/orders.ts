import type { OrderedSlot, TankerOrder } from '../contracts/plan.ts'
import type { Sequences } from '../order/times.ts'
import { longestInTurn } from '../order/turns.ts'
import type { Brief } from '../plan/brief.ts'

/**
 * Sequences by station key as the orders of all tankers; what is not known of a slot by its id is left out. Slots that
 * somebody made contact in are judged where and when they were flown, and written where the order in force has them.
 */
export function ordersOf(
  plan: Brief,
  sequences: Sequences,
  about: {
    readonly slotOf: (slotId: string) => OrderedSlot | undefined
    readonly inForce: readonly TankerOrder[]
    /** Undefined: nobody has made contact in it. */
    readonly flown: (slotId: string) => 'done' | 'in contact' | undefined
  }
): TankerOrder[] {
  const { slotOf, inForce, flown } = about
  return [...plan.tankers.values()].map(({ id, stations }) => ({
    tankerId: id as TankerOrder['tankerId'],
    sequences: stations.map(({ key, stationId }) => {
      const was = inForce
        .filter(({ tankerId }) => tankerId === id)
        .flatMap((order) => order.sequences.filter((sequence) => sequence.stationId === stationId))
        .flatMap(({ slots }) => slots)
      const done = was.filter((slot) => flown(slot.id) === 'done')
      const toCome = (sequences.get(key) ?? []).filter((slotId) => flown(slotId) === undefined)
      const slots = toCome.flatMap((slotId) => slotOf(slotId) ?? [])
      was
        .filter((slot) => flown(slot.id) !== 'done')
        .forEach((slot, turn) => {
          if (flown(slot.id) === 'in contact') slots.splice(turn, 0, slot)
        })
      return {
        stationId: stationId as TankerOrder['sequences'][number]['stationId'],
        slots: [...done, ...slots]
      }
    })
  }))
}

/** The orders that are not as those in force, whole: all that need be set. */
export function changedOrders(inForce: readonly TankerOrder[], orders: readonly TankerOrder[]): TankerOrder[] {
  return orders.filter((order) => {
    const was = inForce.find((one) => one.tankerId === order.tankerId)
    return JSON.stringify(written(order)) !== JSON.stringify(was && written(was))
  })
}

/** A station without slots says nothing, and stations have no turn among themselves. */
const written = ({ sequences }: TankerOrder) =>
  sequences
    .filter(({ slots }) => slots.length > 0)
    .toSorted((a, b) => (a.stationId < b.stationId ? -1 : 1))
    .map(({ stationId, slots }) => [stationId, slots])

/** Slots of both orders that must be taken out of the first and put elsewhere to make the second: the fewest. */
export function movedBetween(before: Sequences, after: Sequences): string[] {
  const stationOf = new Map([...before].flatMap(([key, ids]) => ids.map((id, turn) => [id, { key, turn }] as const)))
  return [...after].flatMap(([key, ids]) => {
    const known = ids.filter((id) => stationOf.has(id))
    const stayed = known.filter((id) => stationOf.get(id)?.key === key)
    const kept = new Set(longestInTurn(stayed, (id) => stationOf.get(id)?.turn ?? -1))
    return known.filter((id) => !kept.has(id))
  })
}
