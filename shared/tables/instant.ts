/**
 * Instants as they are written in a plan, all UTC: a time of day is the first one not before the opening of the event,
 * with a day of the month before it the first such day. Group of day and time `ddhhmmZ` with or without month and year:
 * common practice, no source. ISO 8601 with date and time is itself.
 */
import { lacking, wrong, type Reading, type Wrong } from './wrong.ts'

const MS_PER_MIN = 60_000
const MS_PER_HOUR = 3_600_000
const MS_PER_DAY = 86_400_000
const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec']

const ISO = /^(\d{4})-(\d\d)-(\d\d)[t ]+(\d\d):?(\d\d)(?::?(\d\d)(?:[.](\d{1,3}))?)?\s?(?:z|utc)?$/i
const OFFSET = /^\d{4}-\d\d-\d\d[t ]+\d\d:?\d\d.*[-+]\d\d/i
const NAMED_MONTH = /^(\d{1,2})[ -]([a-z]{3})[ -](\d{4})[ ,]+(\d\d):?(\d\d)\s?(?:z|utc)?$/i
const GROUP = /^(\d\d)(\d\d)(\d\d)\s?z?\s?([a-z]{3})\s?(\d\d(?:\d\d)?)$/i
const DAY_AND_TIME = /^(\d\d?)[ /]?(\d\d):?(\d\d)\s?(?:z|utc)?$/i
const TIME = /^(\d{1,2}):(\d\d)(?::(\d\d))?\s?(?:z|utc)?$|^(\d{1,2})(\d\d)\s?(?:z|utc)?$/i

const LIMIT = 'a time, UTC: hhmm, ddhhmm, or a date and time'
const MEND = 'Write 1432, 281432 for the 28th, or 2030-11-28 14:32Z.'
const none = (text: string): { wrong: Wrong } => wrong(LIMIT, `"${text}" is no time that can be placed`, MEND)

/** An instant of parts that exist in the calendar; undefined for 31 April or 25 o'clock. */
function instant(year: number, month: number, day: number, hour: number, minute: number, second = 0, ms = 0) {
  if (month < 1 || month > 12 || day < 1 || hour > 23 || minute > 59 || second > 59) return undefined
  const atMs = Date.UTC(year, month - 1, day, hour, minute, second, ms)
  return Number(new Date(atMs).toISOString().slice(8, 10)) === day ? atMs : undefined
}

/** Reads an instant that says its date, whatever the opening. */
function dated(text: string): number | undefined {
  const iso = ISO.exec(text)
  if (iso) {
    const [year = 0, month = 0, day = 0, hour = 0, minute = 0, second = 0] = iso
      .slice(1, 7)
      .map((part) => Number(part || 0))
    return instant(year, month, day, hour, minute, second, Number((iso[7] ?? '').padEnd(3, '0')))
  }
  const named = NAMED_MONTH.exec(text)
  const group = named ? null : GROUP.exec(text)
  const [day, month = '', year, hour, minute] = named
    ? named.slice(1)
    : group
      ? [group[1], group[4], group[5], group[2], group[3]]
      : []
  if (year === undefined) return undefined
  const fullYear = year.length === 2 ? 2000 + Number(year) : Number(year)
  return instant(fullYear, MONTHS.indexOf(month.toLowerCase()) + 1, Number(day), Number(hour), Number(minute))
}

/** Reads the opening of an event: only with its date. */
export function readOpening(text: string): Reading<number> {
  const atMs = dated(text)
  if (atMs !== undefined) return { value: atMs }
  return wrong('a date and time, UTC', `"${text}" is no date and time`, 'Write 2030-11-28 14:00Z.')
}

/** Reads an instant of an event that opens at `opensAtMs`. */
export function readInstant(text: string, opensAtMs: number | undefined): Reading<number> {
  const whole = dated(text)
  if (whole !== undefined) return { value: whole }
  if (OFFSET.test(text)) return wrong(LIMIT, 'not UTC', 'Write the time in UTC, with Z.')
  const time = TIME.exec(text)
  const day = time ? null : DAY_AND_TIME.exec(text)
  if (!time && !day) return none(text)
  if (opensAtMs === undefined)
    return lacking(
      LIMIT,
      'the event has no opening to tell the day from',
      'Set when the event opens, or write date and time.'
    )
  const atMs = time
    ? ofDay(Number(time[1] ?? time[4]), Number(time[2] ?? time[5]), Number(time[3] ?? 0), opensAtMs)
    : ofMonth(Number(day?.[1]), Number(day?.[2]), Number(day?.[3]), opensAtMs)
  return atMs === undefined ? none(text) : { value: atMs }
}

/** The first such time of day that is not before the opening. */
function ofDay(hour: number, minute: number, second: number, opensAtMs: number): number | undefined {
  if (hour > 23 || minute > 59 || second > 59) return undefined
  const midnightMs = Math.floor(opensAtMs / MS_PER_DAY) * MS_PER_DAY
  const atMs = midnightMs + hour * MS_PER_HOUR + minute * MS_PER_MIN + second * 1000
  return atMs < opensAtMs ? atMs + MS_PER_DAY : atMs
}

/** The first such day of a month, at that time, that is not before the opening; a month without the day is passed over. */
function ofMonth(day: number, hour: number, minute: number, opensAtMs: number): number | undefined {
  const [year = 0, month = 0] = new Date(opensAtMs).toISOString().split('-').map(Number)
  for (let later = 0; later <= 3; later++) {
    const months = month - 1 + later
    const atMs = instant(year + Math.floor(months / 12), (months % 12) + 1, day, hour, minute)
    if (atMs !== undefined && atMs >= opensAtMs) return atMs
  }
  return undefined
}

/** Date and time in full, UTC, no longer than it must be: `2030-11-28 14:00Z`. */
export function fullText(atMs: number): string {
  const iso = new Date(atMs).toISOString()
  const end = atMs % MS_PER_MIN === 0 ? 16 : atMs % 1000 === 0 ? 19 : 23
  return `${iso.slice(0, 10)} ${iso.slice(11, end)}Z`
}

/** The shortest text that reads back to the same instant: a time of day, with the day of the month, or in full. */
export function instantText(atMs: number, opensAtMs: number | undefined): string {
  const full = fullText(atMs)
  if (opensAtMs === undefined || full.length > 20) return full
  const time = full.slice(11)
  if (atMs >= opensAtMs && atMs < opensAtMs + MS_PER_DAY) return time
  const withDay = `${full.slice(8, 10)}${time.replace(':', '')}`
  const read = full.length === 17 ? readInstant(withDay, opensAtMs) : undefined
  return read && 'value' in read && read.value === atMs ? withDay : full
}
