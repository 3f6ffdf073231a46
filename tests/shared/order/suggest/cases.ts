import { judge, type OrderIn, type StationIn } from '../../../../shared/order/times.ts'
import { chance } from '../chance.ts'
import { MINUTE_MS, station, type OneTank, type OneTankShip } from '../make.ts'
import type { NaiveCase, NaiveShip } from '../naive.ts'
import { anyChangeovers, inputOf } from '../random.ts'

/*
 * Small orders in which one thing each goes wrong or is special: constructed, the same for the same seed.
 */

export const KINDS = [
  'plain',
  'second visit',
  'window',
  'failed station',
  'binding give',
  'whole flights',
  'boom and probe',
  'pinned and in contact',
  'top-off',
  'excluding stations',
  'other tanker',
  'not before',
  'any changeovers'
] as const
export type Kind = (typeof KINDS)[number]

export interface SmallCase {
  readonly kind: Kind
  readonly given: NaiveCase
  readonly input: OrderIn<OneTank>
  readonly mayUse: ReadonlyMap<string, readonly string[]>
  readonly maySpread: ReadonlySet<string>
}

/** At most this many slots are free to go somewhere; of those with so many, each fourth is taken: they take the most time. */
const MOST_FREE = 5
const TAKE_EACH = 4

function smallCase(kind: Kind, seed: number): SmallCase {
  const { number, whole, yes, shuffled } = chance(seed * 64 + KINDS.indexOf(kind))
  const two = kind === 'boom and probe' || kind === 'whole flights' || kind === 'other tanker' || yes(0.4)
  const nowMs = kind === 'pinned and in contact' ? 10 * MINUTE_MS : undefined
  const tankers = (two ? ['tanker-0', 'tanker-1'] : ['tanker-0']).map((id) => ({
    id,
    leavesAtMs: number(30, 90) * MINUTE_MS,
    baseKg: kind === 'binding give' ? number(2_500, 4_500) : 1e9,
    burnKgPerMs: number(0.5, 2) / 1000
  }))
  const counts = two
    ? [1, kind === 'whole flights' ? 2 : whole(1, 2)]
    : [kind === 'window' || kind === 'excluding stations' ? 2 : whole(1, 2)]
  const stations = tankers.flatMap(({ id }, t) =>
    Array.from({ length: kind === 'failed station' && !two ? 2 : (counts[t] ?? 1) }, (_, k) =>
      station(`${id}/${String(k)}`, {
        tankerId: id,
        opensAtMs: number(0, 6) * MINUTE_MS,
        closesAtMs: kind === 'window' && t + k === 0 ? number(12, 22) * MINUTE_MS : Infinity,
        hookUpMs: number(0.5, 2) * MINUTE_MS,
        changeoverWithinFlightMs: 0.5 * MINUTE_MS,
        changeoverBetweenMs: number(1, 3) * MINUTE_MS,
        takesNew: !(kind === 'failed station' && t + k === 0),
        freeAtMs: -Infinity,
        lastFlightId: yes(0.3) ? 'flight-0' : undefined
      })
    )
  )
  if (kind === 'excluding stations') {
    const [one, other] = stations
    if (one !== undefined && other !== undefined)
      stations[0] = { ...one, excludes: [other.id], methodChangeMs: number(0, 3) * MINUTE_MS }
  }
  if (kind === 'any changeovers')
    stations.forEach((one, k) => (stations[k] = { ...one, changeoverMs: anyChangeovers(seed * 8 + k) }))
  const twice = kind === 'second visit' || kind === 'top-off'
  const groups = ['group-0', 'group-1'].map((id) => ({
    id,
    plannedAtMs: number(8, 26) * MINUTE_MS,
    reformMs: number(0, 3) * MINUTE_MS
  }))
  groups.push({ id: 'group-late', plannedAtMs: number(45, 60) * MINUTE_MS, reformMs: 0 })
  const flying = twice ? whole(2, 3) : whole(3, MOST_FREE)
  const ships = Array.from({ length: flying }, (_, i): NaiveShip => {
    const flight = whole(0, 1)
    const ship: OneTankShip = {
      readyAtMs: number(0, 12) * MINUTE_MS,
      fuelKg: number(1300, 2600),
      burnKgPerS: number(0.4, 1.1),
      rateKgPerS: number(6, 20),
      targetKg: number(2400, 4500),
      capacityKg: yes(0.3) ? number(2500, 4000) : Infinity,
      abortKg: yes(0.85) ? number(700, 1500) : undefined,
      legMs: (kind === 'top-off' ? 0 : number(5, 20)) * MINUTE_MS,
      legKg: kind === 'top-off' ? 0 : number(100, 900),
      ...(kind === 'other tanker' ? { wayMs: waysFrom(stations, whole(0, 1), number(1, 6) * MINUTE_MS) } : {})
    }
    return {
      ship,
      slot: {
        id: `ship-${String(i)}`,
        shipId: `ship-${String(i)}`,
        flightId: `flight-${String(flight)}`,
        visitId: `flight-${String(flight)} first`,
        pushGroupId: `group-${String(flight)}`,
        weight: 2 ** whole(0, 4),
        pinned: false,
        serveAnyway: yes(0.1),
        afterSlotId: undefined,
        fixed: undefined,
        gone: yes(0.04),
        requiredAtPushKg: 500 * whole(2, 8),
        waitBurnKgPerS: ship.burnKgPerS,
        ...(kind === 'not before' && yes(0.5) ? { notBeforeMs: number(4, 20) * MINUTE_MS } : {})
      }
    }
  })
  const seconds = (twice ? ships.slice(0, 2) : []).map(({ ship, slot: first }): NaiveShip => {
    const rest = { ...first, id: `${first.id} again`, afterSlotId: first.id, gone: false }
    if (kind === 'top-off') return { ship: { ...ship, targetKg: ship.targetKg + 300 }, slot: rest }
    return { ship, slot: { ...rest, visitId: `${first.flightId} second`, pushGroupId: 'group-late' } }
  })
  const methods = stations.map((one) => (one.tankerId === 'tanker-0' ? 0 : 1))
  const mayUse = new Map(
    [...ships, ...seconds].map(({ slot: { id } }, i) => {
      const here = stations.filter((_, k) => kind !== 'boom and probe' || methods[k] === i % 2)
      return [id, here.map((one) => one.id)] as const
    })
  )

  const turns: Record<string, string[]> = Object.fromEntries(stations.map(({ id }) => [id, []]))
  const flightAt = [whole(0, 9), whole(0, 9)]
  for (const { slot } of [...shuffled(ships), ...shuffled(seconds)]) {
    if (yes(0.05)) continue
    const may = mayUse.get(slot.id) ?? []
    // Whole flights begin whole: each on one station.
    const of = kind === 'whole flights' ? (flightAt[slot.flightId === 'flight-0' ? 0 : 1] ?? 0) : whole(0, 9)
    turns[may[of % may.length] ?? '']?.push(slot.id)
  }
  if (kind === 'whole flights') for (const inTurn of Object.values(turns)) inTurn.sort(byFlight(ships))
  const all = [...ships, ...seconds]
  const given: NaiveCase = { ships: all, stations, tankers, groups, turns, nowMs }
  const held = kind === 'pinned and in contact' ? holding(given, yes(0.5)) : given
  const maySpread = kind === 'whole flights' || yes(0.2) ? new Set<string>() : new Set(['flight-0', 'flight-1'])
  return { kind, given: held, input: inputOf(held, new Map(Object.entries(held.turns))), mayUse, maySpread }
}

/** The ship waits at one tanker: the way to every station of the other. */
const waysFrom = (stations: readonly StationIn[], own: number, ms: number): Record<string, number> =>
  Object.fromEntries(stations.map(({ id, tankerId }) => [id, tankerId === `tanker-${String(own)}` ? 0 : ms]))

/** The thing a kind is named for is really there; a give that is short shows in the order in force. */
const CONTAINS: Record<Kind, (one: SmallCase) => boolean> = {
  plain: () => true,
  'second visit': ({ given }) => again(given).some(([first, next]) => first.visitId !== next.visitId),
  'top-off': ({ given }) => again(given).some(([first, next]) => first.visitId === next.visitId),
  window: ({ given }) => given.stations.some((one) => one.closesAtMs < Infinity),
  'failed station': ({ given }) =>
    given.stations.some((one) => !one.takesNew && (given.turns[one.id] ?? []).length > 0),
  'binding give': ({ input }) => judge(input).ledger.some((row) => row.dryAtSlotId !== undefined),
  'whole flights': ({ given, maySpread }) =>
    maySpread.size === 0 && new Set(given.ships.map(({ slot }) => slot.flightId)).size < given.ships.length,
  'excluding stations': ({ given }) =>
    given.stations.some((one) => one.excludes?.some((id) => given.stations.some((other) => other.id === id))),
  'other tanker': ({ given }) =>
    given.ships.some(({ ship, slot }) =>
      Object.entries(given.turns).some(([at, inTurn]) => inTurn.includes(slot.id) && (ship.wayMs?.[at] ?? 0) > 0)
    ),
  'any changeovers': ({ given }) => given.stations.every((one) => one.changeoverMs !== undefined),
  'not before': ({ given }) => given.ships.some(({ slot }) => slot.notBeforeMs !== undefined),
  'boom and probe': ({ mayUse }) => new Set([...mayUse.values()].map((all) => JSON.stringify(all))).size === 2,
  'pinned and in contact': ({ given }) =>
    given.ships.some(({ slot }) => slot.pinned) && given.ships.some(({ slot }) => slot.fixed?.done === false)
}

function again(given: NaiveCase): (readonly [NaiveShip['slot'], NaiveShip['slot']])[] {
  const slots = given.ships.map(({ slot }) => slot)
  return slots.flatMap((next) =>
    slots.filter((first) => first.id === next.afterSlotId).map((first) => [first, next] as const)
  )
}

const made = new Map<string, readonly { seed: number; one: SmallCase }[]>()

/** So many cases of a kind, by rising seed. */
export function smallCases(kind: Kind, count: number): readonly { seed: number; one: SmallCase }[] {
  const known = made.get(`${kind} ${String(count)}`)
  if (known !== undefined) return known
  const found: { seed: number; one: SmallCase }[] = []
  made.set(`${kind} ${String(count)}`, found)
  for (let seed = 1; found.length < count && seed < 16 * count; seed++) {
    const one = smallCase(kind, seed)
    if (one.given.ships.length >= MOST_FREE && seed % TAKE_EACH !== 0) continue
    if (CONTAINS[kind](one)) found.push({ seed, one })
  }
  return found
}

const byFlight =
  (ships: readonly NaiveShip[]) =>
  (a: string, b: string): number => {
    const of = (id: string): string => ships.find(({ slot }) => slot.id === id)?.slot.flightId ?? ''
    return of(a) < of(b) ? -1 : of(a) > of(b) ? 1 : 0
  }

/** Three flights of two on two stations, each flight to stay whole; nobody asks for fuel, so that only times count. */
export function pairsCase(seed: number): SmallCase {
  const { number, whole } = chance(seed)
  const stations = ['left', 'right'].map((id) =>
    station(id, {
      hookUpMs: number(0.5, 2) * MINUTE_MS,
      changeoverWithinFlightMs: 0.5 * MINUTE_MS,
      changeoverBetweenMs: number(1, 5) * MINUTE_MS,
      opensAtMs: number(0, 6) * MINUTE_MS
    })
  )
  const flights = ['a', 'b', 'c']
  const ships = [0, 1, 2, 3, 4, 5].map((i): NaiveShip => {
    const flightId = flights[i >> 1] ?? ''
    const id = `ship-${String(i)}`
    const ship = { readyAtMs: number(0, 14) * MINUTE_MS, fuelKg: number(1300, 2600), burnKgPerS: number(0.4, 1.1) }
    const rest = { rateKgPerS: number(6, 20), targetKg: number(2400, 4500), capacityKg: Infinity }
    return {
      ship: { ...ship, ...rest, abortKg: number(500, 1000) },
      slot: {
        id,
        shipId: id,
        flightId,
        visitId: flightId,
        pushGroupId: `group-${flightId}`,
        weight: 2 ** whole(0, 4),
        pinned: false,
        serveAnyway: false,
        afterSlotId: undefined,
        fixed: undefined,
        gone: false,
        requiredAtPushKg: 0,
        waitBurnKgPerS: ship.burnKgPerS
      }
    }
  })
  const tankers = [{ id: 'tanker', leavesAtMs: 400 * MINUTE_MS, baseKg: 1e9, burnKgPerMs: 0 }]
  const groups = flights.map((id) => ({ id: `group-${id}`, plannedAtMs: number(8, 26) * MINUTE_MS, reformMs: 0 }))
  const ids = ships.map(({ slot }) => slot.id)
  const turns = { left: ids.slice(0, 2), right: ids.slice(2) }
  const given: NaiveCase = { ships, stations, tankers, groups, turns, nowMs: undefined }
  const mayUse = new Map(ids.map((id) => [id, ['left', 'right']]))
  const input = inputOf(given, new Map(Object.entries(turns)))
  return { kind: 'whole flights', given, input, mayUse, maySpread: new Set() }
}

/** The first of the first station in contact, or done, and the second slot of the fullest one pinned. */
function holding(given: NaiveCase, done: boolean): NaiveCase {
  const nowMs = given.nowMs ?? 0
  const inTurns = Object.values(given.turns).sort((a, b) => b.length - a.length)
  const [contactId, pinnedId] = [inTurns[0]?.[0], inTurns[0]?.[inTurns[0].length > 2 ? 2 : 1]]
  const ships = given.ships.map((one): NaiveShip => {
    if (one.slot.id === pinnedId) return { ...one, slot: { ...one.slot, pinned: true, gone: false } }
    if (one.slot.id !== contactId) return one
    const fixed = {
      contactAtMs: nowMs - 4 * MINUTE_MS,
      disconnectAtMs: done ? nowMs - MINUTE_MS : nowMs + 2 * MINUTE_MS,
      onLoadKg: 1000,
      fuelAtContactKg: 1000,
      fuelAtDisconnectKg: 2500,
      latestContactAtMs: undefined,
      done,
      state: { fuelKg: 2500 }
    }
    return { ...one, slot: { ...one.slot, fixed, gone: false } }
  })
  return { ...given, ships }
}
