import type { ProposalKind } from '../../shared/contracts/stream.ts'

/*
 * What the service and its threads say to each other. Facts and proposals travel as JSON: the room has its facts so, and
 * nobody on the way but the thread needs to read them.
 */

/** A stretch of an event's log that begins where the thread's ends. */
export interface Facts {
  eventId: string
  /** A JSON list. */
  facts: string
  /** Event time to judge at. */
  atMs: number
  /** Other events that need not be kept. */
  forget: readonly string[]
}

export interface Wanted {
  kind: ProposalKind
  maySpread?: readonly string[] | undefined
  judgements?: number | undefined
}

export type ToThread =
  | ({ kind: 'search'; wanted: Wanted; stop: SharedArrayBuffer } & Facts)
  /** Facts have come since: judge a proposal on them. */
  | ({ kind: 'again'; proposal: string } & Facts)

/** A proposal as JSON, and the last fact it was judged on. */
export interface Told {
  proposal: string
  seq: number
}

export type FromThread =
  | ({ kind: 'better' } & Told)
  /** The search is over; `proof` is what it proved, as JSON. */
  | ({ kind: 'found'; stopped: boolean; proof: string } & Told)
  | ({ kind: 'judged' } & Told)
