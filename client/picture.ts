import type { Fact } from '../shared/contracts/facts.ts'
import type { FlightView, ShipView, SlotView, View } from '../shared/contracts/view.ts'

/*
 * The picture of now, worked out beside the page: it folds the same facts with the same `reduce` and sees them with the
 * same `estimate`, so that a large event never holds up what is typed. Of two pictures a second apart most slots and
 * ladders are alike: only what changed is sent.
 */

/** What the page says: the event first, then facts in turn, and instants of event time between them. */
export type ToPainter = { eventId: string } | { facts: readonly Fact[] } | { atMs: number }

/**
 * A picture against the one sent before: in the place of a slot or a flight that is the same stands where it was then, of
 * a ship stands where it was and what of it is new.
 */
export interface PictureNews {
  view: Omit<View, 'ships' | 'slots' | 'flights'>
  ships: readonly (ShipView | ShipNews)[]
  slots: readonly (SlotView | number)[]
  flights: readonly (FlightView | number)[]
}

interface ShipNews {
  place: number
  news: Partial<ShipView>
}

export function newsOf(last: View | undefined, now: View): PictureNews {
  const { ships, slots, flights, ...view } = now
  return {
    view,
    ships: shipsAgainst(last?.ships ?? [], ships),
    slots: against(last?.slots ?? [], slots, ({ slotId }) => slotId),
    flights: against(last?.flights ?? [], flights, ({ flightId }) => flightId)
  }
}

/** The picture, with the very slots and flights of the one before where they are the same. */
export function pictureOf(last: View | undefined, { view, ships, slots, flights }: PictureNews): View {
  return {
    ...view,
    ships: ships.map((ship) => ('news' in ship ? { ...at(last?.ships ?? [], ship.place), ...ship.news } : ship)),
    slots: filled(last?.slots ?? [], slots),
    flights: filled(last?.flights ?? [], flights)
  }
}

/** A ship with other fields than before comes whole: what is gone is no news that could be told. */
function shipsAgainst(last: readonly ShipView[], now: readonly ShipView[]): (ShipView | ShipNews)[] {
  const places = new Map(last.map(({ shipId }, place) => [shipId, place]))
  return now.map((ship) => {
    const place = places.get(ship.shipId)
    const had = place === undefined ? undefined : last[place]
    if (place === undefined || had === undefined) return ship
    if (!Object.keys(had).every((field) => field in ship)) return ship
    const changed = Object.entries(ship).filter(([field, value]) => !isSame(had[field as keyof ShipView], value))
    return { place, news: Object.fromEntries(changed) }
  })
}

function at<Item>(items: readonly Item[], place: number): Item {
  const item = items[place]
  if (item === undefined) throw new RangeError(`place ${place} of a picture that has ${items.length}`)
  return item
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
    return typeof item === 'number' ? at(last, item) : item
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
