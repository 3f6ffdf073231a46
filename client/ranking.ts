import type { ShipView, SlotView } from '../shared/contracts/view.ts'

export type Urgency = 'now' | 'soon' | 'calm'

/** With a contact ahead it may have to go to an abort base. */
const NEEDS_ABORT_BASE: ReadonlySet<ShipView['status']> = new Set([
  ...(['planned', 'inbound', 'waiting', 'next', 'in contact', 'must leave'] as const)
])

/** An abort base is needed and there is none; whoever has no contact ahead needs none. */
export const lacksAbortBase = ({ status, slotId, abortBaseId }: Pick<ShipView, 'status' | 'slotId' | 'abortBaseId'>) =>
  NEEDS_ABORT_BASE.has(status) && slotId !== null && abortBaseId === null

type Pressed = Pick<ShipView, 'margin' | 'left' | 'status' | 'slotId' | 'abortBaseId'>

/**
 * How near a ship is to the limit it counts to; a slot that is past its latest contact or gets none is "now", whatever the
 * margin still is, and so is a contact without an abort base.
 */
export function urgencyOf(ship: Pressed, slot: Pick<SlotView, 'pastS' | 'state'> | undefined, soonS: number): Urgency {
  const { margin, left } = ship
  if (left !== null) return 'calm'
  if (slot !== undefined && (slot.pastS > 0 || slot.state === 'missed')) return 'now'
  if (lacksAbortBase(ship) && margin === null) return 'now'
  if (margin === null) return 'calm'
  if (margin.marginS < 0) return 'now'
  return margin.marginS < soonS ? 'soon' : 'calm'
}

const WEIGHT: Record<Urgency, number> = { now: 2, soon: 1, calm: 0 }

/** How long a difference must last before two rows change places, ms. */
export const SETTLE_MS = 3_000

export interface Ranking {
  shown: readonly string[]
  /** Since when a lower row ranks before the one above it, by `upper lower`. */
  since: ReadonlyMap<string, number>
}

/**
 * Moves the shown order of rows toward the wanted one: rows swap only when the difference has lasted, and not at
 * all while they are held. A row that has come to "soon" or "now" passes those that have not at once, held or not. New rows come where
 * they belong, rows that are gone go.
 */
export function settle(
  last: Ranking,
  wanted: readonly string[],
  { nowMs, held, urgency }: { nowMs: number; held: boolean; urgency: (id: string) => Urgency }
): Ranking {
  const place = new Map(wanted.map((id, index) => [id, index]))
  const shown = last.shown.filter((id) => place.has(id))
  const known = new Set(shown)
  for (const [index, id] of wanted.entries()) {
    if (!known.has(id)) shown.splice(Math.min(index, shown.length), 0, id)
  }
  const ranks = shown.map((id) => place.get(id) ?? 0)
  const since = new Map<string, number>()
  for (const [index, upper] of shown.entries()) {
    const rank = ranks[index] ?? 0
    for (let below = index + 1; below < shown.length; below += 1) {
      if ((ranks[below] ?? 0) >= rank) continue
      const pair = `${upper} ${shown[below] ?? ''}`
      since.set(pair, last.since.get(pair) ?? nowMs)
    }
  }
  // Insertion by neighbours: a row passes another only where their difference has lasted.
  for (let end = 1; end < shown.length; end += 1) {
    for (let at = end; at > 0; at -= 1) {
      const upper = shown[at - 1]
      const lower = shown[at]
      if (upper === undefined || lower === undefined) break
      const sinceMs = since.get(`${upper} ${lower}`)
      if (sinceMs === undefined) break
      const pressing = WEIGHT[urgency(lower)] > WEIGHT[urgency(upper)]
      if (!pressing && (held || nowMs - sinceMs < SETTLE_MS)) break
      shown[at - 1] = lower
      shown[at] = upper
    }
  }
  return { shown, since }
}
