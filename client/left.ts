import type { ShipView } from '../shared/contracts/view.ts'

/** A ship on its way to a base. */
export type Arrival = ShipView & { left: NonNullable<ShipView['left']> }

const isOnItsWay = (ship: ShipView): ship is Arrival => ship.status === 'left' && ship.left !== null

/** What it has beyond approach and reserve when it gets there, on the safe side, kg; undefined where nobody can tell. */
export function arrivalMarginKg({ left: { fuelOnArrivalLowKg, reserveKg } }: Arrival): number | undefined {
  return fuelOnArrivalLowKg === null || reserveKg === null ? undefined : fuelOnArrivalLowKg - reserveKg
}

/** Ships that left and are not down: who comes to its base with least first, then who comes first. */
export function arrivals(ships: readonly ShipView[]): Arrival[] {
  const shortKg = (ship: Arrival) => Math.min(0, arrivalMarginKg(ship) ?? 0)
  const dueMs = ({ left }: Arrival) => left.arrivesAtMs ?? Infinity
  return ships.filter(isOnItsWay).sort((a, b) => shortKg(a) - shortKg(b) || dueMs(a) - dueMs(b) || 0)
}
