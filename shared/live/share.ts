/** A tanker whose give is too short for the order in force: how it could be shared, or who could go without. */
import type { Priority } from '../contracts/kinds.ts'
import type { SlotView, TankerView } from '../contracts/view.ts'
import { STEP_KG } from '../order/judgement.ts'
import { shareOut, type Sharing } from '../order/share.ts'

/** A slot of the view as far as sharing asks. */
type SharedSlot = Pick<
  SlotView,
  'slotId' | 'shipId' | 'tankerId' | 'state' | 'onLoadKg' | 'neededKg' | 'endedBy' | 'contactAtMs'
>
type SharedTanker = Pick<TankerView, 'tankerId' | 'giveKg' | 'flowedKg' | 'shortKg'>

/**
 * The give of a tanker shared among the contacts still to come, in order of contact, kg; undefined where it runs short for
 * nobody. What a contact in progress takes is not shared any more. A contact that tanks or target end asks for what it
 * takes; one that the give ends asks for what its rule asks, but no more than the tanker's shortage above what it takes.
 * Visits that a ship misses for want of the first on-load ask for nothing here. A proposal: nothing is recorded and nobody sent home by it.
 * Checked: tests/shared/live/share.test.ts (constructed).
 */
export function sharingOf(
  tanker: SharedTanker,
  slots: readonly SharedSlot[],
  priorityOf: (shipId: string) => Priority
): Sharing | undefined {
  if (tanker.shortKg < STEP_KG) return undefined
  const here = slots.filter((slot) => slot.tankerId === tanker.tankerId)
  const ahead = here.filter((slot) => slot.state === 'planned').toSorted((a, b) => a.contactAtMs - b.contactAtMs)
  const flowingKg = here.reduce((kg, slot) => (slot.state === 'in contact' ? kg + slot.onLoadKg : kg), 0)
  return shareOut(
    Math.max(0, tanker.giveKg + tanker.flowedKg - flowingKg),
    ahead.map((slot) => ({
      slotId: slot.slotId,
      priority: priorityOf(slot.shipId),
      neededKg:
        slot.endedBy === 'give'
          ? Math.max(slot.onLoadKg, Math.min(slot.neededKg, slot.onLoadKg + tanker.shortKg))
          : slot.onLoadKg
    }))
  )
}
