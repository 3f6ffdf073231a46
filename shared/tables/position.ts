/**
 * Positions as they are written: decimal degrees, degrees and minutes, or degrees, minutes and seconds, latitude first.
 * Two digits of degrees of latitude and three of longitude where they run together, ISO 6709 annex H.
 */
import type { Position } from '../contracts/quantities.ts'
import { numberText } from './number.ts'
import { wrong, type Reading } from './wrong.ts'

const DECIMAL = /^([-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?)(?: ?[,;] ?| )([-+]?\d+(?:\.\d+)?(?:e[-+]?\d+)?)$/
const DECIMAL_COMMA = /^([-+]?\d+,\d+)[ ;]+([-+]?\d+,\d+)$/
const AFTER = /^([^NSEW]{1,32})([NS])[ ,;/]*([^NSEW]{1,32})([EW])$/
const BEFORE = /^([NS])([^NSEW]{1,32})([EW])([^NSEW]{1,32})$/
const PART = /^\d+(?:\.\d+)?$/
const MARKS = /[°º'’′"″:\s\u00a0]+/g

const MEND = 'Write latitude, then longitude: 44 09.0N 155 24.0W, or 44.15 -155.4.'
const none = (message: string) => wrong('latitude -90 to 90, longitude -180 to 180', message, MEND)

/** Reads one position. */
export function readPosition(text: string): Reading<Position> {
  const plain = text.trim().replace(/[−–]/g, '-').replace(MARKS, ' ').trim()
  const decimal = DECIMAL.exec(plain)
  if (decimal) return checked(Number(decimal[1]), Number(decimal[2]))
  const comma = DECIMAL_COMMA.exec(plain)
  if (comma) return checked(Number(comma[1]?.replace(',', '.')), Number(comma[2]?.replace(',', '.')))
  const upper = plain.toUpperCase()
  const [, latitude, north, longitude, east] = AFTER.exec(upper) ?? swapped(BEFORE.exec(upper)) ?? []
  const latitudeDeg = angle(latitude, 2)
  const longitudeDeg = angle(longitude, 3)
  if (latitudeDeg === undefined || longitudeDeg === undefined) return none(`"${text}" is no position`)
  return checked(north === 'S' ? 0 - latitudeDeg : latitudeDeg, east === 'W' ? 0 - longitudeDeg : longitudeDeg)
}

const swapped = (found: RegExpExecArray | null) => found && [found[0], found[2], found[1], found[4], found[3]]

function checked(latitudeDeg: number, longitudeDeg: number): Reading<Position> {
  if (Math.abs(latitudeDeg) > 90) return none(`latitude ${String(latitudeDeg)} is beyond a pole`)
  if (Math.abs(longitudeDeg) > 180) return none(`longitude ${String(longitudeDeg)} is beyond 180 degrees`)
  return { value: { latitudeDeg, longitudeDeg } }
}

/** Degrees of `44 09.0`, `4409.0`, `44 09 30`, `440930` or `44.15`; undefined where minutes pass 60. */
function angle(text: string | undefined, degreeDigits: 2 | 3): number | undefined {
  const parts = (text ?? '').trim().split(/[ -]+/)
  const [first = ''] = parts
  const whole = first.split('.')[0]?.length ?? 0
  const apart = parts.length > 1 || whole <= degreeDigits ? parts : together(first, degreeDigits, whole)
  const [degrees = NaN, minutes = 0, seconds = 0] = apart.map((part) => (PART.test(part) ? Number(part) : NaN))
  const isFine = apart.length <= 3 && apart.slice(0, -1).every((part) => !part.includes('.'))
  if (!isFine || !(minutes < 60) || !(seconds < 60)) return undefined
  const deg = degrees + minutes / 60 + seconds / 3600
  // Sixtieths leave dust behind: 9 minutes are 0.15 degrees and nothing more.
  if (Number.isNaN(deg)) return undefined
  return apart.length === 1 ? deg : Math.round(deg * 1e9) / 1e9
}

/** Parts digits that run together, from the front. */
function together(text: string, degreeDigits: number, wholeDigits: number): string[] {
  const minutesAndSeconds = wholeDigits - degreeDigits
  if (minutesAndSeconds === 2) return [text.slice(0, degreeDigits), text.slice(degreeDigits)]
  if (minutesAndSeconds !== 4) return ['']
  return [text.slice(0, degreeDigits), text.slice(degreeDigits, degreeDigits + 2), text.slice(degreeDigits + 2)]
}

/** Decimal degrees that read back to the very same position; letters, since a sheet takes a leading minus for a sum. */
export function positionText({ latitudeDeg, longitudeDeg }: Position): string {
  const plain = [latitudeDeg, longitudeDeg].map(numberText)
  // Neither minus nought nor 1e-7 has a form with letters.
  if (plain.some((part) => part === '-0' || part.includes('e'))) return plain.join(' ')
  const sides = [latitudeDeg < 0 ? 'S' : 'N', longitudeDeg < 0 ? 'W' : 'E']
  return plain.map((part, at) => part.replace('-', '') + (sides[at] ?? '')).join(' ')
}

/** Degrees and minutes to a tenth, to read: `44°09.0'N 155°24.0'W`; rounded, so never read back. */
export function minutesText({ latitudeDeg, longitudeDeg }: Position): string {
  const part = (angleDeg: number, width: number): string => {
    const tenths = Math.round(Math.abs(angleDeg) * 600)
    const minutes = (tenths % 600) / 10
    return `${String(Math.floor(tenths / 600)).padStart(width, '0')}°${minutes.toFixed(1).padStart(4, '0')}'`
  }
  return `${part(latitudeDeg, 2)}${latitudeDeg < 0 ? 'S' : 'N'} ${part(longitudeDeg, 3)}${longitudeDeg < 0 ? 'W' : 'E'}`
}
