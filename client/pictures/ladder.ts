import type { FuelLine, LimitSpan } from '../../shared/live/lines.ts'
import type { SlotView } from '../../shared/contracts/view.ts'

/** The fuel ladder of one ship as data: spans of phases and limits, and how high the picture must be. */

export interface PhaseSpan {
  phaseId: string
  fromMs: number
  toMs: number
}

/** Phases with the time each takes; those that take none are left out. */
export const phasesOf = ({ rungs }: FuelLine): PhaseSpan[] =>
  rungs.flatMap(({ atMs, phaseId }, index) => {
    const toMs = rungs[index + 1]?.atMs
    return phaseId === null || toMs === undefined || toMs <= atMs ? [] : [{ phaseId, fromMs: atMs, toMs }]
  })

/** Limits that stand on without a change are one line. */
export function joined(limits: readonly LimitSpan[]): LimitSpan[] {
  const spans: LimitSpan[] = []
  for (const span of limits.toSorted((a, b) => a.fromMs - b.fromMs)) {
    const before = spans.findIndex(
      (one) => one.limit === span.limit && one.toMs === span.fromMs && Math.abs(one.kg - span.kg) < 0.5
    )
    const known = spans[before]
    if (known) spans[before] = { ...known, toMs: span.toMs }
    else spans.push(span)
  }
  return spans
}

/** The most that is to be drawn, kg. */
export const mostOf = ({ points, recovery, limits }: FuelLine, slots: readonly SlotView[]): number =>
  Math.max(
    0,
    ...points.map(({ fuelKg }) => fuelKg),
    ...recovery.map(({ kg }) => kg),
    ...limits.map(({ kg }) => kg),
    ...slots.map(({ requiredAtPushKg }) => requiredAtPushKg)
  )

/** Fuel at an instant, kg: what is there before anything that happens just then. */
export function fuelAt(points: FuelLine['points'], atMs: number, of: 'fuelKg' | 'countedKg' = 'fuelKg'): number {
  const place = points.findIndex((point) => point.atMs >= atMs)
  const to = points[place] ?? points.at(-1)
  const from = points[place - 1] ?? to
  if (!from || !to) return 0
  if (to.atMs <= from.atMs) return from[of]
  return from[of] + (Math.min(1, (atMs - from.atMs) / (to.atMs - from.atMs)) || 0) * (to[of] - from[of])
}
