import { judgementOf } from '../../../../shared/order/answer.ts'
import { compareJudgements, type Judgement } from '../../../../shared/order/judgement.ts'
import { settle } from '../../../../shared/order/settle.ts'
import { timetableOf } from '../../../../shared/order/timetable.ts'
import { naive, naiveJudgement } from '../naive.ts'
import type { SmallCase } from './cases.ts'

/*
 * Every order that may be suggested, written only to disagree with the search: plain lists of ids, dealt out in every
 * way and thrown away when a rule is broken.
 */

type Turns = Record<string, readonly string[]>

/** All orders of a case that keep to the rules; what is gone is left out of the turns. */
export function everyOrder({ given, mayUse, maySpread }: SmallCase): Turns[] {
  const slotOf = new Map(given.ships.map(({ slot }) => [slot.id, slot]))
  const stationOf = (id: string): string | undefined =>
    Object.keys(given.turns).find((at) => given.turns[at]?.includes(id))
  const over = (id: string): boolean => slotOf.get(id)?.fixed?.done === true || slotOf.get(id)?.gone === true
  const held = (id: string): boolean =>
    !over(id) && (slotOf.get(id)?.fixed !== undefined || slotOf.get(id)?.pinned === true)
  const open = new Set(given.stations.filter((one) => one.takesNew).map((one) => one.id))
  const tankers = new Map(given.stations.map((one) => [one.id, one.tankerId]))
  const tankerOf = (at: string): string => tankers.get(at) ?? ''

  const taking = new Set(given.stations.filter((one) => one.takesNew).map((one) => one.tankerId))
  const parties = new Map([...slotOf].map(([id, { flightId, visitId }]) => [id, `${flightId}|${visitId}`]))
  const partyOf = (id: string): string => parties.get(id) ?? '|'
  const free = [...slotOf.keys()].filter((id) => !over(id) && !held(id))
  const stationsFor = once((id: string): string[] => {
    const own = stationOf(id)
    return [...new Set([...(mayUse.get(id) ?? []).filter((at) => open.has(at)), ...(own === undefined ? [] : [own])])]
  })
  /** One tanker takes all of a flight's free slots of a visit. */
  const oneTanker = once((party: string): boolean => {
    const rows = free.filter((id) => partyOf(id) === party && stationsFor(id).some((at) => open.has(at)))
    const takes = (tanker: string, id: string): boolean =>
      stationsFor(id).some((at) => open.has(at) && tankerOf(at) === tanker)
    return rows.length === 0 || given.tankers.some(({ id: tanker }) => rows.every((id) => takes(tanker, id)))
  })

  /** Of each flight and visit: how often it is broken up. */
  const broken = (turns: Turns): Map<string, number> => {
    const found = new Map<string, number>()
    const tankersOf = new Map<string, Set<string>>()
    for (const [at, inTurn] of Object.entries(turns)) {
      if (!taking.has(tankerOf(at))) continue
      const inParties = inTurn.map(partyOf)
      const runs = inParties.filter((party, i) => party !== inParties[i - 1])
      for (const party of new Set(runs)) {
        found.set(party, (found.get(party) ?? 0) + runs.filter((run) => run === party).length - 1)
        tankersOf.set(party, (tankersOf.get(party) ?? new Set()).add(tankerOf(at)))
      }
    }
    for (const [party, at] of tankersOf) found.set(party, (found.get(party) ?? 0) + at.size - 1)
    return found
  }

  const flownFirst = Object.fromEntries(
    Object.entries(given.turns).map(([at, inTurn]) => {
      const here = inTurn.filter((id) => slotOf.get(id)?.gone !== true || slotOf.get(id)?.fixed !== undefined)
      return [at, [...here.filter((id) => over(id)), ...here.filter((id) => !over(id))]]
    })
  )
  const before = broken(flownFirst)
  const turnsOf = (turns: Turns): Map<string, string> => {
    const places = new Map<string, string>()
    for (const [at, inTurn] of Object.entries(turns))
      inTurn.filter((id) => !over(id)).forEach((id, i) => places.set(id, `${at} ${String(i)}`))
    return places
  }
  const placesBefore = turnsOf(given.turns)
  const heldInPlace = [...slotOf.keys()].filter((id) => held(id) && placesBefore.has(id))
  const fits = (turns: Turns): boolean => {
    const places = heldInPlace.length === 0 ? placesBefore : turnsOf(turns)
    if (heldInPlace.some((id) => places.get(id) !== placesBefore.get(id))) return false
    return [...broken(turns)].every(
      ([party, count]) =>
        maySpread.has(party.split('|')[0] ?? '') || !oneTanker(party) || count <= (before.get(party) ?? 0)
    )
  }

  const stays = Object.fromEntries(
    Object.entries(flownFirst).map(([at, inTurn]) => [at, inTurn.filter((id) => !free.includes(id))])
  )
  // The order in force may stand as it is, whatever it leaves out.
  const orders: Turns[] = [given.turns]
  const dealOut = (turns: Turns, left: readonly string[]): void => {
    const [id, ...rest] = left
    if (id === undefined) {
      if (fits(turns)) orders.push(turns)
      return
    }
    const may = stationsFor(id)
    if (may.length === 0) dealOut(turns, rest)
    for (const at of may) {
      const inTurn = turns[at] ?? []
      const flown = inTurn.filter((one) => over(one)).length
      for (let place = flown; place <= inTurn.length; place++)
        dealOut({ ...turns, [at]: inTurn.toSpliced(place, 0, id) }, rest)
    }
  }
  dealOut(stays, free)
  return orders
}

/** The same answer for the same name, worked out once: some orders are asked a thousand times. */
function once<Answer>(of: (name: string) => Answer): (name: string) => Answer {
  const known = new Map<string, Answer>()
  return (name) => {
    const answer = known.get(name) ?? of(name)
    known.set(name, answer)
    return answer
  }
}

const bests = new WeakMap<SmallCase, Judgement>()

/** The best judgement of all orders of a case, by the judge; worked out once. */
export function bestOfCase(one: SmallCase): Judgement {
  const best = bests.get(one) ?? bestOf(one, everyOrder(one))
  bests.set(one, best)
  return best
}

/** The best judgement of all orders, by the judge. */
export function bestOf(one: SmallCase, orders: readonly Turns[]): Judgement {
  const { input } = one
  const table = timetableOf(input)
  const rowOf = new Map(table.rows.map((row) => [row.slot.id, row]))
  let best: Judgement | undefined
  for (const order of orders) {
    const turns = table.stations.map(({ station }) => (order[station.id] ?? []).flatMap((id) => rowOf.get(id) ?? []))
    settle(table, turns)
    const judgement = judgementOf(table, turns)
    if (best === undefined || compareJudgements(judgement, best) < 0) best = judgement
  }
  if (best === undefined) throw new RangeError('there is no order')
  return best
}

/** The best of the first four levels, by the judge that was written another way; slots moved are not its matter. */
export function bestNaively(one: SmallCase, orders: readonly Turns[]): Judgement {
  let best: Judgement | undefined
  for (const turns of orders) {
    const given = { ...one.given, turns }
    const answer = naive(given)
    if (answer === undefined) throw new RangeError('the naive judge comes to no rest')
    const judgement = naiveJudgement(given, answer)
    if (best === undefined || compareJudgements(judgement, best) < 0) best = judgement
  }
  if (best === undefined) throw new RangeError('there is no order')
  return best
}
