import { curveOf, firstReady, timetableOf, type SlotRow, type Timetable, type Turns } from '../timetable.ts'
import type { OrderIn, Sequences } from '../times.ts'
import { longestInTurn } from '../turns.ts'

/*
 * The orders that may be suggested: which slots may stand where, seen from the order in force.
 *
 * Flown slots and those in contact stay, pinned ones keep their station and their turn among those still to be flown. The others are
 * free: each stays on its station or goes to one of its list that takes somebody new. A flight's slots of one visit
 * are a party: it stays on one tanker with nobody else between its ships on a station, as far as the order in force
 * keeps it so, unless the flight may spread or no one tanker
 * takes all of them.
 */

export interface Allowed {
  /** Stations a slot may go to, by slot id; a slot without a list stays on its station. */
  readonly mayUse: ReadonlyMap<string, readonly string[]>
  /** Flights that may be split up, by id. */
  readonly maySpread?: ReadonlySet<string> | undefined
}

/** Free slots in turn, by station index: what a search changes. */
export type Free<State> = readonly (readonly SlotRow<State>[])[]

export interface Field<State> {
  readonly table: Timetable<State>
  readonly inForce: Sequences
  /** The free slots of the order in force. */
  readonly start: Free<State>
  /** Those that may go somewhere: on a station that takes somebody new, or there is one on their list. */
  readonly movable: readonly SlotRow<State>[]
  /** Of the movable ones, those in no sequence of the order in force. */
  readonly unplaced: readonly SlotRow<State>[]
  /** By row index: the open stations it may stand at, by index, ascending. */
  readonly stationsOf: readonly (readonly number[])[]
  /** By row index: its party; −1 for what may spread and for what is over. */
  readonly partyOf: Int32Array
  /** By party: the movable slots of it. */
  readonly parties: readonly (readonly SlotRow<State>[])[]
  /** By station: slots that stand first and those held at a turn behind them. */
  readonly flown: Free<State>
  readonly held: readonly (readonly Held<State>[])[]
  /** By station: fewer free slots would pull a held one forward. */
  readonly leastFree: Int32Array
  readonly tankerOf: Int32Array
  /** By row index: the latest contact of a first visit at its best station; later ones have that of the one before. */
  readonly latestMs: Float64Array
  /** By tanker: some station of it takes somebody new. */
  readonly open: readonly boolean[]
  readonly breaksInForce: Int32Array
  readonly scratch: { readonly breaks: Int32Array; readonly tankers: Int32Array; readonly seenAt: Int32Array }
}

interface Held<State> {
  readonly row: SlotRow<State>
  readonly turn: number
}

const over = (row: SlotRow<unknown>): boolean => row.slot.gone || row.slot.fixed?.done === true
const isHeld = (row: SlotRow<unknown>): boolean => row.slot.fixed !== undefined || row.slot.pinned

/**
 * The orders that may be suggested for an input; the order in force is `inForce`, or `sequences` where that is left out.
 * @throws RangeError naming an unknown push group, tanker, or earlier slot.
 */
export function fieldOf<State>(input: OrderIn<State>, allowed: Allowed): Field<State> {
  const inForce = input.inForce ?? input.sequences
  const table = timetableOf({ ...input, sequences: inForce, inForce })
  const { stations } = table
  const indexOf = new Map(stations.map(({ station, index }) => [station.id, index]))
  const takesNew = (index: number): boolean => stations[index]?.station.takesNew === true

  const flown: SlotRow<State>[][] = stations.map(() => [])
  const held: Held<State>[][] = stations.map(() => [])
  const start: SlotRow<State>[][] = stations.map(() => [])
  table.ordered.forEach((inTurn, station) => {
    let turn = 0
    for (const row of inTurn) {
      if (row.slot.gone && row.slot.fixed === undefined) continue
      if (over(row)) flown[station]?.push(row)
      else {
        if (isHeld(row)) held[station]?.push({ row, turn })
        else start[station]?.push(row)
        turn++
      }
    }
  })
  const placed = new Set(table.ordered.flat())
  const free = [...start.flat(), ...table.rows.filter((row) => !placed.has(row) && !over(row) && !row.slot.fixed)]
  const stationsOf: number[][] = table.rows.map(() => [])
  for (const row of free) {
    const listed = (allowed.mayUse.get(row.slot.id) ?? []).map((id) => indexOf.get(id) ?? -1)
    const own = table.stationInForce[row.index] ?? -1
    stationsOf[row.index] = [...new Set([...listed, own])].filter(takesNew).sort((a, b) => a - b)
  }
  const movable = free.filter((row) => (stationsOf[row.index] ?? []).length > 0)

  const tankers = table.tankers.map(({ tanker }) => tanker.id)
  const tankerOf = Int32Array.from(stations, ({ station }) => tankers.indexOf(station.tankerId))
  const open = tankers.map((_, tanker) => stations.some(({ index }) => tankerOf[index] === tanker && takesNew(index)))
  const { partyOf, parties } = partiesOf(table, movable, allowed.maySpread ?? new Set())
  undoSplit(table, stationsOf, { partyOf, parties })
  const scratch = {
    breaks: new Int32Array(parties.length),
    tankers: new Int32Array(parties.length),
    seenAt: new Int32Array(parties.length)
  }
  const field: Field<State> = {
    table,
    inForce,
    start,
    movable,
    unplaced: movable.filter((row) => !placed.has(row)),
    stationsOf,
    partyOf,
    parties,
    flown,
    held,
    leastFree: Int32Array.from(held, (all) => (all.length === 0 ? 0 : (all.at(-1)?.turn ?? 0) + 1 - all.length)),
    tankerOf,
    latestMs: latestOf(table, stationsOf),
    open,
    breaksInForce: new Int32Array(parties.length),
    scratch
  }
  countBreaks(field, turnsOf(field, start))
  field.breaksInForce.set(scratch.breaks)
  return field
}

function latestOf<State>(table: Timetable<State>, stationsOf: readonly (readonly number[])[]): Float64Array {
  const latestMs = new Float64Array(table.rows.length).fill(Infinity)
  // Rows of earlier visits come first.
  for (const row of table.rows) {
    if (row.after !== undefined) latestMs[row.index] = latestMs[row.after.index] ?? Infinity
    else if (row.slot.fixed === undefined) {
      const all = (stationsOf[row.index] ?? []).flatMap((station) => table.stations[station] ?? [])
      const latest = all.map((station) => curveOf(row, station, firstReady(row, station)).latestContactAtMs ?? Infinity)
      latestMs[row.index] = latest.length === 0 ? Infinity : Math.max(...latest)
    }
  }
  return latestMs
}

function partiesOf<State>(
  table: Timetable<State>,
  movable: readonly SlotRow<State>[],
  maySpread: ReadonlySet<string>
): { partyOf: Int32Array; parties: SlotRow<State>[][] } {
  const partyOf = new Int32Array(table.rows.length).fill(-1)
  const parties: SlotRow<State>[][] = []
  const known = new Map<string, number>()
  for (const row of table.rows) {
    const { flightId, visitId, gone, fixed } = row.slot
    if (maySpread.has(flightId) || (gone && fixed === undefined)) continue
    const key = JSON.stringify([flightId, visitId])
    const party = known.get(key) ?? parties.push([]) - 1
    known.set(key, party)
    partyOf[row.index] = party
  }
  for (const row of movable) parties[partyOf[row.index] ?? -1]?.push(row)
  return { partyOf, parties }
}

/** Parties that no one tanker takes whole: boom and probe in one flight, say. */
function undoSplit<State>(
  table: Timetable<State>,
  stationsOf: readonly (readonly number[])[],
  { partyOf, parties }: { partyOf: Int32Array; parties: SlotRow<State>[][] }
): void {
  parties.forEach((rows, party) => {
    const tankersOf = (row: SlotRow<State>): Set<string> =>
      new Set((stationsOf[row.index] ?? []).flatMap((at) => table.stations[at]?.station.tankerId ?? []))
    const all = rows.map(tankersOf)
    const common = [...(all[0] ?? [])].some((tanker) => all.every((one) => one.has(tanker)))
    if (rows.length === 0 || common) return
    for (let index = 0; index < partyOf.length; index++) if (partyOf[index] === party) partyOf[index] = -1
    parties[party] = []
  })
}

/** A station's slots in turn: the flown ones, then the free ones around those held at their turn. */
function weave<State>(
  field: Field<State>,
  station: number,
  free: readonly SlotRow<State>[]
): readonly SlotRow<State>[] {
  const flown = field.flown[station] ?? []
  const held = field.held[station] ?? []
  if (flown.length === 0 && held.length === 0) return free
  const woven = [...flown]
  let next = 0
  for (const { row, turn } of held) {
    while (woven.length - flown.length < turn && next < free.length) woven.push(free[next++] as SlotRow<State>)
    woven.push(row)
  }
  while (next < free.length) woven.push(free[next++] as SlotRow<State>)
  return woven
}

/** The sequences to judge for free slots in turn; what is gone is left out. */
export function turnsOf<State>(field: Field<State>, free: Free<State>): Turns<State> {
  return free.map((inTurn, station) => weave(field, station, inTurn))
}

/**
 * By party into `scratch.breaks`: tankers it stands at beyond the first, and runs on a station beyond the first. A
 * tanker that takes nobody new counts for nothing: whom it was to serve may go elsewhere, apart from those served there.
 */
function countBreaks<State>(field: Field<State>, turns: Turns<State>): void {
  const { partyOf, tankerOf, open, scratch } = field
  const { breaks, tankers, seenAt } = scratch
  breaks.fill(0)
  tankers.fill(0)
  seenAt.fill(-1)
  for (let station = 0; station < turns.length; station++) {
    const tanker = tankerOf[station] ?? 0
    if (open[tanker] !== true) continue
    const inTurn = turns[station] ?? []
    let last = -1
    for (const row of inTurn) {
      const party = partyOf[row.index] ?? -1
      if (party >= 0 && party !== last) {
        if (seenAt[party] === station) breaks[party] = (breaks[party] ?? 0) + 1
        seenAt[party] = station
        const bit = 1 << (tanker & 31)
        const seen = tankers[party] ?? 0
        if (seen !== 0 && (seen & bit) === 0) breaks[party] = (breaks[party] ?? 0) + 1
        tankers[party] = seen | bit
      }
      last = party
    }
  }
}

/** Nobody held is pulled forward, and no flight is more broken up than the order in force has it. */
export function isLegal<State>(field: Field<State>, free: Free<State>, turns: Turns<State>): boolean {
  const { leastFree, breaksInForce, scratch } = field
  for (let station = 0; station < free.length; station++) {
    if ((free[station] ?? []).length < (leastFree[station] ?? 0)) return false
  }
  countBreaks(field, turns)
  for (let party = 0; party < breaksInForce.length; party++) {
    if ((scratch.breaks[party] ?? 0) > (breaksInForce[party] ?? 0)) return false
  }
  return true
}

/** The sequences of an order, and which slots of the order in force it moves: the fewest that explain it. */
export function sequencesOf<State>(
  field: Field<State>,
  turns: Turns<State>
): { sequences: Sequences; moved: readonly string[] } {
  const { table } = field
  const { stationInForce, turnInForce } = table
  const sequences = new Map<string, readonly string[]>()
  const moved: string[] = []
  turns.forEach((inTurn, station) => {
    const turnOf = (row: SlotRow<State>): number => turnInForce[row.index] ?? -1
    const kept = new Set(
      longestInTurn(
        inTurn.filter((row) => stationInForce[row.index] === station),
        turnOf
      )
    )
    for (const row of inTurn) if (!kept.has(row) && stationInForce[row.index] !== -1) moved.push(row.slot.id)
    const whole = [...inTurn]
    // What is gone stands behind the slot it stood behind: it moves nobody and is not moved.
    for (const row of table.ordered[station] ?? []) {
      if (inTurn.includes(row) || !row.slot.gone) continue
      const place = whole.findLastIndex((one) => kept.has(one) && turnOf(one) < turnOf(row))
      whole.splice(place + 1, 0, row)
      kept.add(row)
    }
    const id = table.stations[station]?.station.id ?? ''
    sequences.set(
      id,
      whole.map((row) => row.slot.id)
    )
  })
  return { sequences, moved }
}
