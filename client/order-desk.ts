import type { Fact } from '../shared/contracts/facts.ts'
import type { TankerOrder } from '../shared/contracts/plan.ts'
import type { View } from '../shared/contracts/view.ts'
import { estimate } from '../shared/live/estimate.ts'
import { reduce } from '../shared/live/reduce.ts'
import { emptyState, ordersInForce, type LiveState } from '../shared/live/state.ts'
import { propose, type Proposal } from '../shared/propose/propose.ts'
import { newsOf, type PictureNews } from './picture.ts'
import { candidateOf, type Candidate, type Lapse } from './proposal.ts'

/*
 * Proposals made beside the page, and seen there on the state as it is: it folds the same facts with the same `reduce`, so
 * that what is made once for a plan is kept from one asking to the next. How long an answer takes is bound by work counts.
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

/** What is seen: the service's proof like those that are made here. */
export type SightKind = InstantKind | 'proof'

/** Asks how proposals stand at an instant of event time. */
export interface Look {
  atMs: number
  proposals: readonly ({ kind: SightKind } & Came)[]
}

/** A proposal as it came. */
export interface Came {
  changed: readonly TankerOrder[]
  basedOnSeq: number
}

/** A proposal on the state as it is, its picture against the one that was told of its kind before. */
export interface Sight {
  kind: SightKind
  outcome: Lapse | (Omit<Candidate, 'view'> & { news: PictureNews })
}

/** What the page says: the event first, then facts in turn, and questions between them. */
export type ToDesk = { eventId: string } | { facts: readonly Fact[] } | { asked: Asked } | { look: Look }

export interface FromDesk {
  ask: number
  kind: InstantKind
  /** Undefined while there is no plan. */
  proposal: Proposal | undefined
  /** The search goes on: a better one may come. */
  more: boolean
  /** How the proposal stands; undefined where there is none. */
  sight: Sight | undefined
}

export interface Looked {
  sights: readonly Sight[]
}

export class Desk {
  private state: LiveState = emptyState('')
  private readonly waiting = new Map<InstantKind, Asked>()
  private toLook: Look | undefined
  /** The pictures told last. */
  private readonly told = new Map<SightKind, View>()
  private asIs: { state: LiveState; atMs: number; view: View | undefined } | undefined

  hear(message: ToDesk): void {
    if ('eventId' in message) this.state = emptyState(message.eventId)
    else if ('asked' in message) this.ask(message.asked)
    else if ('look' in message) this.toLook = message.look
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
    const answer = (proposal: Proposal | undefined, more: boolean): FromDesk => {
      const { orders: changed = [], basedOnSeq = 0 } = proposal ?? {}
      const [sight] = changed.length === 0 ? [] : this.sights(atMs, [{ kind, changed, basedOnSeq }])
      return { ask, kind, proposal, more, sight }
    }
    const onBetter =
      tell &&
      ((proposal: Proposal) => {
        tell(answer(proposal, true))
      })
    return answer(propose(this.state, atMs, { kind, from, onBetter }), false)
  }

  /** How the proposals stand that were asked about last; undefined when that was told. */
  looked(): Looked | undefined {
    const look = this.toLook
    this.toLook = undefined
    return look && { sights: this.sights(look.atMs, look.proposals) }
  }

  private sights(atMs: number, proposals: Look['proposals']): Sight[] {
    const asIs = this.inForceAt(atMs)
    if (asIs === undefined) return []
    const parts = {
      asIs,
      inForce: ordersInForce(this.state),
      see: (orders: readonly TankerOrder[]) => estimate(this.state, atMs, orders)
    }
    return proposals.map(({ kind, ...proposal }): Sight => {
      const candidate = candidateOf(proposal, parts)
      if (typeof candidate === 'string') return { kind, outcome: candidate }
      const { view, ...outcome } = candidate
      const news = newsOf(this.told.get(kind), view)
      this.told.set(kind, view)
      return { kind, outcome: { ...outcome, news } }
    })
  }

  /** The order in force at an instant, seen once for all that are told of one search. */
  private inForceAt(atMs: number): View | undefined {
    if (this.asIs?.state !== this.state || this.asIs.atMs !== atMs)
      this.asIs = { state: this.state, atMs, view: estimate(this.state, atMs) }
    return this.asIs.view
  }
}
