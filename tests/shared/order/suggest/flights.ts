import { judgementOf } from '../../../../shared/order/answer.ts'
import { compareJudgements, type Judgement } from '../../../../shared/order/judgement.ts'
import { settle } from '../../../../shared/order/settle.ts'
import { timetableOf } from '../../../../shared/order/timetable.ts'
import type { OrderIn } from '../../../../shared/order/times.ts'
import { chance } from '../chance.ts'
import { MINUTE_MS, push, slot, station, tanker, type OneTank } from '../make.ts'
import type { Fleet } from './fleets.ts'

/*
 * Few flights that stay whole, and every order in which they come to each tanker one after another, the ships of each worst
 * first at any of its stations: dealt out flight by flight and ship by ship, to disagree with the proof (constructed).
 */

type Method = 'boom' | 'drogue'

/** Stations of each tanker, flights, and whether ships of one flight may differ in method. */
interface Shape {
  readonly tankers: readonly (readonly Method[])[]
  readonly flights: readonly number[]
  readonly methods: 'boom' | 'by flight' | 'by ship'
}

export const SHAPES: readonly Shape[] = [
  { tankers: [['boom', 'boom'], ['boom']], flights: [2, 3, 2], methods: 'boom' },
  {
    tankers: [
      ['boom', 'boom'],
      ['boom', 'drogue']
    ],
    flights: [3, 2, 3],
    methods: 'by flight'
  },
  {
    tankers: [
      ['boom', 'drogue'],
      ['drogue', 'boom']
    ],
    flights: [2, 2, 3, 2],
    methods: 'by ship'
  },
  {
    tankers: [
      ['boom', 'drogue'],
      ['boom', 'drogue']
    ],
    flights: [3, 2, 2, 2, 3],
    methods: 'by ship'
  },
  { tankers: [['boom'], ['boom', 'drogue'], ['drogue']], flights: [2, 3, 2, 2, 2], methods: 'by flight' },
  { tankers: [['boom'], ['boom'], ['boom', 'boom']], flights: [3, 2, 2], methods: 'boom' },
  // Here it shows who was last on a station when a flight's ships go to two of them.
  { tankers: [['boom', 'boom']], flights: [4, 4], methods: 'boom' }
]

export interface FlightsCase extends Fleet {
  /** Ships of each flight, worst first. */
  readonly flights: readonly (readonly string[])[]
  readonly stationsByTanker: readonly (readonly string[])[]
}

/** Harsh: fuel is asked for at the push, and some ships may have to leave. */
export function flightsCase({ tankers, flights, methods }: Shape, seed: number, harsh: boolean): FlightsCase {
  const { number, whole } = chance(seed)
  const stations = tankers.flatMap((all, t) =>
    all.map((method, k) =>
      station(`tanker-${String(t)}/${String(k)}`, {
        tankerId: `tanker-${String(t)}`,
        hookUpMs: (method === 'boom' ? 1 : 2) * MINUTE_MS,
        opensAtMs: whole(0, 2) * 2 * MINUTE_MS,
        changeoverWithinFlightMs: 0.5 * MINUTE_MS,
        changeoverBetweenMs: number(1, 5) * MINUTE_MS
      })
    )
  )
  const takes = (method: Method): string[] =>
    tankers.flatMap((all, t) => all.flatMap((one, k) => (one === method ? [`tanker-${String(t)}/${String(k)}`] : [])))
  const drawn = (): Method => (methods === 'boom' || whole(0, 1) === 0 ? 'boom' : 'drogue')
  const drawShip = () => ({
    ship: {
      readyAtMs: number(0, 14) * MINUTE_MS,
      fuelKg: harsh ? number(1100, 2000) : number(2800, 3400),
      burnKgPerS: number(0.4, 0.7),
      abortKg: harsh ? 800 : 0,
      rateKgPerS: number(8, 20),
      targetKg: 4500
    },
    rest: { requiredAtPushKg: harsh ? 500 * whole(4, 9) : 0, weight: 2 ** whole(0, 3) }
  })
  // In each third case the ships of a flight are alike but for their names.
  const alike = seed % 3 === 0
  const mayUse = new Map<string, readonly string[]>()
  const latest = new Map<string, number>()
  const slots = flights.flatMap((count, flight) => {
    const flightId = `flight-${String(flight)}`
    const all = drawn()
    const its = drawShip()
    return Array.from({ length: count }, (_, i) => {
      const id = `${flightId}-${String(i)}`
      mayUse.set(id, takes(methods === 'by ship' ? drawn() : all))
      const one = alike ? its : drawShip()
      latest.set(id, one.ship.readyAtMs + ((one.ship.fuelKg - one.ship.abortKg) / one.ship.burnKgPerS) * 1000)
      // Two flights to a group: the first and the last.
      const pushGroupId = `group-${String(flight === flights.length - 1 ? 0 : flight)}`
      return slot(id, one.ship, { flightId, visitId: flightId, pushGroupId, ...one.rest })
    })
  })
  const inTurns = flights.map((_, flight) =>
    slots
      .filter(({ flightId }) => flightId === `flight-${String(flight)}`)
      .map(({ id }) => id)
      .sort((a, b) => (latest.get(a) ?? 0) - (latest.get(b) ?? 0))
  )
  const stationsByTanker = tankers.map((all, t) => all.map((_, k) => `tanker-${String(t)}/${String(k)}`))
  // As given, each flight at the last tanker that takes it, on the last stations there.
  const sequences = new Map(stations.map(({ id }) => [id, [] as string[]]))
  for (const ids of inTurns) {
    const at = stationsByTanker.findLast((here) => ids.every((id) => mayUse.get(id)?.some((one) => here.includes(one))))
    for (const id of ids) sequences.get(at?.findLast((one) => mayUse.get(id)?.includes(one)) ?? '')?.push(id)
  }
  const input: OrderIn<OneTank> = {
    slots,
    stations,
    sequences,
    inForce: sequences,
    pushGroups: flights.map((_, i) => push(`group-${String(i)}`, { plannedAtMs: number(6, 20) * MINUTE_MS })),
    tankers: tankers.map((_, t) => tanker(`tanker-${String(t)}`)),
    nowMs: 0
  }
  return { input, mayUse, flights: inTurns, stationsByTanker }
}

/** The best of all orders in blocks, by the judge, and how many there are. */
export function bestInBlocks({ input, mayUse, flights, stationsByTanker }: FlightsCase): {
  readonly best: Judgement
  readonly orders: number
} {
  const table = timetableOf(input)
  const rowOf = new Map(table.rows.map((row) => [row.slot.id, row]))
  const known = new Set<string>()
  let best: Judgement | undefined
  const judgeIt = (turns: ReadonlyMap<string, readonly string[]>): void => {
    const key = JSON.stringify([...turns].sort(([a], [b]) => (a < b ? -1 : 1)))
    if (known.has(key)) return
    known.add(key)
    const rows = table.stations.map(({ station: { id } }) =>
      (turns.get(id) ?? []).flatMap((slotId) => rowOf.get(slotId) ?? [])
    )
    settle(table, rows)
    const judgement = { ...judgementOf(table, rows), moved: 0 }
    if (best === undefined || compareJudgements(judgement, best) < 0) best = judgement
  }
  const seat = (
    turns: ReadonlyMap<string, readonly string[]>,
    ids: readonly string[],
    at: readonly string[],
    left: readonly (readonly string[])[]
  ): void => {
    const [id, ...rest] = ids
    if (id === undefined) {
      deal(turns, left)
      return
    }
    for (const one of at)
      if (mayUse.get(id)?.includes(one))
        seat(new Map([...turns, [one, [...(turns.get(one) ?? []), id]]]), rest, at, left)
  }
  // Whichever flight comes next, to whichever tanker: each sequence at each tanker comes about.
  const deal = (turns: ReadonlyMap<string, readonly string[]>, left: readonly (readonly string[])[]): void => {
    if (left.length === 0) judgeIt(turns)
    for (const ids of left)
      for (const at of stationsByTanker)
        seat(
          turns,
          ids,
          at,
          left.filter((one) => one !== ids)
        )
  }
  deal(new Map(), flights)
  if (best === undefined) throw new RangeError('there is no order')
  return { best, orders: known.size }
}
