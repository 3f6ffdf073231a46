import type { MassUnit } from '../shared/contracts/kinds.ts'
import { massIn } from '../shared/units.ts'

/** The fill curve as a picture: where its axes, marks and names stand, in pixels of its own box. */

export interface CurvePoint {
  atS: number
  onLoadKg: number
}

/** A curve with the place at which a contact ends, and the same with externals held where that is advised. */
interface CurveEnd {
  points: readonly (CurvePoint & { closes: readonly string[] })[]
  kneeIndex: number | null
  minutesMin: number
}
export interface CurveShown {
  answer: CurveEnd & { onLoadKg: number; hold: { kind: 'hold'; held: CurveEnd } | { kind: 'none' } }
  unit: MassUnit
  type: { groups: readonly { id: string; name: string }[] }
}

export interface Plot {
  width: number
  height: number
  left: number
  right: number
  top: number
  bottom: number
  x: (atS: number) => number
  y: (onLoadKg: number) => number
  minutes: { label: string; x: number }[]
  masses: { label: string; y: number }[]
}

const MARGIN = { left: 52, right: 12, top: 24, bottom: 40 }
/** About what one letter takes. */
const LETTER_PX = 7
const LINE_PX = 16

/** The smallest round step that leaves no more than so many steps. */
function stepFor(most: number, steps: number): number {
  const rough = most / steps
  const power = 10 ** Math.floor(Math.log10(rough))
  return power * ([1, 2, 5, 10].find((one) => one * power >= rough) ?? 10)
}

/** A box in which a curve up to these figures fits; round marks on both axes. */
export function plotOf(most: CurvePoint, unit: MassUnit, { width, height }: { width: number; height: number }): Plot {
  const { left, top } = MARGIN
  const right = width - MARGIN.right
  const bottom = height - MARGIN.bottom
  const endMin = Math.max(1, most.atS / 60)
  const mostMass = Math.max(1, massIn(unit, most.onLoadKg))
  const minuteStep = Math.max(1, stepFor(endMin, Math.max(3, (right - left) / 60)))
  const massStep = stepFor(mostMass, Math.max(3, (bottom - top) / 50))
  const lastMass = Math.ceil(mostMass / massStep) * massStep
  const x = (atS: number) => left + (atS / 60 / endMin) * (right - left)
  const yOf = (mass: number) => bottom - (mass / lastMass) * (bottom - top)
  const whole = (value: number) => String(value).replace(/\B(?=(\d{3})+$)/g, ',')
  const count = (most: number, step: number) =>
    Array.from({ length: Math.floor(most / step + 1e-9) + 1 }, (_, i) => i * step)
  return {
    width,
    height,
    left,
    right,
    top,
    bottom,
    x,
    y: (onLoadKg) => yOf(massIn(unit, onLoadKg)),
    minutes: count(endMin, minuteStep).map((minute) => ({ label: String(minute), x: x(minute * 60) })),
    masses: count(lastMass, massStep).map((mass) => ({ label: whole(mass), y: yOf(mass) }))
  }
}

/** The line of a curve, as an SVG path. */
export const pathOf = (points: readonly CurvePoint[], { x, y }: Plot): string =>
  points
    .map(({ atS, onLoadKg }, index) => `${index === 0 ? 'M' : 'L'}${x(atS).toFixed(1)} ${y(onLoadKg).toFixed(1)}`)
    .join('')

/** Its course up to an instant, s. */
export function until(points: readonly CurvePoint[], endS: number): CurvePoint[] {
  const before = points.filter(({ atS }) => atS <= endS)
  const next = points.find(({ atS }) => atS > endS)
  const last = before.at(-1)
  if (next === undefined || last === undefined || last.atS === endS) return before
  const share = (endS - last.atS) / (next.atS - last.atS)
  return [...before, { atS: endS, onLoadKg: last.onLoadKg + share * (next.onLoadKg - last.onLoadKg) }]
}

export interface Name {
  text: string
  x: number
  y: number
  anchor: 'start' | 'end'
}

/**
 * Where the names of points stand: below the curve, where there is always room, each clear of the one above it. A curve
 * only rises, so the names are set from the last to the first.
 */
export function namesOf(
  named: readonly (CurvePoint & { text: string })[],
  curve: readonly CurvePoint[],
  plot: Plot
): Name[] {
  let ceilingPx = -Infinity
  return named
    .toReversed()
    .map((point) => {
      const x = plot.x(point.atS)
      const widthPx = point.text.length * LETTER_PX
      const anchor: Name['anchor'] = x + widthPx + 10 > plot.right ? 'end' : 'start'
      // A name that reaches to the left of its point stands below a lower part of the curve.
      const shareLeft = anchor === 'end' ? Math.max(0, (x - widthPx - 12 - plot.left) / (x - plot.left)) : 1
      const curveY = plot.y(until(curve, shareLeft * point.atS).at(-1)?.onLoadKg ?? point.onLoadKg)
      const y = Math.min(plot.bottom - 4, Math.max(curveY + LINE_PX + 4, ceilingPx + LINE_PX))
      ceilingPx = y
      return { text: point.text, x: anchor === 'end' ? x - 8 : x + 8, y, anchor }
    })
    .toReversed()
}
