import type { Fact } from './facts.ts'
import type { ProblemCode } from './problem.ts'
import type { SearchView } from './search.ts'

/** The clock of an event: event time now = eventAtMs + rate x (real now - realAtMs). */
export interface EventClock {
  realAtMs: number
  eventAtMs: number
  rateFactor: number
}

/** What tells the fact at a place of one log from that of another: a restored service may have counted on otherwise. */
export const markOf = ({ requestId, recordedAtMs }: Pick<Fact, 'requestId' | 'recordedAtMs'>): string =>
  `${requestId} ${String(recordedAtMs)}`

/** Frames from the service. `facts` covers every sequence number from..to, so a gap is seen at once; `search` is the whole view of a search each time, `presence` everybody who looks on. */
export type FrameOut =
  | Hello
  | { kind: 'facts'; from: number; to: number; facts: Fact[] }
  | { kind: 'beat'; seq: number; realAtMs: number }
  | { kind: 'problem'; code: ProblemCode }
  | { kind: 'search'; search: SearchView }
  | { kind: 'trouble'; code: Trouble | null }
  | { kind: 'presence'; links: readonly Present[] }

export interface Hello {
  kind: 'hello'
  v: 1
  eventId: string
  seq: number
  /** The last fact the page said it has, and the mark of it in this log; null where the log is shorter, or none was said. */
  after: number
  mark: string | null
  realAtMs: number
  serverVersion: string
  /** Of the event, for a page that folds no facts. */
  clock: EventClock
}

/** A link with pages open on the event, and how many. */
export interface Present {
  linkId: string
  boards: number
}

/** Why nothing can be recorded in any event just now; null when it can again. */
export type Trouble = 'store-full' | 'store-broken'

/** Frames from a page: only what it has folded. */
export interface FrameIn {
  kind: 'seen'
  seq: number
}

export const BEAT_MS = 2_000
/** A page without any frame for this long says so. */
export const SILENCE_MS = 5_000

/** `repair`: only what goes wrong is put elsewhere. `anew`: the whole order. `proof`: the whole, and what no order can better. */
export const PROPOSALS = ['repair', 'anew', 'proof'] as const
export type ProposalKind = (typeof PROPOSALS)[number]
export const SEARCH_STATUSES = ['queued', 'running', 'done', 'stopped', 'broken'] as const
export type SearchStatus = (typeof SEARCH_STATUSES)[number]
/** Its thread was ended, it hit a fault of ours, or it took far longer than it may. */
export const SEARCH_FAULTS = ['ended', 'fault', 'too long'] as const
export type SearchFault = (typeof SEARCH_FAULTS)[number]
