import { repair } from '../../shared/order/suggest/repair.ts'
import { instantJudgements, suggest } from '../../shared/order/suggest/search.ts'
import type { OrderIn } from '../../shared/order/times.ts'
import { MINUTE_MS, slot, type OneTank } from '../shared/order/make.ts'
import { fleetOf } from '../shared/order/suggest/fleets.ts'
import { medianOf, rowOf, type Row } from './timing.ts'

/** Cases of each disruption. */
const REPAIRS = 20
/** Orders judged by a repair at most. */
const REPAIR_JUDGEMENTS = 4_000

/** An order in force, and what becomes of it; whoever is new stands in none. */
type Break = (input: OrderIn<OneTank>) => OrderIn<OneTank>

const BROKEN: readonly { readonly name: string; readonly breaks: Break }[] = [
  {
    name: 'station failed',
    breaks: (input) => ({
      ...input,
      stations: input.stations.map((one, k) => (k === 0 ? { ...one, takesNew: false } : one))
    })
  },
  {
    name: 'late ship',
    breaks: (input) => ({
      ...input,
      slots: input.slots.map((one, i) => (i === 0 ? { ...one, notBeforeMs: 15 * MINUTE_MS } : one))
    })
  },
  {
    name: 'no-show',
    breaks: (input) => ({ ...input, slots: input.slots.map((one, i) => (i === 0 ? { ...one, gone: true } : one)) })
  },
  {
    name: 'tanker late',
    breaks: (input) => {
      const late = input.tankers[0]?.id
      const stations = input.stations.map((one) =>
        one.tankerId === late ? { ...one, opensAtMs: one.opensAtMs + 10 * MINUTE_MS } : one
      )
      return { ...input, stations }
    }
  },
  {
    name: 'new receiver',
    breaks: (input) => {
      const ship = { readyAtMs: 6 * MINUTE_MS, fuelKg: 2_400, burnKgPerS: 0.6, abortKg: 800, targetKg: 4_500 }
      const rest = { flightId: 'new', visitId: 'new', pushGroupId: 'flight-0', requiredAtPushKg: 2_500, weight: 4 }
      return { ...input, slots: [...input.slots, slot('new', { ...ship, rateKgPerS: 12 }, rest)] }
    }
  }
]

/** What it takes to mend an order in which something breaks, on constructed fleets in flights of four that stay whole. */
export const mendRows = (): Row[] => BROKEN.flatMap(repairRows)

/** The best order found, then something breaks: mended, and ordered anew. */
function repairRows({ name, breaks }: (typeof BROKEN)[number]): Row[] {
  return [24, 100].flatMap((ships) => {
    const firsts: number[] = []
    const repairs: number[] = []
    const anews: number[] = []
    let equal = 0
    for (let seed = 1; seed <= REPAIRS; seed++) {
      const asked = fleetOf({ ships, shipsAFlight: 4, tankers: Math.ceil(ships / 8) }, seed)
      const { sequences } = suggest({ ...asked, judgements: instantJudgements(ships) })
      const input = breaks({ ...asked.input, sequences, inForce: sequences })
      const mayUse = new Map([...asked.mayUse, ['new', input.stations.map(({ id }) => id)]])
      const mended = firstTimed((onBetter) =>
        repair({ ...asked, mayUse, input, judgements: REPAIR_JUDGEMENTS, onBetter })
      )
      const anew = firstTimed(() => suggest({ ...asked, mayUse, input, judgements: instantJudgements(ships) }))
      // Where nothing is worth changing the order in force is told when that is known.
      firsts.push(mended.firstMs)
      repairs.push(mended.ms)
      anews.push(anew.ms)
      const [a, b] = [mended.value.judgement, anew.value.judgement]
      const before = a.lostWeight - b.lostWeight || a.shortage - b.shortage || a.lateness - b.lateness
      if (before <= 0) equal++
    }
    const about = `${String(ships)} ships, ${name}`
    const spread = (values: readonly number[]) => ({ median: medianOf(values), p99: p95Of(values) })
    return [
      rowOf(`${about}: first order (beside the median the 95th of 100)`, 'ms', REPAIRS, spread(firsts), null),
      rowOf(`${about}: repair (beside the median the 95th of 100)`, 'ms', REPAIRS, spread(repairs), null),
      rowOf(`${about}: ordered anew (beside the median the 95th of 100)`, 'ms', REPAIRS, spread(anews), null),
      rowOf(
        `${about}: repair no worse than anew on three levels`,
        `of ${String(REPAIRS)}`,
        REPAIRS,
        { median: equal },
        null
      )
    ]
  })
}

const p95Of = (values: readonly number[]): number =>
  values.toSorted((a, b) => a - b)[Math.ceil(0.95 * values.length) - 1] ?? NaN

/** How long a search takes, and how long until its first better order. */
export function firstTimed<Value>(search: (onBetter: () => void) => Value): {
  firstMs: number
  ms: number
  value: Value
} {
  const startedMs = performance.now()
  let firstMs: number | undefined
  const value = search(() => (firstMs ??= performance.now() - startedMs))
  const ms = performance.now() - startedMs
  return { firstMs: firstMs ?? ms, ms, value }
}
