import { anew } from '../../shared/order/suggest/anew.ts'
import { exact, type Exact } from '../../shared/order/suggest/exact.ts'
import { fieldOf } from '../../shared/order/suggest/field.ts'
import { instantJudgements, suggest } from '../../shared/order/suggest/search.ts'
import { stationByStation } from '../../shared/order/suggest/stations.ts'
import { MINUTE_MS } from '../shared/order/make.ts'
import { fleetOf, type Fleet, type FleetOf } from '../shared/order/suggest/fleets.ts'
import { firstTimed, mendRows } from './mend.ts'
import { medianOf, rowOf, type Row } from './timing.ts'

const RUNS = 7
const CASES = 5
const LONG_JUDGEMENTS = 150_000
/** As the service asks for a proof, and for an order anew. */
const PROOF_JUDGEMENTS = 60_000
const FLIGHT_LABELS = 30_000_000
const ANEW_LABELS = 600_000
const LABELS = 1_500_000
const BLOCK_LABELS = 300_000
const QUEUE_WORK = 20_000_000

/** What a search costs and how near it comes, on constructed fleets; without more said, in flights of four that stay whole. */
export function suggestRows(): Row[] {
  // The first search of a process runs in code not compiled yet: a row of its own.
  const { ms } = timed(() => suggest({ ...wholeFleet(24, 1), judgements: instantJudgements(24) }))
  suggest({ ...wholeFleet(24, 1), judgements: LONG_JUDGEMENTS })
  const cold = rowOf('suggest, 24 ships: the first search of a process', 'ms', 1, { median: ms }, null)
  return [cold, ...[24, 40, 60, 100].flatMap(instantRows), ...PROOFS.flatMap(proofRows), ...mendRows()]
}

/** A station for every four ships. */
const wholeFleet = (ships: number, seed: number): Fleet =>
  fleetOf({ ships, shipsAFlight: 4, tankers: Math.ceil(ships / 8) }, seed)
/** The same, where the ships of a flight may stand at any stations. */
const spreadFleet = (ships: number, seed: number): Fleet =>
  fleetOf({ ships, shipsAFlight: 4, tankers: Math.ceil(ships / 8), spread: true }, seed)

function instantRows(ships: number): Row[] {
  const name = `suggest, ${String(ships)} ships`
  const judgements = instantJudgements(ships)
  const times = Array.from({ length: RUNS }, (_, run) =>
    timed(() => suggest({ ...wholeFleet(ships, 1), judgements, seed: run + 1 }))
  )
  const perS = times.map(({ ms, value }) => (1_000 * value.work.judgements) / ms)
  const found = seeds().map((seed) => {
    const asked = wholeFleet(ships, seed)
    const proof = timed(() => proved(asked))
    const made = firstTimed((onBetter) => anew({ ...asked, judgements, labels: ANEW_LABELS, onBetter }))
    const instant = suggest({ ...asked, judgements })
    const weight = asked.input.slots.reduce((sum, one) => sum + one.weight, 0)
    // Steps of 6 s by weight: minutes a ship of mean weight pushes later than the bound has it.
    const late = (steps: number): number => (steps - proof.value.bound.least.lateness) / weight / 10
    return { proof, made, instant, late }
  })
  const ends = seeds().map((seed) => timed(() => proved(withoutPushes(wholeFleet(ships, seed)))))
  const spread = seeds().map((seed) => timed(() => proved(withoutPushes(spreadFleet(ships, seed)))))
  const row = (what: string, unit: string, values: readonly number[]): Row =>
    rowOf(`${name}: ${what}`, unit, values.length, { median: medianOf(values), p99: Math.max(...values) }, null)
  const met = (what: string, all: readonly { readonly value: Exact }[]): Row => {
    const count = all.filter(({ value }) => value.bound.metLevels >= 4).length
    return rowOf(`${name}: ${what}`, `of ${String(all.length)}`, all.length, { median: count }, null)
  }
  // Where nobody is late only the last disconnect is open. From now, which is 0: steps are spans.
  const lastRows = (what: string, all: readonly { readonly ms: number; readonly value: Exact }[]): Row[] => [
    row(
      `${what}, last disconnect above the bound, proof`,
      '%',
      all.map(({ value: { judgement, bound } }) => {
        const { lastDisconnect } = bound.least
        return (100 * (judgement.lastDisconnect - lastDisconnect)) / lastDisconnect
      })
    ),
    row(
      `${what}, proof, time`,
      'ms',
      all.map(({ ms }) => ms)
    ),
    met(`${what}, proved but for slots moved`, all)
  ]
  return [
    row('judgements in the search', '1/s', perS),
    row(
      `time of ${String(judgements)} judgements`,
      'ms',
      times.map(({ ms }) => ms)
    ),
    row(
      'anew, first order',
      'ms',
      found.map(({ made }) => made.firstMs)
    ),
    row(
      'anew, time',
      'ms',
      found.map(({ made }) => made.ms)
    ),
    row(
      `mean lateness above the bound, ${String(judgements)} judgements`,
      'min',
      found.map(({ instant, late }) => late(instant.judgement.lateness))
    ),
    row(
      'mean lateness above the bound, anew',
      'min',
      found.map(({ made, late }) => late(made.value.judgement.lateness))
    ),
    row(
      'mean lateness above the bound, proof',
      'min',
      found.map(({ proof, late }) => late(proof.value.judgement.lateness))
    ),
    row(
      'proof, time',
      'ms',
      found.map(({ proof }) => proof.ms)
    ),
    met(
      'proved but for slots moved',
      found.map(({ proof }) => proof)
    ),
    ...lastRows('nobody late', ends),
    ...lastRows('nobody late, flights split', spread)
  ]
}

const seeds = (): number[] => Array.from({ length: CASES }, (_, i) => i + 1)

const proved = (asked: Fleet): Exact =>
  exact({
    ...asked,
    judgements: PROOF_JUDGEMENTS,
    labels: LABELS,
    flightLabels: FLIGHT_LABELS,
    blockLabels: BLOCK_LABELS,
    queueWork: QUEUE_WORK,
    orders: 0
  })

/** Nobody is late whatever comes, nor asks for fuel. */
function withoutPushes(fleet: Fleet): Fleet {
  const slots = fleet.input.slots.map((one) => ({ ...one, requiredAtPushKg: 0, waitBurnKgPerS: 0 }))
  const pushGroups = fleet.input.pushGroups.map((group) => ({ ...group, plannedAtMs: 1_000 * MINUTE_MS }))
  return { ...fleet, input: { ...fleet.input, slots, pushGroups } }
}

const PROOFS: readonly { readonly name: string; readonly of: FleetOf }[] = [
  { name: '12 distinct, two tankers', of: { ships: 12, shipsAFlight: 4, tankers: 2, spread: true } },
  { name: '16 distinct, two tankers', of: { ships: 16, shipsAFlight: 4, tankers: 2, spread: true } },
  {
    name: '16 distinct, boom and drogue',
    of: { ships: 16, shipsAFlight: 4, tankers: 3, drogues: true, spread: true }
  },
  {
    name: '24 distinct, boom and drogue',
    of: { ships: 24, shipsAFlight: 4, tankers: 3, drogues: true, spread: true }
  },
  { name: '24 in 6 flights alike, whole', of: { ships: 24, shipsAFlight: 4, tankers: 3, alike: true } },
  { name: '24 in 6 flights alike, spread', of: { ships: 24, shipsAFlight: 4, tankers: 3, alike: true, spread: true } },
  { name: '24 in 8 flights alike, whole', of: { ships: 24, shipsAFlight: 3, tankers: 3, alike: true } },
  { name: '24 in 8 flights distinct, whole', of: { ships: 24, shipsAFlight: 3, tankers: 3 } },
  { name: '24 in 6 flights, two to a push, whole', of: { ships: 24, shipsAFlight: 4, tankers: 3, flightsAGroup: 2 } }
]

/** How long a proof takes, how often it is one, and what it leaves open elsewhere. */
function proofRows({ name, of }: (typeof PROOFS)[number]): Row[] {
  const times: number[] = []
  const open: number[] = []
  let met = 0
  for (let seed = 1; seed <= CASES; seed++) {
    const asked = fleetOf(of, seed)
    const { ms, value } = timed(() =>
      exact({ ...asked, judgements: instantJudgements(of.ships), labels: LABELS, blockLabels: BLOCK_LABELS, orders: 0 })
    )
    times.push(ms)
    if (value.bound.metLevels >= 4) met++
    const weight = asked.input.slots.reduce((sum, one) => sum + one.weight, 0)
    open.push((value.judgement.lateness - value.bound.least.lateness) / weight / 10)
  }
  const spread = (values: readonly number[]) => ({ median: medianOf(values), p99: Math.max(...values) })
  return [
    rowOf(`proof, ${name}: time`, 'ms', CASES, spread(times), null),
    rowOf(`proof, ${name}: proved but for slots moved`, `of ${String(CASES)}`, CASES, { median: met }, null),
    rowOf(`proof, ${name}: mean lateness above the bound`, 'min', CASES, spread(open), null),
    ...(of.spread === true ? [] : blockRows({ name, of }))
  ]
}

/** Behind the search: how long it takes to see that no order in blocks is better than the best found, or which one is. */
function blockRows({ name, of }: (typeof PROOFS)[number]): Row[] {
  const times: number[] = []
  const labels: number[] = []
  let proved = 0
  for (let seed = 1; seed <= CASES; seed++) {
    const asked = fleetOf(of, seed)
    const field = fieldOf(asked.input, asked)
    const { judgement } = suggest({ ...asked, judgements: instantJudgements(of.ships) })
    const { ms, value } = timed(() => stationByStation(field, judgement, { labels: BLOCK_LABELS, blocks: true }))
    times.push(ms)
    labels.push(value?.labels ?? 0)
    const whole = { ...asked, judgements: instantJudgements(of.ships), labels: 0, orders: 0 }
    if (exact({ ...whole, blockLabels: BLOCK_LABELS }).bestOfBlocks) proved++
  }
  const spread = (values: readonly number[]) => ({ median: medianOf(values), p99: Math.max(...values) })
  return [
    rowOf(`proof, ${name}, in blocks: time`, 'ms', CASES, spread(times), null),
    rowOf(`proof, ${name}, in blocks: ways`, '', CASES, spread(labels), null),
    rowOf(
      `proof, ${name}, in blocks: proved but for slots moved`,
      `of ${String(CASES)}`,
      CASES,
      { median: proved },
      null
    )
  ]
}

function timed<Value>(job: () => Value): { ms: number; value: Value } {
  const startedMs = performance.now()
  const value = job()
  return { ms: performance.now() - startedMs, value }
}
