/* A shift of all times, as it is typed: a span with its sign, or the instant at which the event is to open. */

const MS_PER_MIN = 60_000
const UNITS_MIN = { d: 1440, h: 60, min: 1, m: 1 } as const
const INSTANT = /^(\d{4}-\d{2}-\d{2})[ T]+(\d{1,2}):?(\d{2})(?::00)?\s*z?$/i

/** By how much all times move, in ms; undefined where the text says neither. */
export function shiftOf(text: string, opensAtMs: number): number | undefined {
  const trimmed = text.trim().replace('\u2212', '-')
  const [, day, hour, minute] = INSTANT.exec(trimmed) ?? []
  if (day !== undefined && hour !== undefined && minute !== undefined) return toInstant(day, hour, minute, opensAtMs)
  const sign = trimmed.startsWith('-') ? -1 : trimmed.startsWith('+') ? 1 : undefined
  const minutes = sign === undefined ? undefined : spanMin(trimmed.slice(1))
  return minutes === undefined || sign === undefined ? undefined : sign * minutes * MS_PER_MIN
}

function toInstant(day: string, hour: string, minute: string, opensAtMs: number): number | undefined {
  const atMs = Date.parse(`${day}T${hour.padStart(2, '0')}:${minute}:00Z`)
  return Number.isNaN(atMs) ? undefined : atMs - opensAtMs
}

/** `1 d 02:30`, `24 h`, `90 min`, in any mix that has at least one part. */
function spanMin(text: string): number | undefined {
  let rest = text.trim()
  if (rest === '') return undefined
  let sum = 0
  while (rest !== '') {
    const clock = /^(\d{1,2}):(\d{2})(?!\d)\s*/.exec(rest)
    const part = clock ?? /^(\d+(?:[.,]\d+)?)\s*(d|h|min|m)(?![a-z])\s*/i.exec(rest)
    if (part === null) return undefined
    const [whole, figure = '', unit = ''] = part
    sum +=
      clock === null
        ? Number(figure.replace(',', '.')) * UNITS_MIN[unit.toLowerCase() as keyof typeof UNITS_MIN]
        : Number(figure) * 60 + Number(unit)
    rest = rest.slice(whole.length)
  }
  return sum
}
