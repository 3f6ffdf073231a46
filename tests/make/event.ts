import type { Fact } from '../../shared/contracts/facts.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { AnyRequest } from '../../shared/contracts/requests.ts'
import { decide } from '../../shared/live/decide.ts'
import type { Refusal } from '../../shared/live/decision.ts'
import type { Who } from '../../shared/live/permissions.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../../shared/live/state.ts'

export const COMMANDER: Who = { linkId: 'link-commander', role: 'commander' }

/** An event kept in memory: asks are decided and folded as the service does, at event times the test gives. */
export class MemoryEvent {
  state: LiveState = emptyState('paper')
  readonly log: Fact[] = []

  constructor(plan: Plan, atMs = plan.opensAtMs) {
    this.ask({ kind: 'adoptPlan', revision: 1, plan }, atMs)
    this.ask({ kind: 'openEvent' }, atMs)
  }

  /** The refusal, or undefined when it was recorded. Ids are given as plain strings. */
  ask(
    request: { kind: AnyRequest['kind'] } & Record<string, unknown>,
    nowMs: number,
    who: Who = COMMANDER
  ): Refusal | undefined {
    const full = { requestId: `request-${String(this.log.length)}`, ...request } as unknown as AnyRequest
    const answer = decide(this.state, full, who, { eventMs: nowMs, realMs: nowMs })
    if ('refusal' in answer) return answer.refusal
    for (const fact of answer.facts) {
      const recorded = {
        v: 1,
        eventId: 'paper',
        seq: this.state.seq + 1,
        recordedAtMs: nowMs,
        by: who.linkId,
        requestId: full.requestId,
        ...fact
      } as Fact
      this.log.push(recorded)
      this.state = reduce(this.state, recorded)
    }
    return undefined
  }
}
