import type { MassUnit } from '../shared/contracts/kinds.ts'
import { massIn, massKg } from '../shared/units.ts'

/** Gauges are read to this, in the event's unit. Source: common practice, no source. */
const STEP: Record<MassUnit, number> = { lb: 100, kg: 50 }

export const kgOf = (figure: number, unit: MassUnit): number => massKg({ value: figure, unit })
export const stepKg = (unit: MassUnit): number => kgOf(STEP[unit], unit)

/** Round figures about a fuel, in the event's unit, lowest first; none below nothing or above what the gauge can show. */
export function nearFigures(
  aboutKg: number,
  { unit, mostKg, count }: { unit: MassUnit; mostKg: number; count: number }
): number[] {
  const step = STEP[unit]
  const most = Math.floor(massIn(unit, mostKg) / step + 1e-6) * step
  const middle = Math.round(massIn(unit, aboutKg) / step) * step
  const lowest = Math.max(0, Math.min(middle - Math.floor(count / 2) * step, most - (count - 1) * step))
  return Array.from({ length: count }, (_, place) => lowest + place * step).filter((figure) => figure <= most)
}
