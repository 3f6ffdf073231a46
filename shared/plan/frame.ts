/**
 * What all ships of a plan share. A draft that is edited is a new plan with every step, most of which says what the one
 * before said: where the frame and a flight are the same objects, what was worked out for its ships holds on.
 */
import type { Plan, Tanker } from '../contracts/plan.ts'

/** Known by its identity alone: whatever follows from it and from a flight is kept for as long as both are the same. */
export interface Frame {
  readonly parts: readonly unknown[]
}

const known = new WeakMap<Plan['rules'], Frame>()

/**
 * The frame of a plan; the very same one for another plan that has the same parts.
 * Checked: tests/plan/again.test.ts, every column of the demonstration edited, against plans read alone.
 */
export function frameOf(plan: Plan, closedBaseIds: readonly string[]): Frame {
  const { rules, fuelDensity, bases, tracks, tankerTypes } = plan
  const tankers = JSON.stringify(plan.tankers.map(asShipsSeeIt))
  const parts = [fuelDensity, bases, tracks, tankerTypes, tankers, closedBaseIds.join(' ')]
  const had = known.get(rules)
  if (had?.parts.every((part, at) => part === parts[at]) === true) return had
  const fresh = { parts }
  known.set(rules, fresh)
  return fresh
}

/** What a tanker is called and what it has to give: no ship is worked out by it. */
const NOT_OF_SHIPS: ReadonlySet<string> = new Set<keyof Tanker>([
  'callSign',
  'join',
  'fuelOnStation',
  'burn',
  'keeps',
  'mostTransferable'
])
const asShipsSeeIt = (tanker: Tanker): unknown => Object.entries(tanker).filter(([field]) => !NOT_OF_SHIPS.has(field))
