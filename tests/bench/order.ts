import { judgementOf } from '../../shared/order/answer.ts'
import { onPiece, pieceAt, type ServiceCurve } from '../../shared/order/curves.ts'
import { settle } from '../../shared/order/settle.ts'
import {
  curveOf,
  readyOf,
  timetableOf,
  type SlotRow,
  type Timetable,
  type Turns
} from '../../shared/order/timetable.ts'
import { judge, type OrderIn, type StationIn } from '../../shared/order/times.ts'
import { crewsOf, orderIn } from '../../shared/live/slots.ts'
import { MemoryEvent } from '../make/event.ts'
import { chance } from '../shared/order/chance.ts'
import { fleet } from '../shared/order/fleet.ts'
import { OPENS_AT_MS, PLAN, RESOLVED } from './demo.ts'
import { interleaved, medianOf, rowOf, type Row } from './timing.ts'

const BATCHES = 80
/** Orders that are judged in turn: the one planned with neighbours changed. */
const VARIANTS = 64
const CHANGES = 3

/** Judging orders of 24 ships, against walking through the same curves and knowing nothing but instants. */
export function orderRows(): Row[] {
  const event = new MemoryEvent(PLAN)
  const { input } = orderIn(event.state, RESOLVED, crewsOf(event.state, RESOLVED, OPENS_AT_MS), OPENS_AT_MS)
  return [
    ...rowsFor(`demonstration order, ${String(input.slots.length)} slots of 24 ships`, input),
    ...rowsFor('constructed order, 24 slots of 24 ships', fleet(0))
  ]
}

function rowsFor<State>(name: string, input: OrderIn<State>): Row[] {
  const table = timetableOf(input)
  settle(table, table.ordered)
  const orders = variantsOf(table)
  const walks = orders.map((turns) => walkOf(table, turns))
  let turn = 0
  const times = interleaved(
    {
      ours: () => {
        const turns = orders[turn++ % VARIANTS] ?? table.ordered
        settle(table, turns)
        return judgementOf(table, turns).lateness
      },
      bare: () => walked(walks[turn++ % VARIANTS] ?? []),
      whole: () => judge(input).judgement.lateness
    },
    BATCHES
  )
  const perS = (label: 'ours' | 'bare' | 'whole') => ({ median: 1_000 / medianOf(times[label]) })
  return [
    rowOf(`${name}: judgements of changed orders`, '1/s', BATCHES, perS('ours'), perS('bare')),
    rowOf(`${name}: from plain input to slots and reasons`, '1/s', BATCHES, perS('whole'), perS('bare'))
  ]
}

/** The order with a few neighbours changed, each time others. */
function variantsOf<State>(table: Timetable<State>): Turns<State>[] {
  const { whole } = chance(7)
  return Array.from({ length: VARIANTS }, () => {
    const turns = table.ordered.map((inTurn) => [...inTurn])
    for (let change = 0; change < CHANGES; change++) {
      const inTurn = turns[whole(0, turns.length - 1)] ?? []
      const place = whole(0, Math.max(0, inTurn.length - 2))
      const [one, next] = [inTurn[place], inTurn[place + 1]]
      if (one && next) inTurn.splice(place, 2, next, one)
    }
    return turns
  })
}

interface Step {
  readyAtMs: number
  flightId: string
  curve: ServiceCurve
  requiredAtPushKg: number
  burnKgPerS: number
  weight: number
  plannedPushAtMs: number
}

interface Walk {
  station: StationIn
  steps: readonly Step[]
}

function walkOf<State>(table: Timetable<State>, turns: Turns<State>): Walk[] {
  settle(table, turns)
  const stepOf = (row: SlotRow<State>, index: number): Step[] => {
    const station = table.stations[index]
    // Behind a ship that is lost nothing is ready.
    if (station === undefined || row.state === 'gone') return []
    const ready = readyOf(row, station)
    const { flightId, requiredAtPushKg, waitBurnKgPerS: burnKgPerS, weight } = row.slot
    const curve = curveOf(row, station, ready)
    const plannedPushAtMs = row.group.group.plannedAtMs
    return [{ readyAtMs: ready.atMs, flightId, curve, requiredAtPushKg, burnKgPerS, weight, plannedPushAtMs }]
  }
  return table.stations.map(({ station, index }) => ({
    station,
    steps: (turns[index] ?? []).flatMap((row) => stepOf(row, index))
  }))
}

/** Station after station, ship after ship: instants, fuel and weighted shortage; no give, no pushes, no reasons. */
function walked(walks: readonly Walk[]): number {
  let shortageKg = 0
  for (const { station, steps } of walks) {
    let freeAtMs = station.freeAtMs
    let lastFlightId = station.lastFlightId
    for (const step of steps) {
      const { curve, flightId } = step
      const changeoverMs =
        lastFlightId === undefined
          ? 0
          : lastFlightId === flightId
            ? station.changeoverWithinFlightMs
            : station.changeoverBetweenMs
      const contactAtMs = Math.max(step.readyAtMs, freeAtMs + changeoverMs) + station.hookUpMs
      if (contactAtMs > (curve.latestContactAtMs ?? Infinity)) continue
      const piece = pieceAt(curve, contactAtMs)
      if (piece < 0) continue
      freeAtMs = onPiece(curve, curve.disconnectAtMs, piece, contactAtMs)
      lastFlightId = flightId
      const heldKg = onPiece(curve, curve.fuelAtDisconnectKg, piece, contactAtMs)
      const waitMs = Math.max(0, step.plannedPushAtMs - freeAtMs)
      const atPushKg = heldKg - (step.burnKgPerS * waitMs) / 1_000
      shortageKg += step.weight * Math.max(0, step.requiredAtPushKg - atPushKg)
    }
  }
  return shortageKg
}
