/** Which contacts come about, and whether a ship comes to its push with what is required: asked wherever slots are counted. */
import type { SlotView, TankerView } from '../contracts/view.ts'
import { STEP_KG } from '../order/judgement.ts'

/** Slots that get a contact; one that is missed or gone takes no station time and gives nothing. */
export const isServed = ({ state }: { readonly state: string }): boolean => state !== 'missed' && state !== 'gone'

/** Whether a ship comes to its push with less than is required there, by the step of the judge. */
export const isShortAtPush = (slot: Pick<SlotView, 'state' | 'shortageKg'>): boolean =>
  isServed(slot) && slot.shortageKg >= STEP_KG

/**
 * What a tanker can still give once a contact is off, kg: in the order of disconnect, contacts whole. Of two that are off at
 * one instant both are gone.
 */
export const giveLeftKg = (
  { disconnectAtMs }: SlotView,
  slots: readonly SlotView[],
  { tankerId, giveKg, flowedKg }: Pick<TankerView, 'tankerId' | 'giveKg' | 'flowedKg'>
): number =>
  slots
    .filter((one) => one.tankerId === tankerId && isServed(one) && one.state !== 'done')
    .filter((one) => one.disconnectAtMs <= disconnectAtMs)
    .reduce((kg, one) => kg - one.onLoadKg, giveKg + flowedKg)
