import loadHighs from 'highs'
import { STEP_MS } from '../../../../shared/order/judgement.ts'
import type { OrderIn } from '../../../../shared/order/times.ts'
import { chance } from '../chance.ts'
import { order, push, slot, station, type OneTank } from '../make.ts'

/*
 * A few ships of constant service on two stations as a mixed integer programme, written to disagree with the search: no
 * sequences, no judge, only who is before whom. All spans are whole steps of the judgement, so nothing is rounded.
 */

export interface Ship {
  readonly flight: number
  readonly weight: number
  readonly readyAt: number
  readonly service: number
  /** Its contact is no later. */
  readonly latestAt: number
}

export interface Fleet {
  readonly ships: readonly Ship[]
  readonly stations: readonly { readonly opensAt: number; readonly hookUp: number }[]
  readonly within: number
  readonly between: number
  /** By flight: planned push and time to reform. */
  readonly pushes: readonly { readonly plannedAt: number; readonly reform: number }[]
}

/** Five to seven ships in two or three flights; now and then one that cannot be served in time with the others. */
export function constantFleet(seed: number): Fleet {
  const { whole, yes } = chance(seed)
  const flights = whole(2, 3)
  const tight = yes(0.6)
  return {
    ships: Array.from({ length: whole(5, 7) }, () => {
      const readyAt = whole(0, 100)
      return {
        flight: whole(0, flights - 1),
        weight: 2 ** whole(0, 4),
        readyAt,
        service: whole(20, 60),
        latestAt: readyAt + (tight ? whole(20, 160) : 2_000)
      }
    }),
    stations: [0, 1].map(() => ({ opensAt: whole(0, 40), hookUp: whole(10, 20) })),
    within: 5,
    between: whole(5, 30),
    pushes: Array.from({ length: flights }, () => ({ plannedAt: whole(120, 220), reform: whole(0, 20) }))
  }
}

/** The same as an order: all ships on the first station as given. */
export function orderOf({ ships, stations, within, between, pushes }: Fleet): OrderIn<OneTank> {
  return order({
    slots: ships.map(({ flight, weight, readyAt, service, latestAt }, i) =>
      slot(
        `ship-${String(i)}`,
        {
          readyAtMs: readyAt * STEP_MS,
          serviceMs: service * STEP_MS,
          // A kilogram a step, so that the abort fuel is reached at the latest contact; nothing lacks at any push.
          burnKgPerS: 1000 / STEP_MS,
          fuelKg: 10_000,
          abortKg: 10_000 - (latestAt - readyAt),
          targetKg: 20_000
        },
        { flightId: String(flight), pushGroupId: String(flight), weight }
      )
    ),
    stations: stations.map(({ opensAt, hookUp }, k) =>
      station(`station-${String(k)}`, {
        opensAtMs: opensAt * STEP_MS,
        hookUpMs: hookUp * STEP_MS,
        changeoverWithinFlightMs: within * STEP_MS,
        changeoverBetweenMs: between * STEP_MS
      })
    ),
    pushGroups: pushes.map(({ plannedAt, reform }, g) =>
      push(String(g), { plannedAtMs: plannedAt * STEP_MS, reformMs: reform * STEP_MS })
    ),
    turns: { 'station-0': ships.map((_, i) => `ship-${String(i)}`), 'station-1': [] }
  })
}

type Solver = Awaited<ReturnType<typeof loadHighs>>
let solver: Solver | undefined

/** Lost weight, weighted lateness and last disconnect of the best order in steps, each with those before it kept. */
export async function bestByProgramme(fleet: Fleet): Promise<readonly [number, number, number]> {
  solver ??= await loadHighs()
  const { aims, rows, bounds, binaries } = programmeOf(fleet)
  const kept: string[] = []
  const best: number[] = []
  for (const aim of aims) {
    const text = ['Minimize', aim, 'Subject To', ...rows, ...kept, 'Bounds', ...bounds, 'Binary', ...binaries, 'End']
    const { Status: status, ObjectiveValue: value } = solver.solve(text.join('\n'), { mip_rel_gap: 0 })
    if (status !== 'Optimal') throw new RangeError(`the programme ended as ${status}`)
    best.push(Math.round(value))
    kept.push(`${aim} <= ${String(Math.round(value))}`)
  }
  const [lost = NaN, late = NaN, last = NaN] = best
  return [lost, late, last]
}

/**
 * at k i: ship i is served at station k; lost i; before i j: i is before j where both are at one station; s i: contact;
 * p g: steps group g pushes late; t i: those of a ship that is served; e: the last disconnect.
 */
function programmeOf({ ships, stations, within, between, pushes }: Fleet) {
  const rows: string[] = []
  const bounds: string[] = []
  const binaries: string[] = []
  // By then all are over, one after the other from when all are there: the nearer, the sooner it is solved.
  const far =
    Math.max(...ships.map(({ readyAt }) => readyAt), ...stations.map(({ opensAt }) => opensAt)) +
    ships.reduce((sum, { service }) => sum + service, 0) +
    ships.length * (Math.max(within, between) + Math.max(...stations.map(({ hookUp }) => hookUp)))
  ships.forEach(({ flight, readyAt, service, latestAt }, i) => {
    const [s, lost] = [`s_${String(i)}`, `lost_${String(i)}`]
    const at = stations.map((_, k) => `at_${String(k)}_${String(i)}`)
    binaries.push(lost, ...at)
    rows.push(`${lost} + ${at.join(' + ')} = 1`)
    stations.forEach(({ opensAt, hookUp }, k) => {
      const from = Math.max(readyAt, opensAt) + hookUp
      rows.push(`${s} - ${String(from)} ${at[k] ?? ''} >= 0`)
    })
    if (latestAt < far) rows.push(`${s} - ${String(far - latestAt)} ${lost} <= ${String(latestAt)}`)
    bounds.push(`0 <= ${s} <= ${String(far)}`)
    const { plannedAt = NaN, reform = NaN } = pushes[flight] ?? {}
    const p = `p_${String(flight)}`
    rows.push(`${p} - ${s} + ${String(far)} ${lost} >= ${String(service + reform - plannedAt)}`)
    rows.push(`t_${String(i)} - ${p} + ${String(far)} ${lost} >= 0`)
    rows.push(`e - ${s} + ${String(far)} ${lost} >= ${String(service)}`)
    ships.forEach((other, j) => {
      if (j <= i) return
      const before = `before_${String(i)}_${String(j)}`
      binaries.push(before)
      const change = flight === other.flight ? within : between
      stations.forEach(({ hookUp }, k) => {
        const both = `${String(far)} ${at[k] ?? ''} - ${String(far)} at_${String(k)}_${String(j)}`
        const gap = change + hookUp
        // One of the two holds where both are at the station: far is taken off for each that is not.
        rows.push(
          `s_${String(j)} - ${s} - ${String(far)} ${before} - ${both} >= ${String(service + gap - 3 * far)}`,
          `${s} - s_${String(j)} + ${String(far)} ${before} - ${both} >= ${String(other.service + gap - 2 * far)}`
        )
      })
    })
  })
  const sum = (of: string): string => ships.map(({ weight }, i) => `${String(weight)} ${of}_${String(i)}`).join(' + ')
  return { aims: [sum('lost'), sum('t'), 'e'], rows, bounds, binaries }
}
