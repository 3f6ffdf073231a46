import type { EventClock } from '../contracts/stream.ts'

/** Event time runs with real time until a clock is set. */
export const REAL_CLOCK: EventClock = { realAtMs: 0, eventAtMs: 0, rateFactor: 1 }

/** The one bridge from real time to event time, both in ms. */
export const eventTime = (clock: EventClock, realMs: number): number =>
  clock.eventAtMs + clock.rateFactor * (realMs - clock.realAtMs)
