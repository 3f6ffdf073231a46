import type { SlotView } from '../shared/contracts/view.ts'

/** Minutes the time lane may show. */
export const LANE_MINUTES = [30, 60, 90] as const
export type LaneMinutes = (typeof LANE_MINUTES)[number]

/*
 * A lane is drawn from an instant that stands still for minutes, and the strip it is drawn on moves to the left: between
 * two changes of its slot nothing of a lane is drawn anew. What hangs on now itself, words that change sides and marks
 * that stay at the left edge, follows in steps that nobody sees.
 */

/** How long a lane is drawn from one instant, ms. */
const ORIGIN_STEP_MS = 600_000
/** A step of what hangs on now: a pixel or two of the lane, ms. */
const NOW_STEP_MS = 10_000
/** Whole minutes that are marked. */
const MARK_STEP_MS = 600_000

export interface LaneFrame {
  /** The strip begins here. */
  originMs: number
  /** Now, a step behind at most. */
  nowMs: number
  spanMs: number
}

export function laneFrame(nowMs: number, minutes: LaneMinutes): LaneFrame {
  const step = (stepMs: number) => Math.floor(nowMs / stepMs) * stepMs
  return { originMs: step(ORIGIN_STEP_MS), nowMs: step(NOW_STEP_MS), spanMs: minutes * 60_000 }
}

/** How far the strip has moved, in shares of the lane's width. */
export const laneShift = ({ originMs, spanMs }: LaneFrame, nowMs: number): number => (nowMs - originMs) / spanMs

/** A strip moves by this part of the lane at least: a third of a pixel of a common one, a pixel of one three times as wide. */
const LEAST_SHIFT = 1 / 1440

/** The same as it is drawn: to the nearest step that is seen, so that most rows need no drawing for it from one picture to the next. */
export const drawnShift = (frame: LaneFrame, nowMs: number): number =>
  Math.round(laneShift(frame, nowMs) / LEAST_SHIFT) * LEAST_SHIFT

/** One slot on the strip: shares of the lane's width from where the strip begins. */
export interface LaneSlot {
  startsAt: number
  contactAt: number
  endsAt: number
  /** Where in the lane it is not to be seen. */
  beyond: 'no' | 'before' | 'after'
  /** What it must meet: its latest contact, or once it is done its latest push. */
  latestAt: number | undefined
  /** That is past, and stays at the left edge. */
  latestPast: boolean
  pushAt: number | undefined
}

export function laneSlot(slot: SlotView, { originMs, nowMs, spanMs }: LaneFrame): LaneSlot {
  const endMs = nowMs + spanMs
  const share = (atMs: number) => (atMs - originMs) / spanMs
  const latestMs = slot.state === 'done' ? slot.latestPushAtMs : slot.latestContactAtMs
  return {
    startsAt: share(slot.startAtMs),
    contactAt: share(slot.contactAtMs),
    endsAt: share(slot.disconnectAtMs),
    beyond: slot.startAtMs > endMs ? 'after' : slot.disconnectAtMs < nowMs ? 'before' : 'no',
    latestAt: latestMs === null || latestMs > endMs ? undefined : share(latestMs),
    latestPast: latestMs !== null && latestMs < nowMs,
    pushAt: slot.pushAtMs >= nowMs && slot.pushAtMs <= endMs ? share(slot.pushAtMs) : undefined
  }
}

/** Whole ten minutes from an instant, ms, and shares of the lane's width from there. */
export function laneMarks(fromMs: number, spanMs: number): { atMs: number; at: number }[] {
  const marks: { atMs: number; at: number }[] = []
  for (let atMs = Math.ceil(fromMs / MARK_STEP_MS) * MARK_STEP_MS; atMs <= fromMs + spanMs; atMs += MARK_STEP_MS) {
    marks.push({ atMs, at: (atMs - fromMs) / spanMs })
  }
  return marks
}

/** From one mark of a strip to the next, in shares of the lane's width: a strip begins at a mark. */
export const markStep = ({ spanMs }: LaneFrame): number => MARK_STEP_MS / spanMs
