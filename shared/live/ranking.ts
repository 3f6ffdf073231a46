/** Whose state is worst: the limit each ship reaches first, and the order of the rows. */
import type { ShipView, SlotView } from '../contracts/view.ts'

type Ranked = Pick<ShipView, 'status' | 'margin' | 'abortKg' | 'slotId' | 'callSign'>
type Turn = Pick<SlotView, 'slotId' | 'state' | 'slackS'>

/**
 * Ships on the way to a contact without any abort fuel, then those that count to a limit, then those in contact
 * that are not past it, then those that went, then those down or never there.
 */
function tier(ship: Ranked): number {
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

/**
 * What a ship has left, s: to the limit it reaches first, or from its contact to its latest one where that is past. One
 * that gets no contact at all has nothing left, however much fuel it holds.
 */
function leftS({ margin, status }: Ranked, turn: Turn | undefined): number {
  const marginS = margin?.marginS ?? Infinity
  if (turn === undefined || status === 'in contact') return marginS
  const slackS = Math.min(0, turn.slackS ?? 0)
  return turn.state === 'missed' || (turn.state === 'planned' && slackS < 0) ? Math.min(marginS, slackS) : marginS
}

/**
 * Worst first, by tier, then by what is left; equals by call sign, so that the order never depends on the input's. `slots`
 * are those that ships count to.
 */
export function ranked<S extends Ranked>(ships: readonly S[], slots: readonly Turn[]): S[] {
  const turns = new Map(slots.map((slot) => [slot.slotId, slot]))
  const left = new Map(ships.map((ship) => [ship, leftS(ship, turns.get(ship.slotId ?? ''))]))
  const leftOf = (ship: S): number => left.get(ship) ?? Infinity
  return [...ships].sort((a, b) => {
    const byTier = tier(a) - tier(b)
    if (byTier !== 0) return byTier
    const byLeft = leftOf(a) - leftOf(b)
    if (byLeft !== 0 && !Number.isNaN(byLeft)) return byLeft
    return a.callSign < b.callSign ? -1 : a.callSign > b.callSign ? 1 : 0
  })
}
