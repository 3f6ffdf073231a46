import type { MassUnit } from '../../shared/contracts/kinds.ts'
import { massIn } from '../../shared/units.ts'
import { minuteText } from '../figures.ts'

/** Scales of the pictures: what stands where, in pixels of a picture's own box, and which round figures stand at its edge. */

export type Scale = (value: number) => number

/** A straight scale; one whose values are all alike puts them at its start. */
export function scaleOf(values: { from: number; to: number }, pixels: { from: number; to: number }): Scale {
  const perValue = values.to === values.from ? 0 : (pixels.to - pixels.from) / (values.to - values.from)
  return (value) => pixels.from + (value - values.from) * perValue
}

/** The smallest of 1, 2, 5, 10, 20 … that leaves no more than so many steps. */
export function stepFor(most: number, steps: number): number {
  const rough = most / steps
  if (!(rough > 0)) return 1
  const power = 10 ** Math.floor(Math.log10(rough))
  return power * ([1, 2, 5, 10].find((one) => one * power >= rough * (1 - 1e-9)) ?? 10)
}

export interface Mark {
  label: string
  at: number
}

/** Minutes that divide an hour, or hours: what a clock is read in. */
const CLOCK_STEPS_MIN = [1, 2, 5, 10, 15, 20, 30, 60, 120, 240]
const MS_PER_MIN = 60_000
/** About what `05:30Z` takes, with room beside it. */
const TIME_PX = 52

/** Round times of day between two instants. */
export function timeMarks(span: { fromMs: number; toMs: number }, pixels: { from: number; to: number }): Mark[] {
  const x = scaleOf({ from: span.fromMs, to: span.toMs }, pixels)
  const most = Math.max(1, (pixels.to - pixels.from) / TIME_PX)
  const minutes = (span.toMs - span.fromMs) / MS_PER_MIN
  const stepMs = (CLOCK_STEPS_MIN.find((step) => minutes / step <= most) ?? 480) * MS_PER_MIN
  const marks: Mark[] = []
  for (let atMs = Math.ceil(span.fromMs / stepMs) * stepMs; atMs <= span.toMs; atMs += stepMs) {
    // A label that would stand out of the picture is left out.
    if (x(atMs) + TIME_PX / 3 <= pixels.to + 12) marks.push({ label: minuteText(atMs), at: x(atMs) })
  }
  return marks
}

const grouped = (whole: number): string => String(whole).replace(/\B(?=(\d{3})+$)/g, ',')

/** A scale of fuel from 0 up to a round figure above the most, with its round figures; pixels grow downwards. */
export function fuelScale(
  mostKg: number,
  unit: MassUnit,
  pixels: { top: number; bottom: number }
): { y: Scale; marks: Mark[] } {
  const most = Math.max(1, massIn(unit, mostKg))
  const step = stepFor(most, Math.max(2, Math.floor((pixels.bottom - pixels.top) / 36)))
  const last = Math.ceil(most / step - 1e-9) * step
  const inUnit = scaleOf({ from: 0, to: last }, { from: pixels.bottom, to: pixels.top })
  const marks = Array.from({ length: Math.round(last / step) + 1 }, (_, i) => ({
    label: grouped(i * step),
    at: inUnit(i * step)
  }))
  return { y: (kg) => inUnit(massIn(unit, kg)), marks }
}

/** A line through points, as an SVG path. */
export const lineThrough = (points: readonly { x: number; y: number }[]): string =>
  points.map(({ x, y }, index) => `${index === 0 ? 'M' : 'L'}${x.toFixed(1)} ${y.toFixed(1)}`).join('')

/** A line that stays where it is until the next point, and goes there at once. */
export const stepsThrough = (points: readonly { x: number; y: number }[]): string =>
  points
    .map(({ x, y }, index) => (index === 0 ? `M${x.toFixed(1)} ${y.toFixed(1)}` : `H${x.toFixed(1)}V${y.toFixed(1)}`))
    .join('')

/** About what one letter takes. */
const LETTER_PX = 6.6

/** In which of so many lines each text stands so that none runs into the one before it, from the left; the last if none is free. */
export function lanesOf(texts: readonly { x: number; text: string }[], lanes: number): number[] {
  const freeFrom = new Array<number>(lanes).fill(-Infinity)
  const places = texts.map((_, index) => index).toSorted((a, b) => (texts[a]?.x ?? 0) - (texts[b]?.x ?? 0))
  const chosen = new Array<number>(texts.length).fill(0)
  for (const index of places) {
    const { x, text } = texts[index] ?? { x: 0, text: '' }
    const free = freeFrom.findIndex((from) => from <= x)
    const lane = free < 0 ? lanes - 1 : free
    freeFrom[lane] = x + text.length * LETTER_PX + 8
    chosen[index] = lane
  }
  return chosen
}
