import type { Join } from '../shared/contracts/plan.ts'
import type { EventClock } from '../shared/contracts/stream.ts'
import type { ShipView, SlotView } from '../shared/contracts/view.ts'
import type { Labels } from './labels.ts'

/*
 * The last known slot of a ship, kept in the browser so that it is there without any contact: figures and names, no
 * secret. It is shown with its age, and never as if it were of now.
 */

export interface LastSlot {
  /** Real time at which it was of now, ms. */
  savedAtMs: number
  /** Event time of its figures, ms. */
  atMs: number
  /** The clock of the event, as it was. */
  clock: EventClock
  ship: ShipView
  slotView: SlotView | undefined
  next: SlotView | undefined
  trackName: string
  soonS: number
  join: Join | undefined
  names: Names
}

/** Names of all that the slot speaks of. */
interface Names {
  eventName: string
  massUnit: Labels['massUnit']
  /** What the ship's own gauge shows. */
  gauge: ReturnType<Labels['gaugeOf']>
  ships: Readonly<Record<string, string>>
  stations: Readonly<Record<string, string>>
  bases: Readonly<Record<string, string>>
}

type Spoken = Pick<LastSlot, 'ship' | 'slotView' | 'next'>

export function namesIn({ ship, slotView, next }: Spoken, labels: Labels): Names {
  const slots = [slotView, next].filter((slot) => slot !== undefined)
  const ships = [ship.shipId, ...slots.flatMap(({ aheadShipId }) => aheadShipId ?? [])]
  const bases = [
    ...slots.flatMap(({ abortBaseId }) => abortBaseId ?? []),
    ...[ship.abortBaseId, ship.recoveryBaseId, ship.left?.baseId].flatMap((id) => id ?? [])
  ]
  const named = (ids: readonly string[], name: (id: string) => string) =>
    Object.fromEntries(ids.map((id) => [id, name(id)]))
  return {
    eventName: labels.eventName,
    massUnit: labels.massUnit,
    gauge: labels.gaugeOf(ship.shipId),
    ships: named(ships, labels.ship),
    bases: named(bases, labels.base),
    stations: Object.fromEntries(
      slots.map(({ tankerId, stationId }) => [`${tankerId}/${stationId}`, labels.station(tankerId, stationId)])
    )
  }
}

/** The names of a kept slot, as the parts of the page ask for them. */
export function labelsOfNames(names: Names): Labels {
  const itself = (id: string) => id
  return {
    eventName: names.eventName,
    massUnit: names.massUnit,
    ship: (id) => names.ships[id] ?? id,
    base: (id) => names.bases[id] ?? id,
    station: (tankerId, stationId) => names.stations[`${tankerId}/${stationId}`] ?? `${tankerId} ${stationId}`,
    tanker: itself,
    track: itself,
    flight: itself,
    pushGroup: itself,
    phase: itself,
    typeOf: itself,
    gaugeOf: () => names.gauge,
    tank: (_, groupId) => groupId,
    mayUse: () => false,
    misfit: () => undefined,
    priority: () => 5,
    ships: (ids) => ids.join(', ')
  }
}

/** Of what is read anew the shape may be that of another version: then there is none. */
const SHAPE = 3
const PLACE = 'ullage place'
const keyOf = (as: string, shipId: string): string => `ullage slot ${as} ${shipId}`

export function keepSlot(as: string, slot: LastSlot, store: Storage | undefined = storeHere()): void {
  try {
    store?.setItem(keyOf(as, slot.ship.shipId), JSON.stringify({ shape: SHAPE, slot }))
    store?.setItem(PLACE, location.pathname)
  } catch {
    // Full or forbidden: there is none to show without contact.
  }
}

export function keptSlot(as: string, shipId: string, store: Storage | undefined = storeHere()): LastSlot | undefined {
  try {
    const kept = JSON.parse(store?.getItem(keyOf(as, shipId)) ?? 'null') as { shape: number; slot: LastSlot } | null
    return kept?.shape === SHAPE ? kept.slot : undefined
  } catch {
    return undefined
  }
}

/** The last slot page that was open in this browser. */
export function lastPlace(store: Storage | undefined = storeHere()): string | undefined {
  const path = store?.getItem(PLACE)
  return path?.startsWith('/as/') === true ? path : undefined
}

/** A browser may refuse the very question. */
function storeHere(): Storage | undefined {
  try {
    return localStorage
  } catch {
    return undefined
  }
}
