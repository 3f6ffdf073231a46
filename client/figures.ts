import type { MassUnit } from '../shared/contracts/kinds.ts'
import type { ShipView, SlotView } from '../shared/contracts/view.ts'
import { BOARD_STEP, massIn, M_PER_NMI } from '../shared/units.ts'

/*
 * Every figure a screen shows is made here. Rounding goes to the safe side: fuel in hand, margins, give left and
 * latest times down; limits, needs, on-loads, contact and push times up. The board rounds fuel in hand to 100 lb or
 * kg, as it is called; everything else to 10.
 */

/** Which way a figure may be off. */
export type Side = 'down' | 'up'

export { BOARD_STEP }
export const FINE_STEP = 10
/** Shown where a figure honestly has no answer. */
export const NO_ANSWER = 'none'

const MINUS = '\u2212'
const MS_PER_DAY = 86_400_000
/** Part of a step that counts as noise of the arithmetic: 6,400 lb kept in kilograms must come back as 6,400 lb. */
const NOISE = 1e-6

/** A multiple of `step` on the safe side of the value. */
function rounded(value: number, side: Side, step: number): number {
  const steps = side === 'down' ? Math.floor(value / step + NOISE) : Math.ceil(value / step - NOISE)
  // Never a negative zero.
  return steps * step + 0
}

const grouped = (whole: number): string =>
  (whole < 0 ? MINUS : '') + String(Math.abs(whole)).replace(/\B(?=(\d{3})+$)/g, ',')

const two = (whole: number): string => String(whole).padStart(2, '0')

/** A mass in the event's unit: `6,400 lb`. */
export function fuelText(fuelKg: number, unit: MassUnit, side: Side, step: number = FINE_STEP): string {
  return `${grouped(rounded(massIn(unit, fuelKg), side, step))} ${unit}`
}

/** A time of day from event time in ms: `13:05:09Z`. */
export function clockText(atMs: number, side: Side = 'down'): string {
  const second = rounded(atMs / 1000, side, 1)
  const ofDay = ((second % 86_400) + 86_400) % 86_400
  return `${two(Math.floor(ofDay / 3600))}:${two(Math.floor(ofDay / 60) % 60)}:${two(ofDay % 60)}Z`
}

/** A time of day to the minute: `13:05Z`. */
export function minuteText(atMs: number, side: Side = 'down'): string {
  const minute = rounded(atMs / 60_000, side, 1)
  const ofDay = ((minute % 1440) + 1440) % 1440
  return `${two(Math.floor(ofDay / 60))}:${two(ofDay % 60)}Z`
}

/** The day of an event time: `2031-05-17`. */
export const dayText = (atMs: number): string =>
  new Date(Math.floor(atMs / MS_PER_DAY) * MS_PER_DAY).toISOString().slice(0, 10)

/** Behind a time of another day than an instant: ` +1 d`; empty on the same day. `stepS` is what the time is shown to. */
export function dayMark(atMs: number, fromMs: number, side: Side = 'down', stepS = 1): string {
  const shownMs = rounded(atMs / 1000, side, stepS) * 1000
  const days = Math.floor(shownMs / MS_PER_DAY) - Math.floor(fromMs / MS_PER_DAY)
  return days === 0 ? '' : ` ${days > 0 ? '+' : MINUS}${grouped(Math.abs(days))} d`
}

/** Minutes and seconds with a true minus: `07:32`, `\u221200:09`. */
export function spanText(spanS: number, side: Side = 'down'): string {
  const second = rounded(spanS, side, 1)
  const size = Math.abs(second)
  return `${second < 0 ? MINUS : ''}${two(Math.floor(size / 60))}:${two(size % 60)}`
}

/** A day, of a span that is longer: nobody counts it in minutes. */
const S_PER_DAY = 86_400

/** A span to wait for: minutes and seconds, from a day on whole days: `in 1,557 d`. */
export const waitText = (spanS: number): string =>
  Math.abs(spanS) < S_PER_DAY ? spanText(spanS) : `${grouped(Math.trunc(spanS / S_PER_DAY) + 0)} d`

/** What limits count on of the fuel aboard. */
export const leastFuelText = (ship: ShipView, unit: MassUnit): string =>
  fuelText(Math.max(0, ship.fuelKg - ship.estimate.unsureKg), unit, 'down')

/** A distance in whole nautical miles: `74 NM`. */
export const distanceText = (distanceM: number, side: Side): string =>
  `${grouped(rounded(distanceM / M_PER_NMI, side, 1))} NM`

/** Age of a call in whole minutes, older rather than younger. */
export const ageText = (ageS: number): string => `${Math.max(0, rounded(ageS / 60, 'up', 1))} min`

/* The figures that board, slot page and plan share: one maker each, so that they can never differ. */

export const contactText = (slot: SlotView): string => clockText(slot.contactAtMs, 'up')
export const disconnectText = (slot: SlotView): string => clockText(slot.disconnectAtMs, 'up')
export const onLoadText = (slot: SlotView, unit: MassUnit): string => fuelText(slot.onLoadKg, unit, 'up')
export const latestContactText = (slot: SlotView): string =>
  slot.latestContactAtMs === null ? NO_ANSWER : clockText(slot.latestContactAtMs, 'down')
export const slackText = (slot: SlotView): string => (slot.slackS === null ? NO_ANSWER : spanText(slot.slackS))
export const pastText = (slot: SlotView): string => spanText(slot.pastS, 'up')
export const pushText = (slot: SlotView): string => clockText(slot.pushAtMs, 'up')
export const requiredText = (slot: SlotView, unit: MassUnit): string => fuelText(slot.requiredAtPushKg, unit, 'up')
export const atPushText = (slot: SlotView, unit: MassUnit): string => fuelText(slot.fuelAtPushKg, unit, 'down')
export const shortageText = (slot: SlotView, unit: MassUnit): string => fuelText(slot.shortageKg, unit, 'up')
/** Empty where nothing falls below the requirement while it waits. */
export const latestPushText = (slot: SlotView): string =>
  slot.latestPushAtMs === null ? '' : clockText(slot.latestPushAtMs)
export const marginText = (ship: ShipView): string => (ship.margin === null ? NO_ANSWER : waitText(ship.margin.marginS))
export const fuelNowText = (ship: ShipView, unit: MassUnit): string => fuelText(ship.fuelKg, unit, 'down', BOARD_STEP)
export const abortText = (ship: ShipView, unit: MassUnit): string =>
  ship.abortKg === null ? NO_ANSWER : fuelText(ship.abortKg, unit, 'up')

export const holdFromText = (hold: Hold): string => clockText(hold.fromMs, 'down')
/** A little early is safe: the cue is met from above. */
export const holdGaugeText = (hold: Hold, unit: MassUnit): string => fuelText(hold.gaugeFromKg, unit, 'up')
export const holdSavesText = (hold: Hold): string => spanText(hold.savedS, 'down')
export const releaseText = (hold: Hold): string => (hold.releaseAtMs === null ? NO_ANSWER : clockText(hold.releaseAtMs))
export const releaseGaugeText = (hold: Hold, unit: MassUnit): string =>
  hold.gaugeReleaseKg === null ? NO_ANSWER : fuelText(hold.gaugeReleaseKg, unit, 'up')
type Hold = Extract<NonNullable<SlotView['hold']>, { kind: 'hold' }>
export const holdOf = (slot: SlotView): Hold | undefined => (slot.hold?.kind === 'hold' ? slot.hold : undefined)
export const abortGaugeText = (slot: SlotView, unit: MassUnit): string =>
  slot.abortGaugeKg === null ? NO_ANSWER : fuelText(slot.abortGaugeKg, unit, 'up')
export const requiredGaugeText = (slot: SlotView, unit: MassUnit): string =>
  slot.requiredGaugeKg === null ? NO_ANSWER : fuelText(slot.requiredGaugeKg, unit, 'up')
export const leastOnLoadText = (slot: SlotView, unit: MassUnit): string => fuelText(slot.leastOnLoadKg, unit, 'up')
