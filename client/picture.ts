import type { Fact } from '../shared/contracts/facts.ts'
import type { FlightView, SlotView, View } from '../shared/contracts/view.ts'

/*
 * The picture of now, worked out beside the page: it folds the same facts with the same `reduce` and sees them with the
 * same `estimate`, so that a large event never holds up what is typed. Of two pictures a second apart most slots and
 * ladders are alike: only what changed is sent.
 */

/** What the page says: the event first, then facts in turn, and instants of event time between them. */
export type ToPainter = { eventId: string } | { facts: readonly Fact[] } | { atMs: number }

/** A picture against the one sent before: in the place of a slot or a flight that is the same stands where it was then. */
export interface PictureNews {
  view: Omit<View, 'slots' | 'flights'>
  slots: readonly (SlotView | number)[]
  flights: readonly (FlightView | number)[]
}

export function newsOf(last: View | undefined, now: View): PictureNews {
  const { slots, flights, ...view } = now
  return {
    view,
    slots: against(last?.slots ?? [], slots, ({ slotId }) => slotId),
    flights: against(last?.flights ?? [], flights, ({ flightId }) => flightId)
  }
}

/** The picture, with the very slots and flights of the one before where they are the same. */
export function pictureOf(last: View | undefined, { view, slots, flights }: PictureNews): View {
  return { ...view, slots: filled(last?.slots ?? [], slots), flights: filled(last?.flights ?? [], flights) }
}

function against<Item extends object>(
  last: readonly Item[],
  now: readonly Item[],
  idOf: (item: Item) => string
): (Item | number)[] {
  const places = new Map(last.map((item, place) => [idOf(item), place]))
  return now.map((item) => {
    const place = places.get(idOf(item))
    return place !== undefined && isSame(last[place], item) ? place : item
  })
}

function filled<Item extends object>(last: readonly Item[], now: readonly (Item | number)[]): Item[] {
  return now.map((item) => {
    if (typeof item !== 'number') return item
    const same = last[item]
    if (same === undefined) throw new RangeError(`place ${item} of a picture that has ${last.length}`)
    return same
  })
}

/** Whether two plain values say the same. */
function isSame(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false
  const keys = Object.keys(a)
  if (keys.length !== Object.keys(b).length) return false
  return keys.every((key) => isSame((a as Record<string, unknown>)[key], (b as Record<string, unknown>)[key]))
}
