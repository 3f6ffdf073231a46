import type { View } from '../shared/contracts/view.ts'

/** How long links of a brief hold: until so long after the event is over, or so many hours from now; 0: until they are ended. */
export type Hold = 'event' | number

/** Longer than anybody is late, h. */
export const OVER_H = 12
const HOUR_MS = 3_600_000
export const OVER_MS = OVER_H * HOUR_MS

/** When the last ship pushes or lands and the last tanker leaves, event time, ms. */
export const endsAtMs = ({ pushes, tankers, flights }: View): number =>
  Math.max(
    ...pushes.map(({ pushAtMs }) => pushAtMs),
    ...tankers.map(({ leavesAtMs }) => leavesAtMs),
    ...flights.map(({ ladder }) => ladder.at(-1)?.atMs ?? 0)
  )

/** Until when links hold, real time; undefined: until they are ended. An event that is over long since is not asked after. */
export function expiresAtMs(hold: Hold, { view, realMs }: { view: View; realMs: number }): number | undefined {
  if (hold === 0) return undefined
  if (hold !== 'event') return realMs + hold * HOUR_MS
  return Math.ceil(realMs + Math.max(0, endsAtMs(view) - view.atMs) + OVER_MS)
}
