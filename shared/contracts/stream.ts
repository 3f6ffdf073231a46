import type { Fact } from './facts.ts'
import type { ProblemCode } from './problem.ts'

/** The clock of an event: event time now = eventAtMs + rate x (real now - realAtMs). */
export interface EventClock {
  realAtMs: number
  eventAtMs: number
  rateFactor: number
}

/** Frames from the service. `facts` covers every sequence number from..to, so a gap is seen at once. */
export type FrameOut =
  | { kind: 'hello'; v: 1; eventId: string; seq: number; realAtMs: number; serverVersion: string }
  | { kind: 'facts'; from: number; to: number; facts: Fact[] }
  | { kind: 'beat'; seq: number; realAtMs: number }
  | { kind: 'problem'; code: ProblemCode }

/** Frames from a page: only what it has folded. */
export interface FrameIn {
  kind: 'seen'
  seq: number
}

export const BEAT_MS = 2_000
/** A page without any frame for this long says so. */
export const SILENCE_MS = 5_000
