import type { MassUnit } from '../../shared/contracts/kinds.ts'
import type { ShipView, SlotView, TankerView } from '../../shared/contracts/view.ts'
import { FINE_STEP, minuteText } from '../figures.ts'
import type { Labels } from '../labels.ts'
import { massIn } from '../../shared/units.ts'

const DIGITS = ['zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'] as const
/** A call sign as it is spoken: `Alder two one`. */
export const spokenCallSign = (callSign: string): string =>
  callSign
    .replace(/\d/g, (digit) => ` ${DIGITS[Number(digit)] ?? digit}`)
    .replace(/\s+/g, ' ')
    .trim()

const spelled = (digits: string): string =>
  digits.replace(/\d/g, (digit) => ` ${DIGITS[Number(digit)] ?? digit}`).trim()

/**
 * A whole number as it is said on the radio: each digit by itself, whole thousands and hundreds by these words.
 * Source: ICAO Annex 10 Volume II, 5.2.1.4.1 (transmission of numbers), from memory. Checked: tests/client/aloud.test.ts.
 */
export function spokenNumber(whole: number): string {
  if (whole % 100 !== 0 || whole === 0) return spelled(String(whole))
  const thousands = Math.floor(whole / 1000)
  const hundreds = (whole % 1000) / 100
  return [
    thousands > 0 ? `${spelled(String(thousands))} thousand` : '',
    hundreds > 0 ? `${spelled(String(hundreds))} hundred` : ''
  ]
    .filter((part) => part !== '')
    .join(' ')
}

/** A time as it is said: hour and minute, digit by digit; up to the next whole minute. */
export const spokenTime = (atMs: number): string => spelled(minuteText(atMs, 'up').replace(/\D/g, ''))

const spokenOnLoad = (slot: SlotView, unit: MassUnit): string =>
  spokenNumber(Math.ceil(massIn(unit, slot.onLoadKg) / FINE_STEP - 1e-6) * FINE_STEP) +
  (slot.internalsOnly ? ', internal fuel only' : '')

/** The line to read to a ship: where, after whom, how much, when. On-load and time are rounded up, as they are shown. */
export function aloud(ship: Pick<ShipView, 'callSign'>, slot: SlotView, labels: Labels, unit: MassUnit) {
  const name = spokenCallSign(ship.callSign)
  const station = spokenCallSign(labels.station(slot.tankerId, slot.stationId))
  if (slot.state === 'in contact') {
    return `${name}, in contact on ${station}, expects disconnect at ${spokenTime(slot.disconnectAtMs)}.`
  }
  if (slot.state !== 'planned') return undefined
  const ahead = slot.aheadShipId === null ? 'first' : `after ${spokenCallSign(labels.ship(slot.aheadShipId))}`
  return `${name}, next on ${station}, ${ahead}, ${spokenOnLoad(slot, unit)}, expects contact at ${spokenTime(slot.contactAtMs)}.`
}

/** A line to read, and what it is of. */
export interface AloudLine {
  id: string
  text: string
}

/** What a tanker's stations do next, line by line: who is on, who comes, which take nobody new. */
export function tankerAloud(
  { tankerId, stations }: TankerView,
  slots: readonly SlotView[],
  labels: Labels,
  unit: MassUnit
): AloudLine[] {
  const line = (slotId: string | undefined | null): AloudLine[] => {
    const slot = slots.find((one) => one.slotId === slotId)
    const text = slot && aloud({ callSign: labels.ship(slot.shipId) }, slot, labels, unit)
    return slot === undefined || text === undefined ? [] : [{ id: slot.slotId, text }]
  }
  return stations.flatMap(({ stationId, status, inContact, nextSlotId }) => [
    ...line(inContact?.slotId),
    ...(status === 'good'
      ? line(nextSlotId)
      : [{ id: stationId, text: `${spokenCallSign(labels.station(tankerId, stationId))} ${status}, nobody new.` }])
  ])
}

export const ALOUD = {
  nothing: 'Nobody is on a station or next.',
  copy: 'Copy',
  copied: 'Copied',
  /** Where a browser lets no page copy. */
  marked: 'Marked: copy it with the keys',
  speak: 'Speak',
  stop: 'Stop'
} as const
