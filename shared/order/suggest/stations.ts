import { onPiece, pieceAt } from '../curves.ts'
import { compareJudgements, stepsOfMs, type Judgement } from '../judgement.ts'
import { changeoverMs, readyOf, type GroupRow, type SlotRow, type StationRow } from '../timetable.ts'
import type { OnStation } from '../times.ts'
import { leastWeight, type AtStation } from './alone.ts'
import { componentsOf, flownShortage, leastBy, leastShortage } from './bound.ts'
import type { Field } from './field.ts'
import { Remainders, type Asked } from './rest.ts'

/*
 * The best order, station after station: first all that may be served on the first one in any turn, from each of those
 * all on the second, and so on. Of two ways to serve the same ships the one that is nowhere earlier is forgotten.
 *
 * What this leaves out makes orders only better: a ship may be lost wherever it would stand; every ship is as little short
 * as it can be whenever it comes; pinned ones keep their station but not their turn; later visits whose ready instant
 * hangs on the order are not there. So its best is a bound, and an order that the judge finds as good is the best.
 */

export interface Relaxed<State> {
  /** The four levels before slots moved, compared from the left: no order is better than this. */
  readonly least: Judgement
  /** A better one: free slots in turn, by station index; whoever is lost or was left out is in none. */
  readonly free: readonly (readonly SlotRow<State>[])[] | undefined
  readonly labels: number
}

/** Below any step, above the noise of sums. */
const NOISE_MS = 1e-3
/** Ships are a set in a whole number, parties two more. */
const MOST_SHIPS = 24
const MOST_PARTIES = 12
/** Sets looked at for what is left, for each label there may be. */
const WORK_A_LABEL = 4

interface Ship<State> {
  readonly row: SlotRow<State>
  readonly bit: number
  readonly at: readonly (AtStation | undefined)[]
  readonly group: number
  /** Of its party that must stay whole; −1 none. */
  readonly party: number
  readonly shortage: number
  /** A ship like it in all, that is served before it. */
  readonly twinBit: number
  /** Its last station, as they are gone through. */
  readonly lastPlace: number
}

/** One way to serve a set of ships. */
interface Label {
  readonly ships: number
  /** Parties left on this station before all of theirs were served; and begun on an earlier tanker. */
  readonly left: number
  readonly away: number
  readonly party: number
  readonly freeAtMs: number
  readonly on: OnStation | undefined
  /** Steps each group is late. */
  readonly late: readonly number[]
  readonly last: number
  readonly ship: number
  readonly station: number
  readonly from: Label | undefined
  dead: boolean
}

export interface Limits {
  /** At most so many ways are looked at. */
  readonly labels: number
  readonly stop?: (() => boolean) | undefined
}

/**
 * The best order when what is said above is left out, or `known` where none is better; undefined where that may forbid what an
 * order can do (a tanker may run short), where there are too many ships, or the labels end.
 */
export function stationByStation<State>(
  field: Field<State>,
  known: Judgement,
  limits: Limits
): Relaxed<State> | undefined {
  const least = leastBy(field, known)
  const { table } = field
  const jobs = least.alone.filter((one) => one.at.length > 0)
  if (jobs.length > MOST_SHIPS || jobs.some(({ at }) => at.some(({ station }) => least.short[station.index] === true)))
    return undefined
  const groupOf = new Map(table.groups.map((row, index) => [row, index]))
  const wholes = [...new Set(jobs.map(({ row }) => field.partyOf[row.index] ?? -1))].filter(
    (party) => party >= 0 && field.breaksInForce[party] === 0
  )
  // Tanker after tanker, so that what a flight began on an earlier one is over.
  const inOrder = table.stations.toSorted((a, b) => tankerAt(field, a.index) - tankerAt(field, b.index))
  const ships: Ship<State>[] = []
  for (const one of jobs) {
    const at = table.stations.map(({ index }) => one.at.find(({ station }) => station.index === index))
    const party = wholes.length > MOST_PARTIES ? -1 : wholes.indexOf(field.partyOf[one.row.index] ?? -1)
    const twin = ships.findLast((other) => alike(other, one.row, at))
    ships.push({
      row: one.row,
      bit: 1 << ships.length,
      at,
      group: groupOf.get(one.row.group) ?? 0,
      party,
      shortage: leastShortage(one, least.pushes),
      twinBit: twin?.bit ?? 0,
      lastPlace: inOrder.findLastIndex(({ index }) => at[index] !== undefined)
    })
  }
  const partyShips = wholes.map((_, party) =>
    ships.reduce((set, ship) => (ship.party === party ? set | ship.bit : set), 0)
  )
  const must = ships.reduce((set, ship) => (ship.row.slot.weight > least.mayLose ? set | ship.bit : set), 0)
  const stepsLate = (row: GroupRow, pushAtMs: number): number =>
    Math.max(0, stepsOfMs((row.group.pushedAtMs ?? pushAtMs) - row.group.plannedAtMs))
  const flown = flownShortage(least)
  const fixedWeight = table.groups.map((group) =>
    least.served.reduce((sum, row) => (row.group === group ? sum + leastWeight(row) : sum), 0)
  )
  const fixedEnds = least.served.map(({ slot }) => slot.fixed?.disconnectAtMs ?? -Infinity)

  /** Lost weight, shortage, lateness, last disconnect of a way in which these ships and no others are served. */
  const worth = ({ late, last }: Label, set: number): Judgement => {
    let [lostWeight, shortage] = [least.lostWeight, flown]
    const weights = [...fixedWeight]
    for (const ship of ships) {
      if ((set & ship.bit) === 0) lostWeight += ship.row.slot.weight
      else {
        shortage += ship.shortage
        weights[ship.group] = (weights[ship.group] ?? 0) + leastWeight(ship.row)
      }
    }
    const lateness = late.reduce((sum, steps, group) => sum + steps * (weights[group] ?? 0), 0)
    return { lostWeight, shortage, lateness, lastDisconnect: last === -Infinity ? 0 : last, moved: 0 }
  }
  const mustShips = ships.filter((ship) => (must & ship.bit) !== 0)
  const mustShortage = mustShips.reduce((sum, ship) => sum + ship.shortage, flown)
  const mustWeights = fixedWeight.map((fixed, group) =>
    mustShips.reduce((sum, ship) => (ship.group === group ? sum + leastWeight(ship.row) : sum), fixed)
  )
  /** Weight of a group when all its ships are served. */
  const wholeWeights = fixedWeight.map((fixed, group) =>
    ships.reduce((sum, ship) => (ship.group === group ? sum + leastWeight(ship.row) : sum), fixed)
  )
  const groupShips = table.groups.map((_, group) =>
    ships.reduce((set, ship) => (ship.group === group ? set | ship.bit : set), 0)
  )
  const components = componentsOf(field)
  const componentIds = [...new Set(components)]
  /** What a ship asks for at the station where that is least. */
  const asked = mustShips.map(({ row, at, bit, group, party }): Asked => {
    const here = at.filter((one) => one !== undefined)
    return {
      bit,
      group,
      party: wholes.length > MOST_PARTIES ? wholes.indexOf(field.partyOf[row.index] ?? -1) : party,
      component: componentIds.indexOf(components[here[0]?.station.index ?? -1] ?? -1),
      releaseAtMs: Math.min(...here.map((one) => one.startAtMs - one.changeover.leastMs)),
      workMs: Math.min(...here.map((one) => one.changeover.leastMs + one.station.station.hookUpMs + one.serviceMs)),
      disconnectAtMs: Math.min(...here.map((one) => one.disconnectAtMs))
    }
  })
  /** Between flights a changeover takes so much longer, wherever; 0 where that is not so at all stations. */
  const moreMs = Math.max(
    0,
    Math.min(
      ...inOrder.map(({ station }) =>
        station.changeoverMs === undefined ? station.changeoverBetweenMs - station.changeoverWithinFlightMs : 0
      )
    )
  )
  const partyAt = (row: SlotRow<State>): number => field.partyOf[row.index] ?? -1
  const lastFlights = new Set(least.stations.map(({ last }) => last?.flightId))
  /** By place: where the first changeover of a station could begin. */
  const beginMs = inOrder.map((station) => {
    const changeMs = Math.max(0, ...ships.map(({ at }) => at[station.index]?.changeover.leastMs ?? 0))
    const { freeAtMs, last } = least.stations[station.index] ?? { freeAtMs: -Infinity, last: undefined }
    // On a station where nobody was yet the first one has no changeover, also none between flights.
    const fromMs = last === undefined ? freeAtMs - changeMs - moreMs : freeAtMs
    const earlyMs = changeMs + moreMs
    return Math.max(fromMs, station.station.opensAtMs - earlyMs, table.nowMs - earlyMs)
  })
  const start: Label = {
    ships: 0,
    left: 0,
    away: 0,
    party: -1,
    freeAtMs: 0,
    on: undefined,
    late: table.groups.map((row) => stepsLate(row, (least.pushes.get(row) ?? 0) - NOISE_MS)),
    last: fixedEnds.length === 0 ? -Infinity : stepsOfMs(Math.max(...fixedEnds)),
    ship: -1,
    station: -1,
    from: undefined,
    dead: false
  }
  const remainders = new Remainders({
    ships: asked,
    places: inOrder.map(({ index }, place) => ({
      tanker: tankerAt(field, index),
      component: componentIds.indexOf(components[index] ?? -1),
      beginMs: beginMs[place] ?? -Infinity
    })),
    moreMs: wholes.map((party) => {
      const flightIds = new Set(ships.flatMap(({ row }) => (partyAt(row) === party ? [row.slot.flightId] : [])))
      const whole = ships.every(
        (ship) => !flightIds.has(ship.row.slot.flightId) || (partyAt(ship.row) === party && mustShips.includes(ship))
      )
      return whole && ![...flightIds].some((id) => lastFlights.has(id)) ? moreMs : 0
    }),
    lateAt: (group, overAtMs) => {
      const row = table.groups[group]
      const steps = row === undefined ? 0 : stepsLate(row, overAtMs + row.group.reformMs - NOISE_MS)
      return Math.max(start.late[group] ?? 0, steps)
    },
    weights: mustWeights,
    mostLateness: known.lateness,
    mostWork: WORK_A_LABEL * limits.labels
  })
  let labels = 0
  let tried = 0
  let stopped = false as boolean
  /**
   * No way from here is better than the known order: ships at the places up to this one are served or lost, `freeAtMs`
   * is when the next place is free.
   */
  const hopeless = (label: Label, place: number, freeAtMs?: number): boolean => {
    if (++tried % 256 === 0 && limits.stop?.() === true) stopped = true
    let gone = 0
    for (const ship of ships) {
      if ((label.ships & ship.bit) !== 0 || ship.lastPlace > place) continue
      if ((must & ship.bit) !== 0) return true
      gone += ship.row.slot.weight
    }
    if (gone > least.mayLose) return true
    // As if those that no order loses were the only ones served.
    const lostWeight = least.lostWeight + gone
    const before = lostWeight - known.lostWeight || mustShortage - known.shortage
    if (before !== 0) return before > 0
    let lateness = 0
    for (let group = 0; group < mustWeights.length; group++)
      lateness += (label.late[group] ?? 0) * (mustWeights[group] ?? 0)
    if (lateness > known.lateness || (lateness === known.lateness && label.last >= known.lastDisconnect)) return true
    const rest = remainders.of(label.ships, place + 1, freeAtMs)
    const restLast = rest.lastMs === -Infinity ? -Infinity : stepsOfMs(rest.lastMs - NOISE_MS)
    let over = 0
    for (let group = 0; group < mustWeights.length; group++)
      if (group > 30 || (rest.groups & (1 << group)) === 0) over += (label.late[group] ?? 0) * (mustWeights[group] ?? 0)
    const surely = Math.max(lateness, over + rest.lateness)
    return (
      surely > known.lateness || (surely === known.lateness && Math.max(label.last, restLast) >= known.lastDisconnect)
    )
  }

  let ended: Label[] = [start]
  let tanker = -1
  for (const [place, station] of inOrder.entries()) {
    const { index } = station
    const { hookUpMs, closesAtMs } = station.station
    const before = least.stations[index]
    if (before === undefined || !ships.some((ship) => ship.at[index] !== undefined)) continue
    const newTanker = tanker !== tankerAt(field, index)
    tanker = tankerAt(field, index)
    const partial = (set: number): number =>
      partyShips.reduce(
        (bits, party, i) => ((set & party) !== 0 && (set & party) !== party ? bits | (1 << i) : bits),
        0
      )
    const handicapMs = handicapOn(
      station,
      ships.map((ship) => ship.row)
    )
    const store = new Map<number, Label[]>()
    const byCount: Label[][] = Array.from({ length: ships.length + 1 }, () => [])
    const put = (label: Label): void => {
      if (++labels % 1024 === 0 && limits.stop?.() === true) stopped = true
      const key = label.ships + (label.left + label.away * 2 ** MOST_PARTIES) * 2 ** MOST_SHIPS
      const rivals = store.get(key) ?? []
      const covers = (a: Label, b: Label): boolean => {
        if (a.freeAtMs + handicapMs(a.on, b.on) > b.freeAtMs) return false
        if (
          a.party !== b.party &&
          partyShips[a.party] !== undefined &&
          (label.ships & (partyShips[a.party] ?? 0)) !== partyShips[a.party]
        )
          return false
        // How much more lateness the first may come to with the same ships behind it: of groups that are over as it
        // is, of others at most.
        let more = 0
        if (a.late !== b.late)
          for (let group = 0; group < a.late.length; group++) {
            const steps = (a.late[group] ?? 0) - (b.late[group] ?? 0)
            const whole = groupShips[group] ?? 0
            if (steps > 0 || (label.ships & whole) === whole) more += steps * (wholeWeights[group] ?? 0)
          }
        return more < 0 || (more === 0 && a.last <= b.last)
      }
      for (const rival of rivals) if (!rival.dead && covers(rival, label)) return
      let alive = 0
      for (const rival of rivals) {
        if (!rival.dead && covers(label, rival)) rival.dead = true
        if (!rival.dead) rivals[alive++] = rival
      }
      rivals.length = alive
      rivals.push(label)
      store.set(key, rivals)
      byCount[bits(label.ships)]?.push(label)
    }
    for (const label of ended) {
      const away = newTanker ? label.away | partial(label.ships) : label.away
      put({ ...label, left: 0, away, party: -1, freeAtMs: before.freeAtMs, on: before.last, dead: false })
    }
    const over: Label[] = []
    for (const count of byCount) {
      // Nothing is put among those of the same count while they are gone through.
      for (const label of count) {
        if (label.dead) continue
        if (labels > limits.labels || stopped) return undefined
        over.push(label)
        for (const [i, ship] of ships.entries()) {
          const at = ship.at[index]
          if (at === undefined || (label.ships & ship.bit) !== 0) continue
          if (ship.twinBit !== 0 && (label.ships & ship.twinBit) === 0) continue
          if (ship.party >= 0 && (((label.left | label.away) >> ship.party) & 1) === 1) continue
          const { slot } = ship.row
          const changeMs = changeoverMs(station.station, label.on, slot)
          const ready = readyOf(ship.row, station)
          const contactAtMs = Math.max(at.startAtMs, label.freeAtMs + changeMs) + hookUpMs
          const latestMs = slot.serveAnyway ? Infinity : (at.curve.latestContactAtMs ?? Infinity)
          if (contactAtMs > latestMs || contactAtMs >= closesAtMs) continue
          const piece = pieceAt(at.curve, contactAtMs)
          let overAtMs = onPiece(at.curve, at.curve.disconnectAtMs, piece, contactAtMs)
          if (piece < 0 || overAtMs > closesAtMs)
            overAtMs = slot.serve(station.station, ready, contactAtMs).disconnectAtMs
          const group = ship.row.group
          const steps = stepsLate(group, overAtMs + group.group.reformMs)
          const late =
            steps <= (label.late[ship.group] ?? 0)
              ? label.late
              : label.late.map((had, g) => (g === ship.group ? steps : had))
          const set = label.ships | ship.bit
          const leaves = label.party >= 0 && label.party !== ship.party
          const unfinished = leaves && (set & (partyShips[label.party] ?? 0)) !== partyShips[label.party]
          const next: Label = {
            ships: set,
            left: unfinished ? label.left | (1 << label.party) : label.left,
            away: label.away,
            party: ship.party,
            freeAtMs: overAtMs,
            on: slot,
            late,
            last: Math.max(label.last, stepsOfMs(overAtMs)),
            ship: i,
            station: index,
            from: label,
            dead: false
          }
          if (!hopeless(next, place - 1, overAtMs)) put(next)
        }
      }
    }
    ended = over.filter((label) => !label.dead && !hopeless(label, place))
  }
  let best: { label: Label; judgement: Judgement } | undefined
  for (const label of ended) {
    const judgement = worth(label, label.ships)
    if (best === undefined || compareFour(judgement, best.judgement) < 0) best = { label, judgement }
  }
  if (best === undefined) return { least: { ...known, moved: 0 }, free: undefined, labels }
  const free: SlotRow<State>[][] = table.stations.map(() => [])
  for (let at: Label = best.label; at.from !== undefined; at = at.from) {
    const row = ships[at.ship]?.row
    if (row !== undefined && !row.slot.pinned) free[at.station]?.unshift(row)
  }
  return { least: best.judgement, free, labels }
}

/** How much earlier one who was last on a station must be off it to be as good as another, whatever comes next, ms. */
function handicapOn(
  { station }: StationRow,
  rows: readonly SlotRow<unknown>[]
): (a: OnStation | undefined, b: OnStation | undefined) => number {
  const { changeoverMs: any, changeoverWithinFlightMs: withinMs, changeoverBetweenMs: betweenMs } = station
  if (any === undefined)
    return (a, b) => {
      if (a === undefined || a.flightId === b?.flightId) return 0
      return b === undefined ? Math.max(withinMs, betweenMs) : Math.abs(betweenMs - withinMs)
    }
  const known = new Map<OnStation | undefined, Map<OnStation | undefined, number>>()
  return (a, b) => {
    if (a === b) return 0
    const from = known.get(a) ?? new Map<OnStation | undefined, number>()
    known.set(a, from)
    const made = from.get(b) ?? Math.max(0, ...rows.map(({ slot }) => any(a, slot) - any(b, slot)))
    from.set(b, made)
    return made
  }
}

const tankerAt = <State>(field: Field<State>, station: number): number => field.tankerOf[station] ?? -1

function bits(set: number): number {
  let count = 0
  for (let left = set; left !== 0; left &= left - 1) count++
  return count
}

/** Below zero when the first four levels of a are the better ones. */
const compareFour = (a: Judgement, b: Judgement): number => compareJudgements({ ...a, moved: 0 }, { ...b, moved: 0 })

/** Nothing tells the two apart but their names. */
function alike<State>(a: Ship<State>, row: SlotRow<State>, at: readonly (AtStation | undefined)[]): boolean {
  const [one, other] = [a.row.slot, row.slot]
  // Any changeovers may tell the two apart by their names.
  if (at.some((its) => its?.station.station.changeoverMs !== undefined)) return false
  if (one.pinned || other.pinned || one.flightId !== other.flightId || one.visitId !== other.visitId) return false
  if (one.weight !== other.weight || a.row.group !== row.group || one.serveAnyway !== other.serveAnyway) return false
  if (a.row.next.length > 0 || row.next.length > 0) return false
  if (one.requiredAtPushKg !== other.requiredAtPushKg || one.waitBurnKgPerS !== other.waitBurnKgPerS) return false
  return at.every((mine, station) => {
    const its = a.at[station]
    if (mine === undefined || its === undefined) return mine === its
    return (
      mine.startAtMs === its.startAtMs &&
      readyOf(a.row, mine.station).atMs === readyOf(row, its.station).atMs &&
      mine.curve.latestContactAtMs === its.curve.latestContactAtMs &&
      same(mine.curve.contactAtMs, its.curve.contactAtMs) &&
      same(mine.curve.disconnectAtMs, its.curve.disconnectAtMs) &&
      same(mine.curve.fuelAtDisconnectKg, its.curve.fuelAtDisconnectKg)
    )
  })
}

const same = (a: readonly number[], b: readonly number[]): boolean =>
  a === b || (a.length === b.length && a.every((value, i) => value === b[i]))
