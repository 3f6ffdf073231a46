import type { EventClock } from '../../shared/contracts/stream.ts'
import { eventTime } from '../../shared/live/clock.ts'
import { clockText, dayText } from '../figures.ts'

export const CLOCK = {
  title: 'Clock',
  note: 'Everybody in the event sees this time. It never runs backwards once the event is open.',
  time: 'Event time (Z)',
  timeHint: 'as it is',
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
  const minutes = Math.round(Math.abs(offMs) / MIN_MS)
  const parts = [
    [Math.floor(minutes / 1_440), 'd'],
    [Math.floor((minutes % 1_440) / 60), 'h'],
    [minutes % 60, 'min']
  ] as const
  const span = parts.flatMap(([count, unit]) => (count === 0 ? [] : [`${String(count)} ${unit}`])).join(' ')
  return `exercise clock, ${span === '' ? 'under a minute' : span} ${offMs > 0 ? 'ahead' : 'behind'}`
}

const DAY_MS = 1_440 * MIN_MS

/** The next instant of a time of day from an instant on, `14:30` or `1430` or with seconds; undefined where it is none. */
export function nextTimeMs(text: string, fromMs: number): number | undefined {
  const [, hours, minutes, seconds = '0'] = /^([01]?\d|2[0-3]):?([0-5]\d)(?::?([0-5]\d))?z?$/i.exec(text.trim()) ?? []
  if (hours === undefined || minutes === undefined) return undefined
  const ofDayMs = (Number(hours) * 3600 + Number(minutes) * 60 + Number(seconds)) * 1000
  const sameDayMs = Math.floor(fromMs / DAY_MS) * DAY_MS + ofDayMs
  return sameDayMs < fromMs ? sameDayMs + DAY_MS : sameDayMs
}
