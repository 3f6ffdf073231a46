import type { SlotRow } from '../timetable.ts'
import type { Dice } from './dice.ts'
import type { Field, Free } from './field.ts'

/*
 * Small changes of an order. Each gives a new order that shares the untouched stations with the old one, or undefined
 * where there is nothing to change. Whether an order may be suggested is for `isLegal` to say.
 */

export interface Moved<State> {
  readonly field: Field<State>
  readonly free: Free<State>
  readonly dice: Dice
  /** Slots worth moving, by choice; none: any. */
  readonly sore: readonly SlotRow<State>[]
}

/** Station and place of a free slot; undefined when it stands nowhere. */
export function placeOf<State>(free: Free<State>, row: SlotRow<State>): { station: number; at: number } | undefined {
  for (let station = 0; station < free.length; station++) {
    const at = free[station]?.indexOf(row) ?? -1
    if (at >= 0) return { station, at }
  }
  return undefined
}

/** The order without some slots. */
export function without<State>(free: Free<State>, rows: readonly SlotRow<State>[]): Free<State> {
  return free.map((inTurn) =>
    inTurn.some((row) => rows.includes(row)) ? inTurn.filter((row) => !rows.includes(row)) : inTurn
  )
}

/** The order with slots put in at a place of a station. */
export function withAt<State>(
  free: Free<State>,
  where: { readonly station: number; readonly at: number },
  rows: readonly SlotRow<State>[]
): Free<State> {
  const { station, at } = where
  return free.map((inTurn, index) => (index === station ? inTurn.toSpliced(at, 0, ...rows) : inTurn))
}

function pick<Value>(dice: Dice, values: readonly Value[]): Value | undefined {
  return values[dice.below(values.length)]
}

function anyRow<State>({ field, dice, sore }: Moved<State>): SlotRow<State> | undefined {
  return sore.length > 0 && dice.part() < 0.5 ? pick(dice, sore) : pick(dice, field.movable)
}

export const maySit = <State>(field: Field<State>, row: SlotRow<State>, station: number): boolean =>
  field.stationsOf[row.index]?.includes(station) === true

/** One slot to another place of a station it may use. */
function shift<State>(given: Moved<State>): Free<State> | undefined {
  const { field, free, dice } = given
  const row = anyRow(given)
  const station = row && pick(dice, field.stationsOf[row.index] ?? [])
  if (row === undefined || station === undefined) return undefined
  const rest = without(free, [row])
  return withAt(rest, { station, at: dice.below((rest[station]?.length ?? 0) + 1) }, [row])
}

/** One slot beside another of its party, there or on a sister station. */
function join<State>(given: Moved<State>): Free<State> | undefined {
  const { field, free, dice } = given
  const row = anyRow(given)
  const mates = field.parties[(row && field.partyOf[row.index]) ?? -1] ?? []
  const mate = pick(dice, mates)
  if (row === undefined || mate === undefined || mate === row) return undefined
  const rest = without(free, [row])
  const place = placeOf(rest, mate)
  if (place === undefined || !maySit(field, row, place.station)) return undefined
  return withAt(rest, { station: place.station, at: place.at + dice.below(2) }, [row])
}

/** Two slots change places. */
function swap<State>(given: Moved<State>): Free<State> | undefined {
  const { field, free, dice } = given
  const one = anyRow(given)
  const other = pick(dice, field.movable)
  if (one === undefined || other === undefined || one === other) return undefined
  const a = placeOf(free, one)
  const b = placeOf(free, other)
  if (!a || !b || !maySit(field, one, b.station) || !maySit(field, other, a.station)) return undefined
  return free.map((inTurn, station) =>
    station === a.station || station === b.station
      ? inTurn.map((row) => (row === one ? other : row === other ? one : row))
      : inTurn
  )
}

interface Run<State> {
  readonly station: number
  readonly from: number
  readonly rows: readonly SlotRow<State>[]
}

/** Slots of one party side by side, as many as there are, around a slot. */
function runOf<State>({ field, free }: Moved<State>, row: SlotRow<State>): Run<State> | undefined {
  const place = placeOf(free, row)
  if (place === undefined) return undefined
  const { station, at } = place
  const inTurn = free[station] ?? []
  const party = field.partyOf[row.index] ?? -1
  const alike = (other: SlotRow<State> | undefined): boolean =>
    other !== undefined && party >= 0 && field.partyOf[other.index] === party
  let from = at
  let to = at + 1
  while (alike(inTurn[from - 1])) from--
  while (alike(inTurn[to])) to++
  return { station, from, rows: inTurn.slice(from, to) }
}

/** Two runs change places, each slot where it may sit. */
function swapRuns<State>(given: Moved<State>): Free<State> | undefined {
  const { field, free, dice } = given
  const one = anyRow(given)
  const a = one && runOf(given, one)
  const other = pick(dice, field.movable)
  const b = other && runOf(given, other)
  if (!a || !b || (a.station === b.station && a.from === b.from)) return undefined
  const fits = (run: Run<State>, station: number): boolean => run.rows.every((row) => maySit(field, row, station))
  if (!fits(a, b.station) || !fits(b, a.station)) return undefined
  const [first, second] = a.from < b.from ? [a, b] : [b, a]
  return free.map((inTurn, station) => {
    let changed = inTurn
    // The later one first, so that the earlier place stands.
    if (station === second.station) changed = changed.toSpliced(second.from, second.rows.length, ...first.rows)
    if (station === first.station) changed = changed.toSpliced(first.from, first.rows.length, ...second.rows)
    return changed
  })
}

/** A run to another place of its station, or of a sister station. */
function shiftRun<State>(given: Moved<State>): Free<State> | undefined {
  const { field, free, dice } = given
  const row = anyRow(given)
  const run = row && runOf(given, row)
  if (row === undefined || run === undefined) return undefined
  const station = pick(dice, field.stationsOf[row.index] ?? [])
  if (station === undefined || !run.rows.every((one) => maySit(field, one, station))) return undefined
  const rest = without(free, run.rows)
  return withAt(rest, { station, at: dice.below((rest[station]?.length ?? 0) + 1) }, run.rows)
}

/** A whole party to a tanker, its slots dealt to the stations of it, or all to one. */
function deal<State>(given: Moved<State>): Free<State> | undefined {
  const { field, free, dice } = given
  const row = anyRow(given)
  if (row === undefined) return undefined
  const party = field.partyOf[row.index] ?? -1
  const rows = party < 0 ? [row] : (field.parties[party] ?? [])
  const tanker = field.tankerOf[pick(dice, field.stationsOf[row.index] ?? []) ?? -1]
  const together = dice.part() < 0.4
  let rest = without(free, rows)
  // One place a station, so that the party stands together there.
  const places = new Map<number, number>()
  const inTurn = dice.part() < 0.8 ? inTurnOf(field, rows) : rows
  for (const one of inTurn) {
    const stations = (field.stationsOf[one.index] ?? []).filter((station) => field.tankerOf[station] === tanker)
    const used = stations.filter((station) => places.has(station))
    const least = Math.min(...stations.map((station) => rest[station]?.length ?? 0))
    const few = stations.filter((station) => (rest[station]?.length ?? 0) === least)
    const station = pick(dice, together && used.length > 0 ? used : dice.part() < 0.5 ? few : stations)
    if (station === undefined) return undefined
    const at = places.get(station) ?? dice.below((rest[station]?.length ?? 0) + 1)
    rest = withAt(rest, { station, at }, [one])
    places.set(station, at + 1)
  }
  return rest
}

/** Two parties change places: each is dealt over the places of the other. */
function swapParties<State>(given: Moved<State>): Free<State> | undefined {
  const { field, free, dice } = given
  const one = anyRow(given)
  const other = pick(dice, field.movable)
  if (one === undefined || other === undefined) return undefined
  const pair = [field.partyOf[one.index] ?? -1, field.partyOf[other.index] ?? -1]
  if (pair[0] === pair[1] || pair.includes(-1)) return undefined
  const comes = pair.map((_, side) => inTurnOf(field, field.parties[pair[1 - side] ?? -1] ?? []))
  const seats = pair.map((party) => free.flat().filter((row) => field.partyOf[row.index] === party).length)
  const taken = [0, 0]
  let misfits = 0
  const changed = free.map((inTurn, station) => {
    if (!inTurn.some((row) => pair.includes(field.partyOf[row.index] ?? -1))) return inTurn
    return inTurn.flatMap((row) => {
      const side = pair.indexOf(field.partyOf[row.index] ?? -1)
      if (side < 0) return [row]
      const rows = comes[side] ?? []
      const [seat, of] = [taken[side] ?? 0, seats[side] ?? 1]
      taken[side] = seat + 1
      // So many for each seat that all are dealt.
      const dealt = rows.slice(Math.floor((seat * rows.length) / of), Math.floor(((seat + 1) * rows.length) / of))
      misfits += dealt.filter((comer) => !maySit(field, comer, station)).length
      return dealt
    })
  })
  return misfits === 0 ? changed : undefined
}

/** Worst first: by latest contact, then as given. */
export function inTurnOf<State>(field: Field<State>, rows: readonly SlotRow<State>[]): SlotRow<State>[] {
  const latest = (row: SlotRow<State>): number => field.latestMs[row.index] ?? Infinity
  return rows.toSorted((a, b) => (latest(a) < latest(b) ? -1 : latest(a) > latest(b) ? 1 : a.index - b.index))
}

/** By how many of 100 each is tried. */
const SHARES = [
  [22, shift],
  [18, join],
  [16, swap],
  [14, swapRuns],
  [10, shiftRun],
  [12, deal],
  [8, swapParties]
] as const

/** A small change by choice. */
export function anyMove<State>(given: Moved<State>): Free<State> | undefined {
  let left = given.dice.below(100)
  for (const [share, move] of SHARES) {
    if (left < share) return move(given)
    left -= share
  }
  return undefined
}
