/** When something is said to happen: so many minutes, an instant of event time, or nothing that is understood. */
export type Moment = { minutes: number } | { atMs: number } | undefined

const MS_PER_MIN = 60_000
const MIN_PER_DAY = 1440
const MS_PER_DAY = MIN_PER_DAY * MS_PER_MIN
/** More minutes than this are hardly said: three digits may be a time that lacks one. */
const MOST_MIN = 240

/** `2 5`, as digits are spoken, is 25. */
const together = (text: string): string => text.replace(/(?<=^|[ :]|\d)(\d) (?=\d(?: |$))/g, '$1')

const SPAN = /^(\d{1,3})\s*(?:m|min|mins|minutes?)?$/
const TIME = /^(?:at )?(\d{1,2}):?([0-5]\d)(?::([0-5]\d))?\s*z?$/
const PAST_THE_HOUR = /^at (\d{1,2})$/

/**
 * Reads `5`, `5 min` as minutes; `1432`, `14:32`, `14:32:20z` as the nearest such time of day, UTC; `at 32` as the next
 * time that many minutes past the hour.
 */
export function spokenMoment(said: string, nowMs: number): Moment {
  const text = together(said)
  const [, span] = SPAN.exec(text) ?? []
  if (span !== undefined) return Number(span) <= MOST_MIN ? { minutes: Number(span) } : undefined
  const [, pastMin] = PAST_THE_HOUR.exec(text) ?? []
  if (pastMin !== undefined) {
    if (Number(pastMin) > 59) return undefined
    const hourMs = 60 * MS_PER_MIN
    const thisHourMs = Math.floor(nowMs / hourMs) * hourMs + Number(pastMin) * MS_PER_MIN
    return { atMs: thisHourMs < nowMs ? thisHourMs + hourMs : thisHourMs }
  }
  const atMs = ofDay(text, nowMs)
  return atMs === undefined ? undefined : { atMs }
}

/** A time of day on the nearest day; undefined where it is none. */
function ofDay(text: string, nowMs: number): number | undefined {
  const [, hour, minute, second = '0'] = TIME.exec(text) ?? []
  if (hour === undefined || Number(hour) > 23) return undefined
  const ofDayMs = (Number(hour) * 60 + Number(minute)) * MS_PER_MIN + Number(second) * 1000
  const atMs = Math.floor(nowMs / MS_PER_DAY) * MS_PER_DAY + ofDayMs
  return atMs + Math.round((nowMs - atMs) / MS_PER_DAY) * MS_PER_DAY
}

const AGO = /^(\d{1,3}|a|an) ?(m|min|mins|minutes?|s|sec|secs|seconds?)? ago$/

/**
 * Reads when something was observed: `at 1432`, `14:32`, `1432z` as the nearest such time of day, `at 32` as the last time
 * that many minutes past the hour, `2 min ago`, `90 s ago`, `2 ago` as minutes. Told is how it was said.
 */
export function spokenPast(said: string, nowMs: number): { atMs: number; told: string } | undefined {
  const text = together(said)
  const [, count, unit = 'm'] = AGO.exec(text) ?? []
  if (count !== undefined) {
    const number = /^a/.test(count) ? 1 : Number(count)
    const isSeconds = unit.startsWith('s')
    const atMs = Math.floor((nowMs - number * (isSeconds ? 1000 : MS_PER_MIN)) / 1000) * 1000
    return { atMs, told: `${String(number)} ${isSeconds ? 's' : 'min'} ago` }
  }
  const [, pastMin] = PAST_THE_HOUR.exec(text) ?? []
  const hourMs = 60 * MS_PER_MIN
  const thisHourMs = Math.floor(nowMs / hourMs) * hourMs + Number(pastMin) * MS_PER_MIN
  const lastMs = Number(pastMin) > 59 ? undefined : thisHourMs > nowMs ? thisHourMs - hourMs : thisHourMs
  const atMs = pastMin === undefined ? ofDay(text, nowMs) : lastMs
  return atMs === undefined ? undefined : { atMs, told: `at ${clock(atMs)}` }
}

/** A time of day written out, UTC: `14:32:20Z`, without seconds where there are none. */
export function clock(atMs: number): string {
  const ofDayS = Math.floor((((atMs % MS_PER_DAY) + MS_PER_DAY) % MS_PER_DAY) / 1000)
  const parts = [Math.floor(ofDayS / 3600), Math.floor(ofDayS / 60) % 60, ...(ofDayS % 60 === 0 ? [] : [ofDayS % 60])]
  return `${parts.map((part) => String(part).padStart(2, '0')).join(':')}Z`
}

/** An instant so many minutes after another, on a whole second, so that what is recorded is what is told. */
export const minutesAfter = (fromMs: number, minutes: number): number =>
  Math.ceil((fromMs + minutes * MS_PER_MIN) / 1000) * 1000
