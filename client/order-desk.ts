import type { Fact } from '../shared/contracts/facts.ts'
import type { TankerOrder } from '../shared/contracts/plan.ts'
import { reduce } from '../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../shared/live/state.ts'
import { propose, type Proposal } from '../shared/propose/propose.ts'

/*
 * Proposals made beside the page: it folds the same facts with the same `reduce`, so that what is made once for a plan is
 * kept from one asking to the next. How long an answer takes is bound by work counts.
 */

/** What is there at once; a proof is the service's to make. */
export type InstantKind = 'repair' | 'anew'

export interface Asked {
  /** Counted up by the page: of one kind only the newest counts. */
  ask: number
  kind: InstantKind
  /** Orders being moved by hand: the search begins there. */
  from?: readonly TankerOrder[] | undefined
  /** Event time. */
  atMs: number
}

/** What the page says: the event first, then facts in turn, and questions between them. */
export type ToDesk = { eventId: string } | { facts: readonly Fact[] } | { asked: Asked }

export interface FromDesk {
  ask: number
  kind: InstantKind
  /** Undefined while there is no plan. */
  proposal: Proposal | undefined
  /** The search goes on: a better one may come. */
  more: boolean
}

export class Desk {
  private state: LiveState = emptyState('')
  private readonly waiting = new Map<InstantKind, Asked>()

  hear(message: ToDesk): void {
    if ('eventId' in message) this.state = emptyState(message.eventId)
    else if ('asked' in message) this.ask(message.asked)
    else for (const fact of message.facts) if (fact.seq > this.state.seq) this.state = reduce(this.state, fact)
  }

  private ask(asked: Asked): void {
    // The newest of a kind takes the turn of the older one, which nobody waits for any more.
    const older = this.waiting.get(asked.kind)
    if (older === undefined || asked.ask > older.ask) this.waiting.set(asked.kind, asked)
  }

  /** Answers one question that still waits, better orders told on the way; undefined when none does. */
  answer(tell?: (early: FromDesk) => void): FromDesk | undefined {
    const [next] = this.waiting.values()
    if (next === undefined) return undefined
    const { ask, kind, from, atMs } = next
    this.waiting.delete(kind)
    const onBetter =
      tell &&
      ((proposal: Proposal) => {
        tell({ ask, kind, proposal, more: true })
      })
    return { ask, kind, proposal: propose(this.state, atMs, { kind, from, onBetter }), more: false }
  }
}
