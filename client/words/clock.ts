import type { EventClock } from '../../shared/contracts/stream.ts'
import { eventTime } from '../../shared/live/clock.ts'
import { clockText, dayText } from '../figures.ts'

export const CLOCK = {
  title: 'Clock',
  note: 'Everybody in the event sees this time. It never runs backwards once the event is open.',
  time: 'Event time (Z)',
  timeHint: 'as it is',
  timeHow: 'hhmm, or day and time: ddhhmm',
  runs: 'runs',
  set: 'Set the clock',
  opening: 'Set to the opening',
  rates: [
    { rateFactor: 1, text: 'with the real time' },
    { rateFactor: 0, text: 'not: paused' },
    { rateFactor: 2, text: 'twice as fast' },
    { rateFactor: 4, text: '4 times as fast' },
    { rateFactor: 10, text: '10 times as fast' },
    { rateFactor: 0.5, text: 'half as fast' }
  ],
  /** What the button will do, before it is pressed. */
  ahead: (atMs: number, aheadMs: number) => `Goes ${spanWords(aheadMs)} ahead, to ${dayText(atMs)} ${clockText(atMs)}.`,
  back: (atMs: number, aheadMs: number) => `Goes ${spanWords(aheadMs)} back, to ${dayText(atMs)} ${clockText(atMs)}.`,
  past: (text: string) =>
    `${text} is behind the clock, which never runs backwards. Name the day if another one is meant.`,
  far: 'Every ship burns on to then, and it cannot be taken back.',
  sure: 'Set it all the same',
  said: (atMs: number, rateFactor: number) =>
    `The clock is set to ${dayText(atMs)} ${clockText(atMs)}${rateFactor === 1 ? '' : rateFactor === 0 ? ', paused' : `, at ${String(rateFactor)} times`}.`
} as const

/** Less is the travelling time of the request that set it, ms. */
const OFF_MS = 1_500
const MIN_MS = 60_000

/** What is not plain of the clock of an event; empty where event time is real time. */
export function clockWords(clock: EventClock, realMs: number): string {
  if (clock.rateFactor === 0) return 'exercise clock, paused'
  if (clock.rateFactor !== 1) return `exercise clock, ${String(clock.rateFactor)} times as fast`
  const offMs = eventTime(clock, realMs) - realMs
  if (Math.abs(offMs) < OFF_MS) return ''
  return `exercise clock, ${spanWords(offMs)} ${offMs > 0 ? 'ahead' : 'behind'}`
}

function spanWords(spanMs: number): string {
  const minutes = Math.round(Math.abs(spanMs) / MIN_MS)
  const parts = [
    [Math.floor(minutes / 1_440), 'd'],
    [Math.floor((minutes % 1_440) / 60), 'h'],
    [minutes % 60, 'min']
  ] as const
  const span = parts.flatMap(([count, unit]) => (count === 0 ? [] : [`${String(count)} ${unit}`])).join(' ')
  return span === '' ? 'under a minute' : span
}

const DAY_MS = 1_440 * MIN_MS

/**
 * The instant a time of day means near to another one: `14:30` or `1430` or with seconds is the nearest such, before it or
 * behind; with the day of the month before it, `290839`, that day's, of this month or the next. Undefined where it is none.
 */
export function timeNearMs(text: string, nearMs: number): number | undefined {
  const [, day, hours, minutes, seconds = '0'] =
    /^(?:(0[1-9]|[12]\d|3[01]) ?(?=\d\d:?\d\d))?([01]?\d|2[0-3]):?([0-5]\d)(?::([0-5]\d))?z?$/i.exec(text.trim()) ?? []
  if (hours === undefined || minutes === undefined) return undefined
  const ofDayMs = (Number(hours) * 3600 + Number(minutes) * 60 + Number(seconds)) * 1000
  const midnightMs = Math.floor(nearMs / DAY_MS) * DAY_MS
  if (day !== undefined) return dayNearMs(Number(day), midnightMs) + ofDayMs
  return [-1, 0, 1]
    .map((days) => midnightMs + days * DAY_MS + ofDayMs)
    .reduce((best, one) => (Math.abs(one - nearMs) < Math.abs(best - nearMs) ? one : best))
}

/** The midnight of that day of the month which is nearest to one of a date. */
function dayNearMs(day: number, midnightMs: number): number {
  let found = midnightMs
  for (let away = 0; away <= 31; away++) {
    for (const sign of [1, -1]) {
      found = midnightMs + sign * away * DAY_MS
      if (Number(dayText(found).slice(-2)) === day) return found
    }
  }
  return found
}
