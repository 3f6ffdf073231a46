/** A plan with sequences, judged without an event: what the board would show if this plan were adopted. */
import type { Fault } from '../contracts/problem.ts'
import type { OrderBody } from '../contracts/requests.ts'
import type { View } from '../contracts/view.ts'
import { estimate } from '../live/estimate.ts'
import { emptyState } from '../live/state.ts'
import { planFaults } from './check.ts'

/** The view at an event time, the opening when none is given; or the faults of plan and sequences. */
export function computeOrder(body: OrderBody): View | { faults: Fault[] } {
  const plan = body.orders ? { ...body.plan, orders: body.orders } : body.plan
  const faults = planFaults(plan)
  if (faults.length > 0) return { faults }
  const view = estimate({ ...emptyState('computed'), plan, revision: 0 }, body.atMs ?? plan.opensAtMs)
  if (!view) throw new RangeError('a plan without a view')
  return view
}
