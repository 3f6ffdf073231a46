import { compareJudgements, type Judgement } from '../judgement.ts'
import { Judging } from '../judging.ts'
import type { SlotRow, Turns } from '../timetable.ts'
import { isLegal, turnsOf, type Field, type Free } from './field.ts'
import { withAt } from './moves.ts'

/*
 * All orders that may be suggested, judged one by one: nothing is left out, so it is right whatever binds, and it is
 * for few slots only.
 */

export interface Every<State> {
  readonly turns: Turns<State>
  readonly judgement: Judgement
}

/** How many orders there are at most: each slot at every place there may be among those before it. */
function countOf<State>(field: Field<State>): number {
  const stays = field.start.map((inTurn) => inTurn.filter((row) => !field.movable.includes(row)).length)
  return field.movable.reduce((count, row, before) => {
    const stations = field.stationsOf[row.index] ?? []
    const tied = field.movable
      .slice(0, before)
      .filter((one) => field.stationsOf[one.index]?.some((at) => stations.includes(at)))
    const others = stations.reduce((sum, station) => sum + (stays[station] ?? 0), tied.length)
    return count * (stations.length + others + (staysClosed(field, row) ? 1 : 0))
  }, 1)
}

/** It stands on a station that takes nobody new, where it may be left, lost. */
function staysClosed<State>(field: Field<State>, row: SlotRow<State>): boolean {
  const own = field.table.stationInForce[row.index] ?? -1
  return own >= 0 && field.table.stations[own]?.station.takesNew === false
}

/**
 * The best of all orders; undefined when there are more than `orders` or it is told to stop. `judged` counts each.
 */
export function bestOfAll<State>(
  field: Field<State>,
  limits: { readonly orders: number; readonly stop?: (() => boolean) | undefined; readonly judged: () => void }
): Every<State> | undefined {
  if (countOf(field) > limits.orders) return undefined
  const { table, movable } = field
  const judging = new Judging(table)
  let best: Every<State> | undefined
  let stopped = false as boolean
  let count = 0
  const stays = field.start.map((inTurn) => inTurn.filter((row) => !movable.includes(row)))
  const place = (free: Free<State>, next: number): void => {
    const row = movable[next]
    if (stopped) return
    if (row === undefined) {
      const turns = turnsOf(field, free)
      if (!isLegal(field, free, turns)) return
      limits.judged()
      if (++count % 256 === 0 && limits.stop?.() === true) stopped = true
      const judgement = judging.judgement(turns)
      if (best === undefined || compareJudgements(judgement, best.judgement) < 0) best = { turns, judgement }
      return
    }
    for (const station of field.stationsOf[row.index] ?? []) {
      for (let at = 0; at <= (free[station]?.length ?? 0); at++) place(withAt(free, { station, at }, [row]), next + 1)
    }
    if (staysClosed(field, row)) {
      const station = table.stationInForce[row.index] ?? -1
      const turn = (one: SlotRow<State>): number => table.turnInForce[one.index] ?? -1
      const behind = (free[station] ?? []).findIndex((one) => turn(one) > turn(row))
      place(withAt(free, { station, at: behind < 0 ? (free[station]?.length ?? 0) : behind }, [row]), next + 1)
    }
  }
  place(stays, 0)
  return stopped ? undefined : best
}
