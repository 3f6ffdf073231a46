import type { Fact } from '../shared/contracts/facts.ts'
import type { TankerOrder } from '../shared/contracts/plan.ts'
import type { View } from '../shared/contracts/view.ts'
import { estimate } from '../shared/live/estimate.ts'
import { reduce } from '../shared/live/reduce.ts'
import { emptyState, ordersInForce, type LiveState } from '../shared/live/state.ts'
import type { InstantKind } from './order-desk.ts'
import { newsOf, type PictureNews } from './picture.ts'
import { candidateOf, type Candidate, type Lapse } from './proposal.ts'

/*
 * How proposals stand on the state as it is, seen beside the page like its pictures: with a large event one of them would
 * hold up what is typed. Apart from the search for them, which may take a while.
 */

/** What is seen: the service's proof like those that are made here. */
export type SightKind = InstantKind | 'proof'

/** A proposal as it came. */
export interface Came {
  changed: readonly TankerOrder[]
  basedOnSeq: number
}

/** Asks how proposals stand at an instant of event time. */
export interface Look {
  atMs: number
  proposals: readonly ({ kind: SightKind } & Came)[]
}

/** What the page says: the event first, then facts in turn, and looks between them. */
export type ToSights = { eventId: string } | { facts: readonly Fact[] } | { look: Look }

/** A proposal as it stands, its picture against the one that was told of its kind before. */
export interface Sight {
  kind: SightKind
  outcome: Lapse | (Omit<Candidate, 'view'> & { news: PictureNews })
}

export class Sights {
  private state: LiveState = emptyState('')
  private look: Look | undefined
  private readonly told = new Map<SightKind, View>()

  hear(message: ToSights): void {
    if ('eventId' in message) this.state = emptyState(message.eventId)
    else if ('look' in message) this.look = message.look
    else for (const fact of message.facts) if (fact.seq > this.state.seq) this.state = reduce(this.state, fact)
  }

  /** How those stand that were asked about last; undefined once that was told. */
  seen(): readonly Sight[] | undefined {
    const look = this.look
    this.look = undefined
    if (look === undefined) return undefined
    const asIs = estimate(this.state, look.atMs)
    if (asIs === undefined) return []
    const parts = {
      asIs,
      inForce: ordersInForce(this.state),
      see: (orders: readonly TankerOrder[]) => estimate(this.state, look.atMs, orders)
    }
    return look.proposals.map(({ kind, ...came }) => this.sight(kind, candidateOf(came, parts)))
  }

  private sight(kind: SightKind, candidate: Candidate | Lapse): Sight {
    if (typeof candidate === 'string') return { kind, outcome: candidate }
    const { view, ...outcome } = candidate
    const news = newsOf(this.told.get(kind), view)
    this.told.set(kind, view)
    return { kind, outcome: { ...outcome, news } }
  }
}
