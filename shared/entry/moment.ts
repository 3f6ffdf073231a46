/** When something is said to happen: so many minutes, an instant of event time, or nothing that is understood. */
export type Moment = { minutes: number } | { atMs: number } | undefined

const MS_PER_MIN = 60_000
const MIN_PER_DAY = 1440
const MS_PER_DAY = MIN_PER_DAY * MS_PER_MIN
/** More minutes than this are hardly said: three digits may be a time that lacks one. */
const MOST_MIN = 240

const SPAN = /^(\d{1,3})\s*(?:m|min|mins|minutes?)?$/
const TIME = /^(?:at )?(\d{1,2}):?([0-5]\d)(?::([0-5]\d))?\s*z?$/
const PAST_THE_HOUR = /^at (\d{1,2})$/

/**
 * Reads `5`, `5 min` as minutes; `1432`, `14:32`, `14:32:20z` as the nearest such time of day, UTC; `at 32` as the next
 * time that many minutes past the hour.
 */
export function spokenMoment(text: string, nowMs: number): Moment {
  const [, span] = SPAN.exec(text) ?? []
  if (span !== undefined) return Number(span) <= MOST_MIN ? { minutes: Number(span) } : undefined
  const [, pastMin] = PAST_THE_HOUR.exec(text) ?? []
  if (pastMin !== undefined) {
    if (Number(pastMin) > 59) return undefined
    const hourMs = 60 * MS_PER_MIN
    const thisHourMs = Math.floor(nowMs / hourMs) * hourMs + Number(pastMin) * MS_PER_MIN
    return { atMs: thisHourMs < nowMs ? thisHourMs + hourMs : thisHourMs }
  }
  const [, hour, minute, second = '0'] = TIME.exec(text) ?? []
  if (hour === undefined || Number(hour) > 23) return undefined
  const ofDayMs = (Number(hour) * 60 + Number(minute)) * MS_PER_MIN + Number(second) * 1000
  const atMs = Math.floor(nowMs / MS_PER_DAY) * MS_PER_DAY + ofDayMs
  const days = Math.round((nowMs - atMs) / MS_PER_DAY)
  return { atMs: atMs + days * MS_PER_DAY }
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
