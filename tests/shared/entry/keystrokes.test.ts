import { describe, expect, it } from 'vitest'
import { labelsOf } from '../../../client/labels.ts'
import { vocabularyOf } from '../../../client/vocabulary.ts'
import { demoPlan } from '../../../server/demo/plan.ts'
import { saidNext, type Said } from '../../../server/demo/script.ts'
import { understand } from '../../../shared/entry/understand.ts'
import type { Vocabulary } from '../../../shared/entry/vocabulary.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { planWithReceivers } from '../../../shared/live/receivers.ts'
import { MemoryEvent } from '../../make/event.ts'

/*
 * How many keys a coordinator presses for a call, the space and Enter among them: every call of the demonstration's
 * script is typed in the fewest keys with which the entry line, on the board of that instant, understands that very
 * request and nothing else.
 */
const OPENS_AT_MS = Date.UTC(2031, 4, 6, 9)
const MIN_MS = 60_000
const STEP_MS = 10_000
const FROM_MIN = 20
const TO_MIN = 80
const KEYS_MOST = 6

const short = (callSign: string): string[] => {
  const [, letters = '', number = ''] = /^(\D*?)\s*(\d*)$/.exec(callSign.toLowerCase()) ?? []
  return Array.from({ length: letters.length }, (_, count) => letters.slice(0, count + 1) + number)
}
const figures = (value: number): string[] =>
  [value % 100 === 0 ? String(value / 100) : [], (value / 1000).toFixed(1), String(value)].flat()

const nameOf = (vocabulary: Vocabulary, id: string): string =>
  vocabulary.ships.find(({ shipId }) => shipId === id)?.callSign ??
  vocabulary.tankers.find(({ tankerId }) => tankerId === id)?.callSign ??
  ''

/** Ways to say a call, none of them known to be understood. */
function ways(said: Said, vocabulary: Vocabulary): string[] {
  const of = (id: string, rests: readonly string[]) =>
    short(nameOf(vocabulary, id)).flatMap((name) => rests.map((rest) => `${name} ${rest}`))
  switch (said.kind) {
    case 'callFuel':
      return of(said.shipId, figures(said.fuel.value))
    case 'callTankerFuel':
      return of(said.tankerId, figures(said.fuel.value))
    case 'joinShip':
      return of(said.shipId, ['j'])
    case 'makeContact':
      return of(said.shipId, [
        'c',
        `c ${nameOf(vocabulary, said.tankerId ?? '').toLowerCase()} ${said.stationId ?? ''}`
      ])
    case 'startFlow':
      return of(said.shipId, ['f'])
    case 'disconnect': {
      const words = said.how === 'partial' ? ['p', 'pa'] : ['d']
      const loads = said.offLoad === undefined ? [''] : figures(said.offLoad.value)
      return of(
        said.shipId,
        words.flatMap((word) => loads.map((load) => `${word} ${load}`.trim()))
      )
    }
    case 'leave':
      return of(said.shipId, ['le', 'lef', 'rtb'])
    case 'land':
      return of(said.shipId, ['la', 'lan', 'land'])
    case 'push': {
      const flight = vocabulary.flights.find(({ shipIds }) => shipIds.includes(said.shipIds[0] ?? ''))
      return short(flight?.callSign ?? '').flatMap((name) => ['p', 'pu', 'push'].map((word) => `${name} ${word}`))
    }
    default:
      return []
  }
}

const bare = (request: object) => JSON.stringify(sorted({ ...request, atMs: undefined }))
const sorted = (request: object) => Object.fromEntries(Object.entries(request).toSorted(([a], [b]) => (a < b ? -1 : 1)))

/** The fewest keys, Enter included; undefined where no way is understood so. */
function keysOf(said: Said, vocabulary: Vocabulary): { line: string; keys: number } | undefined {
  for (const line of ways(said, vocabulary).toSorted((a, b) => a.length - b.length)) {
    const means = understand(line, vocabulary)
    if (means.kind !== 'understood' || means.action.kind !== 'record') continue
    if (bare(means.action.request) === bare(said)) return { line, keys: line.length + 1 }
  }
  return undefined
}

describe('keys pressed for a call', { timeout: 120_000 }, () => {
  it(`are ${String(KEYS_MOST)} or fewer in the median, spaces and Enter counted`, () => {
    const event = new MemoryEvent(demoPlan(OPENS_AT_MS))
    const typed: { kind: string; line: string; keys: number }[] = []
    const untold: string[] = []
    for (let atMs = OPENS_AT_MS; atMs <= OPENS_AT_MS + TO_MIN * MIN_MS; atMs += STEP_MS) {
      const calls = saidNext(event.state, atMs)
      const view = calls.length === 0 ? undefined : estimate(event.state, atMs)
      const plan = planWithReceivers(event.state)
      for (const said of calls) {
        if (view !== undefined && plan !== undefined && atMs >= OPENS_AT_MS + FROM_MIN * MIN_MS) {
          const found = keysOf(said, vocabularyOf(view, plan, labelsOf(plan), event.state))
          if (found === undefined) untold.push(JSON.stringify(said))
          else typed.push({ kind: said.kind, ...found })
        }
        event.ask(said, atMs)
      }
    }
    const keys = typed.map((one) => one.keys).toSorted((a, b) => a - b)
    const median = keys[Math.floor(keys.length / 2)] ?? Infinity
    const counts = new Map<number, number>()
    for (const key of keys) counts.set(key, (counts.get(key) ?? 0) + 1)
    const kinds = new Map<string, string[]>()
    for (const { kind, line } of typed) kinds.set(kind, [...(kinds.get(kind) ?? []), line])
    console.log(
      [
        `${String(keys.length)} calls, median ${String(median)} keys with spaces and Enter:`,
        ...[...counts].map(([key, count]) => `  ${String(key)} keys: ${String(count)}`),
        ...[...kinds].map(([kind, lines]) => `  ${kind}: ${String(lines.length)}, such as "${lines[0] ?? ''}"`)
      ].join('\n')
    )
    expect(untold).toEqual([])
    expect(keys.length).toBeGreaterThan(150)
    expect(new Set(typed.map(({ kind }) => kind)).size).toBeGreaterThanOrEqual(6)
    expect(median).toBeLessThanOrEqual(KEYS_MOST)
  })
})
