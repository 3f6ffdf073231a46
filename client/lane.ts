import type { SlotView } from '../shared/contracts/view.ts'

/** Minutes the time lane may show. */
export const LANE_MINUTES = [30, 60, 90] as const
export type LaneMinutes = (typeof LANE_MINUTES)[number]

/** One slot in the time lane: shares of the lane's width, cut at its ends. */
export interface LaneSlot {
  slot: SlotView
  startsAt: number
  contactAt: number
  endsAt: number
  /** Where in the lane its end is cut off. */
  beyond: 'no' | 'before' | 'after'
  latestAt: number | undefined
  pushAt: number | undefined
}

/** Shares of the lane's width from now (0) to its end (1). */
export function laneSlot(slot: SlotView, nowMs: number, minutes: LaneMinutes): LaneSlot {
  const endMs = nowMs + minutes * 60_000
  const share = (atMs: number) => Math.min(1, Math.max(0, (atMs - nowMs) / (endMs - nowMs)))
  const within = (atMs: number | null) => (atMs !== null && atMs >= nowMs && atMs <= endMs ? share(atMs) : undefined)
  // What it must meet: its latest contact, or once it is done its latest push. One that is past stays at the left edge.
  const latestMs = slot.state === 'done' ? slot.latestPushAtMs : slot.latestContactAtMs
  return {
    slot,
    startsAt: share(slot.startAtMs),
    contactAt: share(slot.contactAtMs),
    endsAt: share(slot.disconnectAtMs),
    beyond: slot.startAtMs > endMs ? 'after' : slot.disconnectAtMs < nowMs ? 'before' : 'no',
    latestAt: latestMs === null || latestMs > endMs ? undefined : share(latestMs),
    pushAt: within(slot.pushAtMs)
  }
}

/** Whole ten minutes inside the lane, ms and share. */
export function laneMarks(nowMs: number, minutes: LaneMinutes): { atMs: number; at: number }[] {
  const stepMs = 600_000
  const endMs = nowMs + minutes * 60_000
  const marks: { atMs: number; at: number }[] = []
  for (let atMs = Math.ceil(nowMs / stepMs) * stepMs; atMs <= endMs; atMs += stepMs) {
    marks.push({ atMs, at: (atMs - nowMs) / (endMs - nowMs) })
  }
  return marks
}
