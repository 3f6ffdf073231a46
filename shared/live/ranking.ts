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

/** Whether it is among those of which the worst stands first. */
export const countsToLimit = (ship: Parameters<typeof tier>[0]): boolean => tier(ship) <= 0

type Spare = Pick<ShipView, 'countedKg' | 'estimate' | 'bingoKg' | 'recoveryKg' | 'flowKgPerS'>

/** What it holds above bingo and recovery fuel, at the flow of now, s: of a ship that meets no limit on its way. */
const spareS = ({ countedKg, estimate, bingoKg, recoveryKg, flowKgPerS }: Spare): number =>
  flowKgPerS > 0 ? (countedKg - estimate.unsureKg - Math.max(bingoKg ?? 0, recoveryKg ?? 0)) / flowKgPerS : Infinity

/**
 * Worst first: by the margin, and of those that meet no limit on their way by what is spare; equals by call sign, so that
 * the order never depends on the input's. Checked: tests/shared/live/ranking.test.ts, tests/sim/hours.test.ts.
 */
export function ranked<S extends Pick<ShipView, 'status' | 'margin' | 'abortKg' | 'slotId' | 'callSign'> & Spare>(
  ships: readonly S[]
): S[] {
  const marginS = (ship: S): number => ship.margin?.marginS ?? Infinity
  return [...ships].sort((a, b) => {
    const byTier = tier(a) - tier(b)
    if (byTier !== 0) return byTier
    const byMargin = marginS(a) - marginS(b)
    if (byMargin !== 0 && !Number.isNaN(byMargin)) return byMargin
    const bySpare = marginS(a) === Infinity && tier(a) === 0 ? spareS(a) - spareS(b) : 0
    if (bySpare !== 0 && !Number.isNaN(bySpare)) return bySpare
    return a.callSign < b.callSign ? -1 : a.callSign > b.callSign ? 1 : 0
  })
}
