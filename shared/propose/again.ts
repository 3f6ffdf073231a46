import type { RequestId } from '../contracts/ids.ts'
import type { AnyRequest } from '../contracts/requests.ts'
import { decide } from '../live/decide.ts'
import type { Who } from '../live/permissions.ts'
import { ordersInForce, type LiveState } from '../live/state.ts'
import { problemOf, proposalOf, type Proposal } from './propose.ts'

/** The check is of the order, not of who would set it. */
const ANYBODY: Who = { linkId: 'l-again', role: 'coordinator' }

/**
 * A proposal judged again on the event as it stands now: judgement, order in force and changes are of this state and
 * event time. Its orders are empty where they are no better than the order in force any more, or would be refused:
 * something in them is flown since, a station closed, a slot gone, the event closed. What no order can better was found
 * for another state: it goes when facts have come since.
 * Checked: tests/shared/propose/again.test.ts (constructed).
 */
export function again(state: LiveState, atMs: number, proposal: Proposal): Proposal {
  const rest = { ...proposal, bound: state.seq === proposal.basedOnSeq ? proposal.bound : undefined }
  const inForce = ordersInForce(state)
  const orders = isTaken(state, atMs, proposal)
    ? inForce.map((order) => proposal.orders.find((one) => one.tankerId === order.tankerId) ?? order)
    : inForce
  const problem = problemOf(state, atMs, { from: orders })
  if (!problem) return { ...rest, basedOnSeq: state.seq, atMs, orders: [], changes: [] }
  return proposalOf(problem, problem.input.sequences, rest)
}

/** Whether its orders would be set if somebody asked now. */
function isTaken(state: LiveState, atMs: number, { orders }: Proposal): boolean {
  if (orders.length === 0) return false
  const requestId = 'again-00' as RequestId
  const asked: AnyRequest = { kind: 'setOrder', requestId, orders: [...orders], basedOnSeq: state.seq }
  return 'facts' in decide(state, asked, ANYBODY, { eventMs: atMs, realMs: atMs })
}
