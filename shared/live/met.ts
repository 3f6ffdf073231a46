/** Which pushes are met: in time, and by ships that may go on. */
import type { SlotView, View } from '../contracts/view.ts'
import { STEP_MS } from '../order/judgement.ts'
import { isServed, isShortAtPush } from './served.ts'

export interface PushMet {
  readonly push: View['pushes'][number]
  readonly isLate: boolean
  /** Last contacts of ships that come to it with less than it requires, worst first, or with nothing. */
  readonly short: readonly SlotView[]
  /** Ships that are to refuel before it and stand in no order, and come to it with less than it requires. */
  readonly unplacedShipIds: readonly string[]
  /** Everybody who was to push then is lost or gone. */
  readonly isDeserted: boolean
  readonly isMet: boolean
}

/** By push: whether it is in time, with every ship of it that is not lost holding what it requires, to the step of the judge. */
export const pushesMet = (view: View): PushMet[] =>
  view.pushes.map((push) => {
    const planned = view.slots.filter(({ pushGroupId }) => pushGroupId === push.pushGroupId)
    const served = planned.filter(isServed)
    const short = served
      .filter((slot) => isShortAtPush(slot) || runsOutBefore(view, slot))
      .toSorted((a, b) => b.shortageKg - a.shortageKg)
    const isLate = push.lateS >= STEP_MS / 1000
    const unplacedShipIds = unplaced(view).flatMap(({ shipId, pushGroupId }) =>
      shipId !== null && pushGroupId === push.pushGroupId ? [shipId] : []
    )
    const isDeserted = planned.length > 0 && served.length === 0
    const isMet = !isLate && !isDeserted && short.length + unplacedShipIds.length === 0
    return { push, isLate, short, unplacedShipIds, isDeserted, isMet }
  })

/** Planned refuellings that stand in no order and are missed at the push: a ship without them is short there. */
export const unplaced = ({ reasons }: View): View['reasons'] =>
  reasons.filter(({ kind, slotId, severity }) => kind === 'not in the order' && slotId === null && severity === 'now')

/** Whether nothing is left in a ship on its way to a contact or to the push after it. */
const runsOutBefore = ({ reasons }: View, { shipId, pushAtMs }: SlotView): boolean =>
  reasons.some((one) => one.kind === 'out of fuel' && one.shipId === shipId && (one.atMs ?? Infinity) < pushAtMs)
