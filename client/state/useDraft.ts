import { computed, shallowRef, type ComputedRef, type Ref } from 'vue'
import type { View } from '../../shared/contracts/view.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'
import type { estimate } from '../../shared/live/estimate.ts'
import { ordersInForce, type LiveState } from '../../shared/live/state.ts'
import type { Labels } from '../labels.ts'
import { changedOrders, movedInSequence, movedToStation, stationsFor, type Orders } from '../order.ts'
import { judgementDifference } from '../words/board.ts'

export interface Draft {
  pending: ComputedRef<boolean>
  /** The picture with the moved order; the one in force while nothing is pending. */
  view: ComputedRef<View | undefined>
  difference: ComputedRef<string>
  move: (shipId: string, by: -1 | 1) => boolean
  moveAcross: (shipId: string, by: -1 | 1) => boolean
  moveTo: (shipId: string, to: { tankerId: string; stationId: string }) => boolean
  /** Stations before and behind the ship's own that would take it. */
  neighbours: (shipId: string) => { tankerId: string; stationId: string; by: -1 | 1 }[]
  request: () => Unsent | undefined
  /** The orders as moved; undefined while nothing is pending. */
  orders: ComputedRef<Orders | undefined>
  drop: () => void
}

/** An order being moved by hand: seen with its judgement before it is accepted, and nowhere but on this page. */
export function useDraft(parts: {
  state: Ref<LiveState>
  view: Ref<View | undefined>
  labels: Ref<Labels | undefined>
  /** Undefined until the page has it: nothing is moved before. */
  estimate: Ref<typeof estimate | undefined>
}): Draft {
  const moved = shallowRef<{ orders: Orders; basedOnSeq: number }>()

  const inForce = (): Orders => ordersInForce(parts.state.value)

  const view = computed(() => {
    const current = parts.view.value
    const see = parts.estimate.value
    if (moved.value === undefined || current === undefined || see === undefined) return current
    return see(parts.state.value, current.atMs, moved.value.orders)
  })
  const slotOf = (shipId: string) => {
    const slotId = view.value?.ships.find((ship) => ship.shipId === shipId)?.slotId
    return view.value?.slots.find((slot) => slot.slotId === slotId)
  }

  function change(shipId: string, how: (orders: Orders, view: View, slotId: string) => Orders | undefined): boolean {
    const slot = slotOf(shipId)
    if (view.value === undefined || slot === undefined || parts.estimate.value === undefined) return false
    const orders = how(moved.value?.orders ?? inForce(), view.value, slot.slotId)
    if (orders === undefined) return false
    const back = changedOrders(inForce(), orders).length === 0
    moved.value = back ? undefined : { orders, basedOnSeq: moved.value?.basedOnSeq ?? parts.state.value.seq }
    return true
  }

  const neighbours: Draft['neighbours'] = (shipId) => {
    const slot = slotOf(shipId)
    const labels = parts.labels.value
    if (view.value === undefined || slot === undefined || labels === undefined) return []
    const { stationIds, own } = stationsFor(view.value, slot, labels.mayUse)
    return ([-1, 1] as const).flatMap((by) => {
      const stationId = stationIds[own + by]
      return stationId === undefined ? [] : [{ tankerId: slot.tankerId, stationId, by }]
    })
  }
  const moveTo: Draft['moveTo'] = (shipId, to) =>
    change(shipId, (orders, seen, slotId) => movedToStation(orders, seen, slotId, to))

  return {
    pending: computed(() => moved.value !== undefined),
    view,
    difference: computed(() =>
      moved.value === undefined || parts.view.value === undefined || view.value === undefined
        ? ''
        : judgementDifference(parts.view.value, view.value)
    ),
    move: (shipId, by) => change(shipId, (orders, seen, slotId) => movedInSequence(orders, seen, slotId, by)),
    moveAcross: (shipId, by) => {
      const to = neighbours(shipId).find((neighbour) => neighbour.by === by)
      return to !== undefined && moveTo(shipId, to)
    },
    moveTo,
    neighbours,
    request: () => {
      if (moved.value === undefined) return undefined
      const { orders, basedOnSeq } = moved.value
      return { kind: 'setOrder', orders: changedOrders(inForce(), orders), basedOnSeq }
    },
    orders: computed(() => moved.value?.orders),
    drop: () => {
      moved.value = undefined
    }
  }
}
