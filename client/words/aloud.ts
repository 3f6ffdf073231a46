import type { MassUnit } from '../../shared/contracts/kinds.ts'
import type { ShipView, SlotView } from '../../shared/contracts/view.ts'
import { FINE_STEP } from '../figures.ts'
import type { Labels } from '../labels.ts'
import { massIn } from '../../shared/units.ts'

const DIGITS = ['zero', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight', 'nine'] as const
const TEENS = [
  'ten',
  'eleven',
  'twelve',
  'thirteen',
  'fourteen',
  'fifteen',
  'sixteen',
  'seventeen',
  'eighteen',
  'nineteen'
] as const
const TENS = ['', '', 'twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety'] as const

/** A call sign as it is spoken: `Alder two one`. */
export const spokenCallSign = (callSign: string): string =>
  callSign
    .replace(/\d/g, (digit) => ` ${DIGITS[Number(digit)] ?? digit}`)
    .replace(/\s+/g, ' ')
    .trim()

function belowThousand(whole: number): string {
  const hundreds = Math.floor(whole / 100)
  const rest = whole % 100
  const parts: string[] = []
  if (hundreds > 0) parts.push(`${DIGITS[hundreds] ?? ''} hundred`)
  if (rest >= 10 && rest < 20) parts.push(TEENS[rest - 10] ?? '')
  else if (rest > 0) {
    const unit = rest % 10
    parts.push(
      [TENS[Math.floor(rest / 10)] ?? '', unit > 0 ? (DIGITS[unit] ?? '') : ''].filter((word) => word !== '').join(' ')
    )
  }
  return parts.join(' ')
}

/** A whole number below a million in words. */
export function spokenNumber(whole: number): string {
  if (whole === 0) return DIGITS[0]
  const thousands = Math.floor(whole / 1000)
  return [thousands > 0 ? `${belowThousand(thousands)} thousand` : '', belowThousand(whole % 1000)]
    .filter((part) => part !== '')
    .join(' ')
}

/** The line to read to a ship: where, after whom, how much, when. On-load and time are rounded up, as they are shown. */
export function aloud(ship: ShipView, slot: SlotView, labels: Labels, unit: MassUnit): string | undefined {
  const name = spokenCallSign(ship.callSign)
  const station = labels.station(slot.tankerId, slot.stationId)
  if (slot.state === 'in contact') return `${name}, in contact on ${station}.`
  if (slot.state !== 'planned') return undefined
  const amount = spokenNumber(Math.ceil(massIn(unit, slot.onLoadKg) / FINE_STEP - 1e-6) * FINE_STEP)
  const ahead = slot.aheadShipId === null ? 'first' : `after ${spokenCallSign(labels.ship(slot.aheadShipId))}`
  const only = slot.internalsOnly ? ', internal fuel only' : ''
  const minute = Math.ceil(slot.contactAtMs / 60_000) % 60
  const at = `${DIGITS[Math.floor(minute / 10)] ?? ''} ${DIGITS[minute % 10] ?? ''}`
  return `${name}, next on ${spokenCallSign(station)}, ${ahead}, ${amount}${only}, expects contact at ${at}.`
}
