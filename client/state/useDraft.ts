import { computed, shallowRef, type ComputedRef, type Ref, type ShallowRef } from 'vue'
import type { TankerOrder } from '../../shared/contracts/plan.ts'
import type { View } from '../../shared/contracts/view.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'
import { ordersInForce, type LiveState } from '../../shared/live/state.ts'
import type { Labels } from '../labels.ts'
import type * as hands from '../moving.ts'
import type { Orders, PlaceFault, Said, Target } from '../order.ts'
import { holdsBroken, holdsBrokenText, judgementDifference } from '../words/board.ts'

export interface Draft {
  pending: ComputedRef<boolean>
  /** The picture with the moved order; the one in force while nothing is pending. */
  view: ComputedRef<View | undefined>
  difference: ComputedRef<string>
  /** Which proposal it is, as it was taken; undefined once something is moved by hand. */
  name: ComputedRef<string | undefined>
  move: (shipId: string, by: -1 | 1) => boolean
  moveAcross: (shipId: string, by: -1 | 1) => boolean
  moveTo: (shipId: string, to: { tankerId: string; stationId: string }) => boolean
  /** Takes back what the order says of its slot beside its turn. */
  lift: (shipId: string, said: Said) => boolean
  /** Stations before and behind the ship's own that would take it. */
  neighbours: (shipId: string) => { tankerId: string; stationId: string; by: -1 | 1 }[]
  /** Pictures that are worked out beside the page, by the changed orders they are of: those need not be seen here. */
  sights: ShallowRef<ReadonlyMap<Orders, View>>
  /** Takes a proposal in place of whatever was moved: the orders it changes, whole. */
  take: (name: string, changed: readonly TankerOrder[], basedOnSeq: number) => void
  drag: Drag
  request: () => Unsent | undefined
  /** The orders as moved; undefined while nothing is pending. */
  orders: ComputedRef<Orders | undefined>
  drop: () => void
}

/** A slot in a hand: each place is tried from where everything stood when it was taken up. */
export interface Drag {
  begin: () => void
  fault: (slotId: string, to: Target) => PlaceFault | undefined
  put: (slotId: string, to: Target) => void
  /** As it was when it was taken up. */
  back: () => void
}

/** What comes after the first picture: see moving.ts. */
export type Moving = typeof hands

interface Moved {
  orders: Orders
  basedOnSeq: number
  name: string | undefined
  /** The orders that a proposal changes, as it came. */
  changed?: Orders | undefined
}

/** An order being moved by hand: seen with its judgement before it is accepted, and nowhere but on this page. */
export function useDraft(parts: {
  state: Ref<LiveState>
  view: Ref<View | undefined>
  labels: Ref<Labels | undefined>
  /** Undefined until the page has it: nothing is moved before. */
  moving: Ref<Moving | undefined>
}): Draft {
  const moved = shallowRef<Moved>()
  const sights = shallowRef<ReadonlyMap<Orders, View>>(new Map())
  let takenUp: Moved | undefined

  const inForce = (): Orders => ordersInForce(parts.state.value)

  const view = computed(() => {
    const current = parts.view.value
    const see = parts.moving.value?.estimate
    if (moved.value === undefined || current === undefined || see === undefined) return current
    const sight = moved.value.changed && sights.value.get(moved.value.changed)
    return sight ?? see(parts.state.value, current.atMs, moved.value.orders)
  })
  const slotOf = (shipId: string) => {
    const slotId = view.value?.ships.find((ship) => ship.shipId === shipId)?.slotId
    return view.value?.slots.find((slot) => slot.slotId === slotId)
  }

  /** What is back as it is in force is not pending. */
  function set(orders: Orders, basedOnSeq: number, proposal?: { name: string; changed: Orders }) {
    const back = parts.moving.value?.changedOrders(inForce(), orders).length === 0
    moved.value = back ? undefined : { orders, basedOnSeq, name: proposal?.name, changed: proposal?.changed }
  }

  function change(
    shipId: string,
    how: (by: Moving, orders: Orders, view: View, slotId: string) => Orders | undefined
  ): boolean {
    const [slot, by] = [slotOf(shipId), parts.moving.value]
    if (view.value === undefined || slot === undefined || by === undefined) return false
    const orders = how(by, moved.value?.orders ?? inForce(), view.value, slot.slotId)
    if (orders === undefined) return false
    set(orders, moved.value?.basedOnSeq ?? parts.state.value.seq)
    return true
  }

  const neighbours: Draft['neighbours'] = (shipId) => {
    const [slot, by] = [slotOf(shipId), parts.moving.value]
    const labels = parts.labels.value
    if (view.value === undefined || slot === undefined || labels === undefined || by === undefined) return []
    const { stationIds, own } = by.stationsFor(view.value, slot, labels.mayUse)
    return ([-1, 1] as const).flatMap((step) => {
      const stationId = stationIds[own + step]
      return stationId === undefined ? [] : [{ tankerId: slot.tankerId, stationId, by: step }]
    })
  }
  const moveTo: Draft['moveTo'] = (shipId, to) =>
    change(shipId, (by, orders, seen, slotId) => by.movedToStation(orders, seen, slotId, to))

  return {
    pending: computed(() => moved.value !== undefined),
    view,
    sights,
    difference: computed(() =>
      moved.value === undefined || parts.view.value === undefined || view.value === undefined
        ? ''
        : judgementDifference(parts.view.value, view.value) +
          holdsBrokenText(holdsBroken(parts.view.value, view.value).map((id) => parts.labels.value?.ship(id) ?? id))
    ),
    name: computed(() => moved.value?.name),
    move: (shipId, step) =>
      change(shipId, (by, orders, seen, slotId) => by.movedInSequence(orders, seen, slotId, step)),
    moveAcross: (shipId, by) => {
      const to = neighbours(shipId).find((neighbour) => neighbour.by === by)
      return to !== undefined && moveTo(shipId, to)
    },
    moveTo,
    lift: (shipId, said) => change(shipId, (by, orders, seen, slotId) => by.lifted(orders, seen, slotId, said)),
    neighbours,
    take: (name, changed, basedOnSeq) => {
      const orders = parts.moving.value?.withChanged(inForce(), changed)
      if (orders !== undefined) set(orders, basedOnSeq, { name, changed })
    },
    drag: {
      begin: () => {
        takenUp = moved.value
      },
      fault: (slotId, to) => {
        const [seen, labels, by] = [parts.view.value, parts.labels.value, parts.moving.value]
        if (seen === undefined || labels === undefined || by === undefined) return 'visit-done'
        return by.placeFault(takenUp?.orders ?? inForce(), seen, { slotId, to, misfit: labels.misfit })
      },
      put: (slotId, to) => {
        const orders = parts.moving.value?.placed(takenUp?.orders ?? inForce(), slotId, to)
        if (orders === undefined) return
        set(orders, takenUp?.basedOnSeq ?? parts.state.value.seq)
      },
      back: () => {
        moved.value = takenUp
      }
    },
    request: () => {
      const by = parts.moving.value
      if (moved.value === undefined || by === undefined) return undefined
      const { orders, basedOnSeq } = moved.value
      return { kind: 'setOrder', orders: by.changedOrders(inForce(), orders), basedOnSeq }
    },
    orders: computed(() => moved.value?.orders),
    drop: () => {
      moved.value = undefined
    }
  }
}
