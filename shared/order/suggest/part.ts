import { stepsOfMs } from '../judgement.ts'
import { readyOf, type GroupRow, type SlotRow, type StationRow } from '../timetable.ts'
import { leastWeight, sameService, type AtStation } from './alone.ts'
import { leastShortage, type Least } from './bound.ts'
import type { Field } from './field.ts'
import { inTurnOf } from './moves.ts'
import { componentsOf } from './pooled.ts'

/*
 * The parts of an order that share no station: each is proved by itself.
 *
 * Which ships of a part are served is one whole number, the set: a kind of ships has as many bits of it as its count
 * takes. Ships that are alike in all but their names are one kind, counted and not named.
 */

export interface Kind<State> {
  readonly rows: readonly SlotRow<State>[]
  /** One ship of it in a set, all of them, and the bits it has there. */
  readonly one: number
  readonly all: number
  readonly mask: number
  /** By station index. */
  readonly at: readonly (AtStation | undefined)[]
  /** Of the part. */
  readonly group: number
  /** Its flight and visit where that stays whole; −1: it may go anywhere. */
  readonly party: number
  /** Of each: weighted steps at least, priority weight, weight at its push at least. */
  readonly shortage: number
  readonly weight: number
  readonly pushWeight: number
  /** Every better order serves it. */
  readonly must: boolean
}

/** Kinds of a part in a set. */
export interface Some {
  readonly mask: number
  readonly all: number
}

export interface Part<State> {
  readonly kinds: readonly Kind<State>[]
  readonly ships: number
  readonly all: number
  readonly groups: readonly GroupRow[]
  /** By group: its ships; −1 for one that has others elsewhere, which no set of this part has all of. */
  readonly groupShips: readonly Some[]
  readonly startLate: readonly number[]
  /** By group: weight at its push of those of this part that every better order serves; flown ones count in one part. */
  readonly mustWeights: readonly number[]
  /** By group: weight of all its ships, those of other parts too. */
  readonly weights: readonly number[]
  /** By party. */
  readonly parties: readonly Some[]
  /** By party: the kinds of its ships, by index, worst first. */
  readonly turns: readonly (readonly number[])[]
  /** Stations by tanker. */
  readonly units: readonly (readonly StationRow[])[]
}

/** Below any step, above the noise of sums. */
export const NOISE_MS = 1e-3
/** More is no whole number that bits can be taken from; and more ships would not come to an end. */
const MOST_BITS = 30
const MOST_SHIPS = 24
const MOST_PARTIES = 12

/** Steps a group is late at least when it pushes then. */
export const stepsLate = ({ group }: GroupRow, pushAtMs: number): number =>
  Math.max(0, stepsOfMs((group.pushedAtMs ?? pushAtMs) - group.plannedAtMs))

/** The parts of what a field leaves to be decided; undefined where one has too many ships for a set. */
export function partsOf<State>(field: Field<State>, least: Least<State>): readonly Part<State>[] | undefined {
  const jobs = least.alone.filter((one) => one.at.length > 0)
  const partyOf = (row: SlotRow<State>): number => {
    const party = field.partyOf[row.index] ?? -1
    return party >= 0 && field.breaksInForce[party] === 0 ? party : -1
  }
  const component = tiedByParties(
    field,
    componentsOf(field),
    jobs.map(({ row }) => row).filter((row) => partyOf(row) >= 0)
  )
  const of = new Map<number, typeof jobs>()
  for (const job of jobs) {
    const id = component[job.at[0]?.station.index ?? 0] ?? 0
    of.set(id, [...(of.get(id) ?? []), job])
  }
  const groupsOf = [...of.values()].map((here) => new Set(here.map(({ row }) => row.group)))
  const parts: Part<State>[] = []
  for (const [id, here] of of) {
    const groups = field.table.groups.filter((group) => here.some(({ row }) => row.group === group))
    const parties = [...new Set(here.map(({ row }) => partyOf(row)))].filter((party) => party >= 0)
    const kept = parties.length > MOST_PARTIES ? [] : parties
    if (here.length > MOST_SHIPS) return undefined
    const kinds = kindsOf(here, {
      stations: field.table.stations,
      groupOf: (row) => groups.indexOf(row.group),
      partyOf: (row) => kept.indexOf(partyOf(row)),
      shortageOf: (one) => leastShortage(one, least.pushes),
      must: (row) => row.slot.weight > least.mayLose
    })
    if (kinds === undefined) return undefined
    const some = (which: (kind: Kind<State>) => boolean): Some => {
      const them = kinds.filter(which)
      return {
        mask: them.reduce((bits, { mask }) => bits | mask, 0),
        all: them.reduce((bits, { all }) => bits | all, 0)
      }
    }
    const flownWeight = (group: GroupRow): number =>
      least.served.reduce((sum, row) => (row.group === group ? sum + leastWeight(row) : sum), 0)
    const tankers = [...new Set(field.table.stations.map(({ index }) => field.tankerOf[index] ?? -1))]
    parts.push({
      kinds,
      ships: here.length,
      all: some(() => true).all,
      groups,
      groupShips: groups.map((group, g) => {
        const elsewhere = groupsOf.filter((one) => one.has(group)).length > 1
        return elsewhere ? { mask: 0, all: -1 } : some((kind) => kind.group === g)
      }),
      startLate: groups.map((row) => stepsLate(row, (least.pushes.get(row) ?? 0) - NOISE_MS)),
      mustWeights: groups.map((group, g) => {
        const first = parts.every((part) => !part.groups.includes(group))
        return kinds.reduce(
          (sum, kind) => (kind.group === g && kind.must ? sum + kind.rows.length * kind.pushWeight : sum),
          first ? flownWeight(group) : 0
        )
      }),
      weights: groups.map((group) =>
        jobs.reduce((sum, { row }) => (row.group === group ? sum + leastWeight(row) : sum), flownWeight(group))
      ),
      parties: kept.map((_, party) => some((kind) => kind.party === party)),
      turns: kept.map((party) => {
        const rows = here.map(({ row }) => row).filter((row) => partyOf(row) === party)
        return inTurnOf(field, rows).map((row) => kinds.findIndex((kind) => kind.rows.includes(row)))
      }),
      units: tankers
        .map((tanker) =>
          field.table.stations.filter(
            ({ index }) =>
              component[index] === id &&
              field.tankerOf[index] === tanker &&
              kinds.some(({ at }) => at[index] !== undefined)
          )
        )
        .filter((stations) => stations.length > 0)
    })
  }
  return parts
}

/** Stations that flights which stay whole are at hang together too. */
function tiedByParties<State>(
  field: Field<State>,
  components: readonly number[],
  rows: readonly SlotRow<State>[]
): readonly number[] {
  const tied = [...components]
  const first = new Map<number, number>()
  for (const row of rows) {
    const party = field.partyOf[row.index] ?? -1
    const here = row.slot.pinned ? field.table.stationInForce[row.index] : field.stationsOf[row.index]?.[0]
    const [one, other] = [tied[here ?? 0] ?? 0, tied[first.get(party) ?? here ?? 0] ?? 0]
    first.set(party, here ?? 0)
    tied.forEach((id, index) => {
      if (id === other) tied[index] = one
    })
  }
  return tied
}

/** Ships by kind, each with its bits in a set; undefined where they are too many for one. */
export function kindsOf<State>(
  jobs: readonly { readonly row: SlotRow<State>; readonly at: readonly AtStation[] }[],
  by: {
    readonly stations: readonly StationRow[]
    readonly groupOf: (row: SlotRow<State>) => number
    readonly partyOf: (row: SlotRow<State>) => number
    readonly shortageOf: (one: { readonly row: SlotRow<State>; readonly at: readonly AtStation[] }) => number
    readonly must: (row: SlotRow<State>) => boolean
  }
): readonly Kind<State>[] | undefined {
  const alike: { rows: SlotRow<State>[]; at: readonly (AtStation | undefined)[]; job: (typeof jobs)[number] }[] = []
  for (const job of jobs) {
    const at = by.stations.map(({ index }) => job.at.find(({ station }) => station.index === index))
    const twins = alike.find((other) => sameShip({ row: other.job.row, at: other.at }, { row: job.row, at }))
    if (twins === undefined) alike.push({ rows: [job.row], at, job })
    else twins.rows.push(job.row)
  }
  let shift = 0
  const kinds: Kind<State>[] = []
  for (const { rows, at, job } of alike) {
    const bits = 32 - Math.clz32(rows.length)
    if (shift + bits > MOST_BITS) return undefined
    kinds.push({
      rows,
      at,
      one: 1 << shift,
      all: rows.length << shift,
      mask: ((1 << bits) - 1) << shift,
      group: by.groupOf(job.row),
      party: by.partyOf(job.row),
      shortage: by.shortageOf(job),
      weight: job.row.slot.weight,
      pushWeight: leastWeight(job.row),
      must: by.must(job.row)
    })
    shift += bits
  }
  return kinds
}

interface Placed<State> {
  readonly row: SlotRow<State>
  readonly at: readonly (AtStation | undefined)[]
}

/** Nothing tells the two apart but their names. */
function sameShip<State>(a: Placed<State>, b: Placed<State>): boolean {
  const [one, other] = [a.row.slot, b.row.slot]
  // Any changeovers may tell the two apart by their names.
  if (b.at.some((its) => its?.station.station.changeoverMs !== undefined)) return false
  if (one.pinned || other.pinned || one.flightId !== other.flightId || one.visitId !== other.visitId) return false
  if (one.weight !== other.weight || a.row.group !== b.row.group || one.serveAnyway !== other.serveAnyway) return false
  if (a.row.next.length > 0 || b.row.next.length > 0) return false
  if (one.requiredAtPushKg !== other.requiredAtPushKg || one.waitBurnKgPerS !== other.waitBurnKgPerS) return false
  return b.at.every((its, station) => sameService(a.at[station], its) && sameReady(a, b, its))
}

const sameReady = <State>(a: Placed<State>, b: Placed<State>, at: AtStation | undefined): boolean =>
  at === undefined || readyOf(a.row, at.station).atMs === readyOf(b.row, at.station).atMs
