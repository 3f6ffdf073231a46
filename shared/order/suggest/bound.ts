import { stepsOfKg, stepsOfMs, LEVELS, type Judgement } from '../judgement.ts'
import type { GroupRow, SlotRow } from '../timetable.ts'
import { laterContacts } from './after.ts'
import { aloneOf, leastShortageKg, mayBeTopped, readyKnown, stationsBefore, type Alone, type Before } from './alone.ts'
import { Ends } from './ends.ts'
import type { Field } from './field.ts'
import { componentsOf, endsOf, latenessOf, stationsIn, tiedJobs, type Job } from './pooled.ts'

/*
 * How good an order can be at most. Nothing here is an order: each level of the judgement is worked out from less than
 * all that is true, so that no order is better.
 *
 * Ships that some order no worse than the known one might lose count for nothing: neither their shortage nor their push
 * nor the time they would take. Of later visits whose ready instant hangs on the order only that counts, when it is as
 * early as it can be; what else is known of them is told in ends.ts.
 */

/** Below any step, above the noise of sums. */
const NOISE_MS = 1e-3
const NOISE_KG = 1e-6

export interface Bound {
  readonly least: Judgement
  /** How many levels, from the left, the known order meets. */
  readonly metLevels: number
  /** All of them: no order is better, none as good moves fewer. */
  readonly proved: boolean
}

/** How an order stands to what no order can better. */
export function boundBy(least: Judgement, known: Judgement): Bound {
  const open = LEVELS.findIndex((level) => known[level] > least[level])
  return { least, metLevels: open < 0 ? LEVELS.length : open, proved: open < 0 }
}

/**
 * Level by level what the best order has at least, known that it is no worse than `known`; `before` is the order in
 * force. Steps as in the judgement.
 *
 * A ship alone on its best station gives the least shortage, push and disconnect. All ships together on stations that
 * share any: their services one after the other, begun and broken off at will and as fast as there are stations, the
 * shortest left first, give the least instant by which so many are over; flights' pushes in the best sequence give the
 * least lateness. A flight that stays whole has the stations of one tanker only.
 * Source: shortest remaining processing time first, L. Schrage, Operations Research 16, 1968 (from memory).
 * Checked: tests/shared/order/suggest/bound.test.ts, never above the best of all orders (constructed).
 */
export function boundOf<State>(
  field: Field<State>,
  known: Judgement,
  { before, ends = new Ends(field) }: { readonly before: Judgement; readonly ends?: Ends<State> }
): Bound {
  return boundBy(leastOf(field, known, { before, ends }), known)
}

/** What is known of ships and pushes in any order that is no worse than a known one. */
export interface Least<State> {
  readonly stations: readonly Before[]
  /** Slots whose ready instant hangs on no order. */
  readonly alone: readonly Alone<State>[]
  /** Weight of those among them that are lost in every order. */
  readonly lostWeight: number
  /** A ship of this weight or less may be lost beside them. */
  readonly mayLose: number
  readonly jobs: readonly Job<State>[]
  /** By group: no order has it push earlier. */
  readonly pushes: ReadonlyMap<GroupRow, number>
  /** Flown, at a station that is known. */
  readonly served: readonly SlotRow<State>[]
  /** By station: its tanker may run short, or a slot is left out that may come to it. */
  readonly short: readonly boolean[]
  /** Later visits that no order no worse loses: no order has their contact earlier. */
  readonly later: ReadonlyMap<SlotRow<State>, number>
}

/** Fills the timetable with the order in force. */
export function leastBy<State>(field: Field<State>, known: Judgement): Least<State> {
  const { table } = field
  const stations = stationsBefore(field)
  const open = table.rows.filter((row) => !row.slot.gone && row.slot.fixed === undefined)
  const alone = open.filter(readyKnown).map((row) => aloneOf(field, stations, row))
  const lostWeight = alone.reduce((sum, { row, at }) => (at.length === 0 ? sum + row.slot.weight : sum), 0)
  const mayLose = known.lostWeight - lostWeight
  const surely = alone.filter(({ row, at }) => at.length > 0 && row.slot.weight > mayLose)
  const short = shortGive(field, alone, open.length > alone.length)
  const jobs = surely.map((one) => jobOf(field, one, short))
  const pushes = earliestPushes(field, jobs)
  for (const [group, atMs] of wholePushes(field, surely, short))
    pushes.set(group, Math.max(pushes.get(group) ?? atMs, atMs))
  const later = laterContacts(field, { stations, surely, mayLose, pushes })
  for (const [{ group }, contactAtMs] of later) {
    const atMs = contactAtMs + group.group.reformMs
    if (group.group.pushedAtMs === undefined) pushes.set(group, Math.max(pushes.get(group) ?? atMs, atMs))
  }
  const served = table.rows.filter((row) => row.slot.fixed !== undefined && row.station !== undefined)
  return { stations, alone, lostWeight, mayLose, jobs, pushes, served, short, later }
}

/** The least weighted shortage of a slot in steps, whenever it comes. */
export function leastShortage<State>({ row, at }: Alone<State>, pushes: ReadonlyMap<GroupRow, number>): number {
  if (mayBeTopped(row)) return 0
  const pushAtMs = pushes.get(row.group) ?? -Infinity
  const leastKg = Math.min(...at.map((one) => leastShortageKg(row, one, row.group.group, pushAtMs)))
  return row.slot.weight * stepsOfKg(Math.max(0, leastKg - NOISE_KG))
}

/** The weighted shortage of those flown, steps, when their groups push as early as they can. */
export function flownShortage<State>({ served, pushes }: Least<State>): number {
  let shortage = 0
  for (const row of served) {
    if (mayBeTopped(row)) continue
    const { slot, group } = row
    const { atMs, usableKg } = slot.fixed?.since ?? {
      atMs: slot.fixed?.disconnectAtMs ?? 0,
      usableKg: slot.fixed?.fuelAtDisconnectKg ?? 0
    }
    const waitMs = Math.max(0, (pushes.get(group) ?? atMs) - atMs)
    const shortKg = slot.requiredAtPushKg - usableKg + (slot.waitBurnKgPerS * waitMs) / 1000
    shortage += slot.weight * stepsOfKg(Math.max(0, shortKg - NOISE_KG))
  }
  return shortage
}

function leastOf<State>(
  field: Field<State>,
  known: Judgement,
  { before, ends: wholeEnds }: { readonly before: Judgement; readonly ends: Ends<State> }
): Judgement {
  const least = leastBy(field, known)
  const { alone, jobs, pushes, served } = least
  let shortage = flownShortage(least)
  const surely = new Set(jobs.map((job) => job.row))
  for (const one of alone) if (surely.has(one.row)) shortage += leastShortage(one, pushes)

  const ends = jobs.map((job) => job.disconnectAtMs)
  for (const { slot } of served) if (slot.fixed !== undefined) ends.push(slot.fixed.disconnectAtMs)
  ends.push(...least.later.values())
  const lateness = latenessOf(field, jobs, [...served, ...least.later.keys()], pushes)
  for (const tied of tiedJobs(jobs)) ends.push(Math.max(...endsOf(tied, stationsIn(field, tied))))
  // Compared from the left: it matters only where nothing before it is open.
  const { lostWeight } = least
  if (known.lostWeight === lostWeight && known.shortage === shortage && known.lateness === lateness)
    ends.push(wholeEnds.leastLast(known, least))
  const lastDisconnect = ends.length === 0 ? 0 : stepsOfMs(Math.max(...ends) - NOISE_MS)
  const better = LEVELS.slice(0, 4).find((level) => known[level] !== before[level])
  const improved = better !== undefined && known[better] < before[better]
  const moved = improved && field.unplaced.length === 0 ? 1 : 0
  return { lostWeight, shortage, lateness, lastDisconnect, moved }
}

/** By station: its tanker may run short, if all that may come to it come; what later visits ask for is not known. */
function shortGive<State>(field: Field<State>, alone: readonly Alone<State>[], unknown: boolean): readonly boolean[] {
  const { table } = field
  let lastMs = table.nowMs
  let workMs = 0
  for (const { slot } of table.flown) lastMs = Math.max(lastMs, slot.fixed?.disconnectAtMs ?? lastMs)
  for (const { at } of alone) {
    const most = at.map((one) => {
      return one.mostServiceMs + one.station.station.hookUpMs + one.changeover.mostMs
    })
    lastMs = Math.max(lastMs, ...at.map((one) => one.startAtMs))
    workMs += Math.max(0, ...most)
  }
  const shortOf = table.tankers.map(({ tanker }) => {
    if (tanker.giveKg(Number.MAX_SAFE_INTEGER) === Infinity) return false
    if (unknown) return true
    let askedKg = 0
    for (const { at } of alone) {
      const here = at.filter(({ station }) => station.tanker.tanker === tanker)
      askedKg += Math.max(0, ...here.map((one) => one.mostOnLoadKg))
    }
    for (const { slot, station } of table.flown)
      if (station?.tanker.tanker === tanker && slot.fixed?.done === false) askedKg += slot.fixed.onLoadKg
    return !(askedKg <= tanker.giveKg(Math.max(tanker.leavesAtMs, lastMs + workMs)))
  })
  return table.stations.map((station) => shortOf[table.tankers.indexOf(station.tanker)] === true)
}

function jobOf<State>(field: Field<State>, { row, at }: Alone<State>, short: readonly boolean[]): Job<State> {
  const component = componentsOf(field)[at[0]?.station.index ?? 0] ?? 0
  const bare = (index: number): boolean => short[index] === true
  return {
    row,
    component,
    // The changeover before it is part of its work.
    releaseAtMs: Math.min(...at.map((one) => one.startAtMs - one.changeover.leastMs)),
    workMs: Math.min(
      ...at.map(({ station, changeover, serviceMs }) => {
        const setUpMs = changeover.leastMs + station.station.hookUpMs
        return setUpMs + (bare(station.index) ? 0 : serviceMs)
      })
    ),
    disconnectAtMs: Math.min(...at.map((one) => (bare(one.station.index) ? one.contactAtMs : one.disconnectAtMs)))
  }
}

/** By group: no order has it push earlier. */
function earliestPushes<State>(field: Field<State>, jobs: readonly Job<State>[]): Map<GroupRow, number> {
  const pushes = new Map<GroupRow, number>()
  for (const row of field.table.groups) {
    const { plannedAtMs, pushedAtMs, notBeforeMs = -Infinity, reformMs } = row.group
    let atMs = Math.max(plannedAtMs, notBeforeMs)
    for (const { slot } of row.rows)
      if (slot.fixed !== undefined) atMs = Math.max(atMs, slot.fixed.disconnectAtMs + reformMs)
    for (const job of jobs) if (job.row.group === row) atMs = Math.max(atMs, job.disconnectAtMs + reformMs)
    pushes.set(row, pushedAtMs ?? atMs)
  }
  return pushes
}

/**
 * Earliest pushes of flights that stay whole: their ships share the stations of one tanker, whichever is best for them.
 * A push that stands is not among them.
 */
function wholePushes<State>(
  field: Field<State>,
  surely: readonly Alone<State>[],
  short: readonly boolean[]
): Map<GroupRow, number> {
  const together = new Map<string, Alone<State>[]>()
  for (const one of surely) {
    const party = field.partyOf[one.row.index] ?? -1
    if (party < 0 || field.breaksInForce[party] !== 0 || one.row.group.group.pushedAtMs !== undefined) continue
    const key = JSON.stringify([party, one.row.group.group.id])
    together.set(key, [...(together.get(key) ?? []), one])
  }
  const pushes = new Map<GroupRow, number>()
  for (const all of together.values()) {
    const group = all[0]?.row.group
    const ends = field.table.tankers.flatMap((tanker) => {
      const here = all.map(({ row, at }) => ({ row, at: at.filter(({ station }) => station.tanker === tanker) }))
      if (here.some(({ at }) => at.length === 0)) return []
      const stations = new Set(here.flatMap(({ at }) => at.map(({ station }) => station))).size
      return [
        Math.max(
          ...endsOf(
            here.map((one) => jobOf(field, one, short)),
            stations
          )
        )
      ]
    })
    if (group === undefined || ends.length === 0) continue
    const atMs = Math.min(...ends) - NOISE_MS + group.group.reformMs
    pushes.set(group, Math.max(pushes.get(group) ?? atMs, atMs))
  }
  return pushes
}
