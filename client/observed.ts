import type { Fact } from '../shared/contracts/facts.ts'
import type { EventClock } from '../shared/contracts/stream.ts'
import { eventTime, REAL_CLOCK } from '../shared/live/clock.ts'

/**
 * Event time of something observed at a real instant: by the clock that was in force then, as the log has it. Never
 * ahead of event time now, where the clock was set back before the event opened: then by the clock in force now. Where no
 * log is there yet it is by the clock that this device knew.
 */
export function observedAtMs(log: readonly Fact[], clock: EventClock, realMs: number, nowRealMs: number): number {
  const then = log.findLast((fact) => fact.kind === 'clockSet' && fact.realAtMs <= realMs)
  const before = log.length === 0 ? clock : REAL_CLOCK
  const atMs = eventTime(then?.kind === 'clockSet' ? then : before, realMs)
  return Math.round(atMs <= eventTime(clock, nowRealMs) ? atMs : eventTime(clock, realMs))
}
