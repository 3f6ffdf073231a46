import type { TankerOrder } from '../contracts/plan.ts'
import type { View } from '../contracts/view.ts'
import { estimate } from './estimate.ts'
import { orderOf, type LiveState } from './state.ts'

/** The orders in force of all tankers, as a document to change. */
export function ordersInForce(state: LiveState): TankerOrder[] {
  return (state.plan?.tankers ?? []).map(({ id }) => ({ tankerId: id, sequences: [...orderOf(state, id).sequences] }))
}

/** The view as it would be with these orders: what moved counts against the order in force. Nothing is recorded. */
export const withOrders = (state: LiveState, nowMs: number, orders: readonly TankerOrder[]): View | undefined =>
  estimate(state, nowMs, orders)
