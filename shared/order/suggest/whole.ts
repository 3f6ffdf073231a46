import type { Judgement } from '../judgement.ts'
import type { Sequences } from '../times.ts'
import type { StationRow } from '../timetable.ts'
import type { Alone } from './alone.ts'
import { leastBy, type Least } from './bound.ts'
import { leastInBoxes, mostLate, type Box, type InBox } from './boxes.ts'
import { MOST_LOTS } from './columns.ts'
import type { Field } from './field.ts'
import { kindsOf } from './part.ts'
import type { Lot } from './tanker.ts'
import { flownWeight, Wholes, type Choice, type Given, type Whole } from './wholes.ts'

/*
 * The best order of flights that stay whole, tanker by tanker (wholes.ts). Where a push group has several flights, what it
 * truly comes to is sought in boxes.ts. What stations.ts leaves out is left out here too, so its best is a bound.
 */

interface Limits {
  /** At most so many ways are looked at. */
  readonly labels: number
  /** A good order to begin with. */
  readonly from?: Sequences | undefined
  readonly stop?: (() => boolean) | undefined
}

/**
 * As `stationByStation`, for flights that stay whole; undefined too where there is none, or where a ship left out might
 * make another later.
 * Checked: tests/shared/order/suggest/whole.test.ts and exact.test.ts, against every order of small cases (constructed).
 */
export function wholeFlights<State>(field: Field<State>, known: Judgement, limits: Limits): Whole<State> | undefined {
  const least = leastBy(field, known)
  if (least.alone.some(({ at }) => at.some(({ station }) => least.short[station.index] === true))) return undefined
  if (!field.table.stations.every(leavesNobodyLater)) return undefined
  const servable = least.alone.filter(({ at }) => at.length > 0)
  const must = servable.filter(({ row }) => row.slot.weight > least.mayLose)
  const lots = lotsOf(field, least, must)
  if (lots === undefined) return undefined
  const work = { count: 0, most: limits.labels, stop: limits.stop, stopped: false }
  const groups = lots.flatMap((lot) => lot.groups)
  const apart = new Set(groups).size === groups.length
  const all = apart && must.length === servable.length
  const given = { known, least, lots, must, servable: servable.length, all, work }
  const wholes = new Wholes(field, given)
  return apart || !wholes.settled ? wholes.run(limits.from) : withShared(field, given, wholes, limits.from)
}

/**
 * Groups that have several flights push when the last of these is over: what that comes to is found between less and less
 * late, then, as little late, between earlier and later.
 */
function withShared<State>(
  field: Field<State>,
  given: Given<State>,
  all: Wholes<State>,
  from: Sequences | undefined
): Whole<State> {
  const { known, work } = given
  const weights = field.table.groups.map((_, g) => all.weightOf(g))
  const ended = (): boolean => work.stopped || work.count > work.most
  const within = (most: number, mostLast: number, any?: true): ReturnType<typeof leastInBoxes<Choice<State>>> => {
    const root = { leastLate: all.startLate, mostLate: mostLate(all.startLate, weights, most), least: -Infinity }
    const at = (box: Box, mostHere: number): InBox<Choice<State>> =>
      new Wholes(field, given, { ...box, most: mostHere, mostLast }).inBox(from)
    return leastInBoxes(root, weights, { most, ended, at, ...(any && { any }) })
  }
  const late = within(known.lateness - all.apart - 1, Infinity)
  let choice = late.choice
  const closed = late.whole
  let [none, open] = [
    Math.max(all.flownLast, 0) - 1,
    choice === undefined ? known.lastDisconnect : all.lastOfAll(choice)
  ]
  while (closed && none + 1 < open && !ended()) {
    const middle = Math.floor((none + open) / 2)
    const here = within(late.least, middle, true)
    if (here.choice !== undefined) [choice, open] = [here.choice, all.lastOfAll(here.choice)]
    else if (here.whole) none = middle
    else break
  }
  const { lostWeight } = given.least
  const lateness = Math.min(known.lateness, late.least + all.apart)
  return {
    least: { lostWeight, shortage: all.shortage, lateness, lastDisconnect: none + 1, moved: 0 },
    free: choice && all.freeOf(choice),
    labels: work.count,
    complete: closed && none + 1 >= open && given.must.length === given.servable
  }
}

/** No changeover between two outweighs those of another between them. */
const leavesNobodyLater = ({ station }: StationRow): boolean =>
  station.changeoverMs === undefined && 2 * station.changeoverBetweenMs >= station.changeoverWithinFlightMs

function lotsOf<State>(
  field: Field<State>,
  least: Least<State>,
  must: readonly Alone<State>[]
): readonly Lot<State>[] | undefined {
  const { table, partyOf, breaksInForce } = field
  const together = new Map<number, Alone<State>[]>()
  for (const one of must) {
    const party = partyOf[one.row.index] ?? -1
    const key = party >= 0 && breaksInForce[party] === 0 ? party : -1 - one.row.index
    together.set(key, [...(together.get(key) ?? []), one])
  }
  if (together.size > MOST_LOTS || [...together.keys()].every((key) => key < 0)) return undefined
  const counted = new Set<number>()
  const lots: Lot<State>[] = []
  for (const here of together.values()) {
    const kinds = kindsOf(here, {
      stations: table.stations,
      groupOf: (row) => table.groups.indexOf(row.group),
      partyOf: () => 0,
      shortageOf: () => 0,
      must: () => true
    })
    if (kinds === undefined) return undefined
    const groups = [...new Set(kinds.map((kind) => kind.group))]
    const weights = groups.map((group) => {
      const flown = counted.has(group) ? 0 : flownWeight(least, table.groups[group])
      counted.add(group)
      return kinds.reduce((sum, kind) => (kind.group === group ? sum + kind.rows.length * kind.pushWeight : sum), flown)
    })
    lots.push({ flightId: here[0]?.row.slot.flightId ?? '', kinds, groups, weights })
  }
  return lots
}
