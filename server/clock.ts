export interface Clock {
  /** UTC, ms since 1970. */
  nowMs(): number
  /** Ms since some moment; never runs backwards, so spans are measured with it. */
  elapsedMs(): number
}

export const systemClock: Clock = { nowMs: () => Date.now(), elapsedMs: () => performance.now() }
