/** Whose state is worst: the limit each ship reaches first, and the order of the rows. */
import type { ShipView } from '../contracts/view.ts'

/**
 * Ships on the way to a contact without any abort fuel, then those that count to a limit, then those in contact
 * that are not past it, then those that went, then those down or never there.
 */
function tier(ship: Pick<ShipView, 'status' | 'margin' | 'abortKg' | 'slotId'>): number {
  switch (ship.status) {
    case 'in contact':
      return (ship.margin?.marginS ?? 0) < 0 ? 0 : 1
    case 'recovering':
      return 2
    case 'left':
      return 3
    case 'no-show':
    case 'landed':
      return 4
    case 'planned':
    case 'inbound':
    case 'waiting':
    case 'next':
    case 'must leave':
      return ship.abortKg === null && ship.slotId !== null ? -1 : 0
    default:
      return 0
  }
}

/** Worst first; equals by call sign, so that the order never depends on the input's. */
export function ranked<S extends Pick<ShipView, 'status' | 'margin' | 'abortKg' | 'slotId' | 'callSign'>>(
  ships: readonly S[]
): S[] {
  const marginS = (ship: S): number => ship.margin?.marginS ?? Infinity
  return [...ships].sort((a, b) => {
    const byTier = tier(a) - tier(b)
    if (byTier !== 0) return byTier
    const byMargin = marginS(a) - marginS(b)
    if (byMargin !== 0 && !Number.isNaN(byMargin)) return byMargin
    return a.callSign < b.callSign ? -1 : a.callSign > b.callSign ? 1 : 0
  })
}
