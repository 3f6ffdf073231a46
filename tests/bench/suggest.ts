import { boundOf } from '../../shared/order/suggest/bound.ts'
import { exact } from '../../shared/order/suggest/exact.ts'
import { fieldOf } from '../../shared/order/suggest/field.ts'
import { repair } from '../../shared/order/suggest/repair.ts'
import { instantJudgements, suggest } from '../../shared/order/suggest/search.ts'
import type { OrderIn } from '../../shared/order/times.ts'
import { chance } from '../shared/order/chance.ts'
import { MINUTE_MS, push, slot, station, tanker, type OneTank } from '../shared/order/make.ts'
import { medianOf, rowOf, type Row } from './timing.ts'

const RUNS = 7
const CASES = 5
/** A search long enough to say what the instant one misses. */
const LONG_JUDGEMENTS = 150_000
const LABELS = 400_000

/** What a search costs and how near it comes, on constructed fleets of flights of four that stay whole. */
export function suggestRows(): Row[] {
  // The first search of a process runs in code not compiled yet: a row of its own.
  const { ms } = timed(() => suggest({ ...fleetOf(24, 1), judgements: instantJudgements(24) }))
  suggest({ ...fleetOf(24, 1), judgements: LONG_JUDGEMENTS })
  const cold = rowOf('suggest, 24 ships: the first search of a process', 'ms', 1, { median: ms }, null)
  return [cold, ...[24, 40, 60].flatMap(instantRows), ...[8, 12, 16].flatMap(exactRows), ...repairRows()]
}

function instantRows(ships: number): Row[] {
  const name = `suggest, ${String(ships)} ships`
  const judgements = instantJudgements(ships)
  const times = Array.from({ length: RUNS }, (_, run) =>
    timed(() => suggest({ ...fleetOf(ships, 1), judgements, seed: run + 1 }))
  )
  const perS = times.map(({ ms, value }) => (1_000 * value.work.judgements) / ms)
  const late: number[] = []
  const lateLong: number[] = []
  const end: number[] = []
  const endLong: number[] = []
  for (let seed = 1; seed <= CASES; seed++) {
    const asked = fleetOf(ships, seed)
    const instant = suggest({ ...asked, judgements })
    const long = suggest({ ...asked, judgements: LONG_JUDGEMENTS })
    const { least } = boundOf(fieldOf(asked.input, asked), long.judgement, long.before)
    // From now, which is 0: steps are spans.
    const gap = (steps: number): number => (100 * (steps - least.lastDisconnect)) / least.lastDisconnect
    end.push(gap(instant.judgement.lastDisconnect))
    endLong.push(gap(long.judgement.lastDisconnect))
    const weight = asked.input.slots.reduce((sum, one) => sum + one.weight, 0)
    // Steps of 6 s by weight: minutes a ship of mean weight pushes later than the bound has it.
    late.push((instant.judgement.lateness - least.lateness) / weight / 10)
    lateLong.push((long.judgement.lateness - least.lateness) / weight / 10)
  }
  const row = (what: string, unit: string, values: readonly number[]): Row =>
    rowOf(`${name}: ${what}`, unit, values.length, { median: medianOf(values), p99: Math.max(...values) }, null)
  const budgets = `${String(judgements)} judgements`
  const longs = `${String(LONG_JUDGEMENTS)} judgements`
  return [
    row('judgements in the search', '1/s', perS),
    row(
      `time of ${budgets}`,
      'ms',
      times.map(({ ms }) => ms)
    ),
    row(`mean lateness above the bound, ${budgets}`, 'min', late),
    row(`mean lateness above the bound, ${longs}`, 'min', lateLong),
    row(`last disconnect above the bound, ${budgets}`, '%', end),
    row(`last disconnect above the bound, ${longs}`, '%', endLong)
  ]
}

function exactRows(ships: number): Row[] {
  const times: number[] = []
  let met = 0
  for (let seed = 1; seed <= CASES; seed++) {
    const asked = fleetOf(ships, seed)
    const { ms, value } = timed(() =>
      exact({ ...asked, judgements: instantJudgements(ships), labels: LABELS, orders: 10_000 })
    )
    times.push(ms)
    if (value.bound.metLevels >= 4) met++
  }
  const name = `exact, ${String(ships)} ships, flights whole`
  return [
    rowOf(`${name}: time`, 'ms', CASES, { median: medianOf(times), p99: Math.max(...times) }, null),
    rowOf(`${name}: proved but for slots moved`, `of ${String(CASES)}`, CASES, { median: met }, null)
  ]
}

/** Orders judged by a repair at most. */
const REPAIR_JUDGEMENTS = 4_000

/** The best order found, then something breaks: mended, and ordered anew, 24 ships. */
function repairRows(): Row[] {
  return (['station failed', 'late ship', 'no-show'] as const).flatMap((kind) => {
    const repairs: number[] = []
    const anews: number[] = []
    let equal = 0
    for (let seed = 1; seed <= CASES; seed++) {
      const asked = fleetOf(24, seed)
      const { sequences } = suggest({ ...asked, judgements: instantJudgements(24) })
      const { stations, slots } = asked.input
      const input: OrderIn<OneTank> = {
        ...asked.input,
        sequences,
        inForce: sequences,
        stations: stations.map((one, k) => (kind === 'station failed' && k === 0 ? { ...one, takesNew: false } : one)),
        slots: slots.map((one, i) => {
          if (i !== 0 || kind === 'station failed') return one
          return kind === 'no-show' ? { ...one, gone: true } : { ...one, notBeforeMs: 15 * MINUTE_MS }
        })
      }
      const mended = timed(() => repair({ ...asked, input, judgements: REPAIR_JUDGEMENTS }))
      const anew = timed(() => suggest({ ...asked, input, judgements: instantJudgements(24) }))
      repairs.push(mended.ms)
      anews.push(anew.ms)
      const [a, b] = [mended.value.judgement, anew.value.judgement]
      if (a.lostWeight === b.lostWeight && a.shortage === b.shortage && a.lateness <= b.lateness) equal++
    }
    const name = `24 ships, ${kind}`
    return [
      rowOf(`${name}: repair`, 'ms', CASES, { median: medianOf(repairs), p99: Math.max(...repairs) }, null),
      rowOf(`${name}: ordered anew`, 'ms', CASES, { median: medianOf(anews), p99: Math.max(...anews) }, null),
      rowOf(`${name}: repair no worse than anew on three levels`, `of ${String(CASES)}`, CASES, { median: equal }, null)
    ]
  })
}

function timed<Value>(job: () => Value): { ms: number; value: Value } {
  const startedMs = performance.now()
  const value = job()
  return { ms: performance.now() - startedMs, value }
}

/** So many ships in flights of four, a station for every four of them, two stations a tanker. */
function fleetOf(
  ships: number,
  seed: number
): { input: OrderIn<OneTank>; mayUse: ReadonlyMap<string, readonly string[]> } {
  const { number, whole } = chance(seed)
  const flights = Math.ceil(ships / 4)
  const tankers = Math.ceil(flights / 2)
  const stations = Array.from({ length: tankers * 2 }, (_, k) =>
    station(`tanker-${String(k >> 1)}/${String(k & 1)}`, {
      tankerId: `tanker-${String(k >> 1)}`,
      hookUpMs: 1.5 * MINUTE_MS,
      changeoverWithinFlightMs: 0.5 * MINUTE_MS,
      changeoverBetweenMs: 2 * MINUTE_MS
    })
  )
  const slots = Array.from({ length: ships }, (_, i) => {
    const flightId = `flight-${String(i >> 2)}`
    const ship = { readyAtMs: number(0, 12) * MINUTE_MS, fuelKg: number(2200, 3000), burnKgPerS: 0.6, abortKg: 800 }
    const rest = {
      flightId,
      visitId: flightId,
      pushGroupId: flightId,
      requiredAtPushKg: 2500,
      weight: 2 ** whole(0, 4)
    }
    return slot(`ship-${String(i)}`, { ...ship, rateKgPerS: number(8, 20), targetKg: 4500 }, rest)
  })
  const turns = new Map(stations.map(({ id }) => [id, [] as string[]]))
  slots.forEach(({ id }, i) => turns.get(stations[(i >> 2) % stations.length]?.id ?? '')?.push(id))
  const input: OrderIn<OneTank> = {
    slots,
    stations,
    sequences: turns,
    inForce: turns,
    pushGroups: Array.from({ length: flights }, (_, i) =>
      push(`flight-${String(i)}`, { plannedAtMs: number(14, 22) * MINUTE_MS })
    ),
    tankers: Array.from({ length: tankers }, (_, t) => tanker(`tanker-${String(t)}`)),
    nowMs: 0
  }
  return { input, mayUse: new Map(slots.map(({ id }) => [id, stations.map((one) => one.id)])) }
}
