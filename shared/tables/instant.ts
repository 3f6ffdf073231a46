/**
 * Instants as they are written in a plan, all UTC: a time of day is the first one not before the opening of the event,
 * with a day of the month before it the first such day, as long as that is not far off. Group of day and time `ddhhmmZ` with or without month and year:
 * common practice, no source. ISO 8601 with date and time is itself.
 */
import { lacking, wrong, type Reading, type Wrong } from './wrong.ts'

const MS_PER_MIN = 60_000
const MS_PER_HOUR = 3_600_000
const MS_PER_DAY = 86_400_000
/** A day of the month further off than this is asked back: an event is over by then. Assumed. */
const MOST_DAYS_OFF = 7
/** An opening further off than this, without its closing, may as well be of the day before. */
const MOST_MS_ALONE = 12 * MS_PER_HOUR
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
  const atMs = time ? timeOfDay(time, opensAtMs) : ofMonth(day ?? [], opensAtMs)
  if (atMs === undefined) return none(text)
  return day && atMs - opensAtMs > MOST_DAYS_OFF * MS_PER_DAY ? farOff(day, opensAtMs, atMs) : { value: atMs }
}

/** From when a window is open: what is known of it besides its text. */
export interface Window {
  readonly opensAtMs: number | undefined
  readonly closesAtMs?: number | undefined
}

/**
 * Reads when a window opens. It may have been open before the event is: a time of day that would come after the closing
 * is of the day before, and a day of the month the nearest such day.
 */
export function readWindowOpening(text: string, { opensAtMs, closesAtMs }: Window): Reading<number> {
  const day = opensAtMs === undefined || TIME.test(text) || dated(text) !== undefined ? null : DAY_AND_TIME.exec(text)
  if (day && opensAtMs !== undefined) {
    const [before, after] = [ofMonthBefore(day, opensAtMs), ofMonth(day, opensAtMs)]
    if (before === undefined || after === undefined) return none(text)
    const atMs = opensAtMs - before < after - opensAtMs ? before : after
    const isFar = Math.abs(atMs - opensAtMs) > MOST_DAYS_OFF * MS_PER_DAY
    return isFar ? farOff(day, opensAtMs, after) : { value: atMs }
  }
  const read = readInstant(text, opensAtMs)
  if ('wrong' in read || opensAtMs === undefined || !TIME.test(text)) return read
  const [atMs, dayBeforeMs] = [read.value, read.value - MS_PER_DAY]
  if (closesAtMs !== undefined) return { value: atMs > closesAtMs ? dayBeforeMs : atMs }
  if (atMs - opensAtMs <= MOST_MS_ALONE) return read
  const mend = `Write ${fullText(dayBeforeMs)} or ${fullText(atMs)}, or say when it closes.`
  return lacking('a time of one day', 'it may be of the day before, where nothing says when it closes', mend)
}

function farOff(day: readonly string[], opensAtMs: number, atMs: number): { wrong: Wrong } {
  const days = Math.floor((atMs - opensAtMs) / MS_PER_DAY)
  const before = ofMonthBefore(day, opensAtMs)
  const other = before === undefined ? '' : `${fullText(before)} or `
  return wrong(
    `a time within ${String(MOST_DAYS_OFF)} days of the opening, or one with its date`,
    `the next such day is ${String(days)} days after the event opens`,
    `Write ${other}${fullText(atMs)}.`
  )
}

/** The first time of day that is not before the opening. */
const timeOfDay = (time: readonly string[], opensAtMs: number): number | undefined =>
  ofDay(Number(time[1] ?? time[4]), Number(time[2] ?? time[5]), Number(time[3] ?? 0), opensAtMs)

/** The first such time of day that is not before the opening. */
function ofDay(hour: number, minute: number, second: number, opensAtMs: number): number | undefined {
  if (hour > 23 || minute > 59 || second > 59) return undefined
  const midnightMs = Math.floor(opensAtMs / MS_PER_DAY) * MS_PER_DAY
  const atMs = midnightMs + hour * MS_PER_HOUR + minute * MS_PER_MIN + second * 1000
  return atMs < opensAtMs ? atMs + MS_PER_DAY : atMs
}

/** The first such day of a month, at that time, that is not before the opening; a month without the day is passed over. */
function ofMonth([, ...parts]: readonly string[], opensAtMs: number): number | undefined {
  return [0, 1, 2, 3].map((later) => inMonth(parts, opensAtMs, later)).find((atMs) => (atMs ?? -Infinity) >= opensAtMs)
}

/** The last such day before the opening. */
function ofMonthBefore([, ...parts]: readonly string[], opensAtMs: number): number | undefined {
  return [0, -1, -2, -3].map((later) => inMonth(parts, opensAtMs, later)).find((atMs) => (atMs ?? Infinity) < opensAtMs)
}

/** A day and time in the month of the opening, or so many months later; undefined where that has no such day. */
function inMonth(parts: readonly string[], opensAtMs: number, later: number): number | undefined {
  const [day = 0, hour = 0, minute = 0] = parts.map(Number)
  const [year = 0, month = 0] = new Date(opensAtMs).toISOString().split('-').map(Number)
  const months = month - 1 + later
  return instant(year + Math.floor(months / 12), (((months % 12) + 12) % 12) + 1, day, hour, minute)
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

/** The same of the opening of a window; where its closing is not known, a time of day is only short of half a day off. */
export function windowOpeningText(atMs: number, window: Window): string {
  const full = fullText(atMs)
  if (window.opensAtMs === undefined || full.length > 17) return full
  const time = full.slice(11)
  const shorter = [time, `${full.slice(8, 10)}${time.replace(':', '')}`].find((text) => {
    const read = readWindowOpening(text, window)
    return 'value' in read && read.value === atMs
  })
  return shorter ?? full
}
