import type { SlotView, View } from '../shared/contracts/view.ts'
import type { ShortTanker } from '../shared/plan/fallout.ts'

/** What each tanker lacks, and what it is asked for by each ship: more than it gives to whom the give runs out on. */
export const shortTankers = ({ tankers, slots }: Pick<View, 'tankers' | 'slots'>): ShortTanker[] =>
  tankers.map(({ tankerId, shortKg }) => {
    const promisedKg = new Map<string, number>()
    for (const slot of slots) {
      if (slot.tankerId !== tankerId || slot.state !== 'planned') continue
      promisedKg.set(slot.shipId, (promisedKg.get(slot.shipId) ?? 0) + askedKg(slot, shortKg))
    }
    return { tankerId, shortKg, promisedKg }
  })

/** A rule may ask for more than the tanks take: no more is asked than what the tanker lacks. */
const askedKg = ({ endedBy, onLoadKg, neededKg }: SlotView, shortKg: number): number =>
  endedBy === 'give' ? Math.max(onLoadKg, Math.min(neededKg, onLoadKg + shortKg)) : onLoadKg
