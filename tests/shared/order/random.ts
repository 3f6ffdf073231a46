import type { OnStation, OrderIn, Sequences } from '../../../shared/order/times.ts'
import { chance } from './chance.ts'
import { MINUTE_MS, slot, station, type OneTank, type OneTankShip } from './make.ts'
import type { NaiveCase, NaiveShip } from './naive.ts'

/** Changeovers of no rule, 0 to 4 min by who is on the station and who comes; the same for the same seed. */
export function anyChangeovers(seed: number): (from: OnStation | undefined, to: OnStation) => number {
  return (from, to) => {
    let hash = seed
    for (const letter of `${from?.id ?? from?.flightId ?? 'nobody'} ${to.id ?? ''}`)
      hash = (Math.imul(hash, 31) + letter.charCodeAt(0)) | 0
    return chance(hash).number(0, 4) * MINUTE_MS
  }
}

/** A small random order, the same for the same seed: now and then with second visits, slots flown, windows, bound give. */
export function randomCase(seed: number): NaiveCase {
  const { number, whole, yes, shuffled } = chance(seed)
  // Drawn apart, so that an order without them stays what it was.
  const more = chance(seed + 7_000_000)
  const has = { ways: more.yes(0.3), tops: more.yes(0.3), shuts: more.yes(0.3), waits: more.yes(0.3) }
  const nowMs = yes(0.4) ? number(5, 20) * MINUTE_MS : undefined
  const tankers = Array.from({ length: whole(1, 2) }, (_, i) => ({
    id: `tanker-${String(i)}`,
    leavesAtMs: number(15, 90) * MINUTE_MS,
    baseKg: yes(0.5) ? number(2_000, 12_000) : 1e6,
    burnKgPerMs: number(0.5, 2) / 1000
  }))
  const built = tankers.flatMap(({ id }) =>
    Array.from({ length: whole(1, 2) }, (_, k) =>
      station(`${id}/${String(k)}`, {
        tankerId: id,
        opensAtMs: number(0, 8) * MINUTE_MS,
        closesAtMs: yes(0.3) ? number(20, 60) * MINUTE_MS : Infinity,
        hookUpMs: number(0.5, 2) * MINUTE_MS,
        changeoverWithinFlightMs: 0.5 * MINUTE_MS,
        changeoverBetweenMs: number(1, 3) * MINUTE_MS,
        takesNew: !yes(0.07),
        freeAtMs: yes(0.3) ? number(0, 6) * MINUTE_MS : -Infinity,
        lastFlightId: yes(0.3) ? 'flight-0' : undefined
      })
    )
  )
  // Two stations, mostly of one tanker, that exclude each other; one side named is enough.
  const apart = chance(seed + 11_000_000)
  const turned = apart.yes(0.25)
    ? built.map((one, k) => ({ ...one, changeoverMs: anyChangeovers(seed * 8 + k) }))
    : built
  const stations = turned.map((one, k) => {
    if (!has.shuts || k > 1 || built.length < 2) return one
    const methodChangeMs = more.number(0, 4) * MINUTE_MS
    return k === 1 && more.yes(0.3)
      ? { ...one, methodChangeMs }
      : { ...one, methodChangeMs, excludes: [built[1 - k]?.id ?? ''] }
  })
  const groups = Array.from({ length: whole(1, 4) }, (_, i) => ({
    id: `group-${String(i)}`,
    plannedAtMs: number(5, 40) * MINUTE_MS,
    reformMs: number(0, 4) * MINUTE_MS,
    ...(yes(0.1) ? { pushedAtMs: number(30, 40) * MINUTE_MS } : {})
  }))
  groups.push({ id: 'group-late', plannedAtMs: number(50, 80) * MINUTE_MS, reformMs: 0 })
  const ships: NaiveShip[] = Array.from({ length: whole(1, 8) }, (_, i) => {
    const ship: OneTankShip = {
      readyAtMs: number(0, 25) * MINUTE_MS,
      fuelKg: number(1200, 2600),
      burnKgPerS: yes(0.1) ? 0 : number(0.3, 1),
      rateKgPerS: number(6, 25),
      targetKg: number(2000, 4500),
      capacityKg: yes(0.3) ? number(2500, 4000) : Infinity,
      abortKg: yes(0.85) ? number(600, 1500) : undefined,
      legMs: number(5, 20) * MINUTE_MS,
      legKg: number(100, 900),
      ...(has.ways ? { wayMs: Object.fromEntries(stations.map(({ id }) => [id, more.whole(0, 2) * MINUTE_MS])) } : {})
    }
    return { ship, slot: { ...plain(`ship-${String(i)}`, whole, groups), burnOf: ship.burnKgPerS } }
  }).map(({ ship, slot: one }) => {
    const flown = nowMs !== undefined && yes(0.2)
    const contactAtMs = flown ? nowMs - number(1, 5) * MINUTE_MS : 0
    const done = flown && yes(0.5)
    const fixed = {
      contactAtMs,
      disconnectAtMs: flown ? (done ? nowMs - number(0, 0.9) * MINUTE_MS : nowMs + number(0.1, 3) * MINUTE_MS) : 0,
      onLoadKg: number(500, 1500),
      fuelAtContactKg: 1000,
      fuelAtDisconnectKg: number(2000, 3000),
      latestContactAtMs: undefined,
      done
    }
    const { burnOf, ...rest } = one
    return {
      ship,
      slot: {
        ...rest,
        waitBurnKgPerS: burnOf,
        fixed: flown ? { ...fixed, state: { fuelKg: fixed.fuelAtDisconnectKg } } : undefined,
        gone: !flown && yes(0.08),
        serveAnyway: yes(0.15),
        ...(has.waits && more.yes(0.4) ? { notBeforeMs: more.number(5, 35) * MINUTE_MS } : {})
      }
    }
  })
  const tops: NaiveShip[] = ships
    .filter(() => has.tops && more.yes(0.5))
    .map(({ ship, slot: first }) => ({
      ship: { ...ship, targetKg: ship.targetKg + more.number(0, 800), rateKgPerS: more.number(6, 25) },
      slot: { ...first, id: `${first.id} top`, fixed: undefined, gone: more.yes(0.05), afterSlotId: first.id }
    }))
  const topOf = new Map(tops.map(({ slot: top }) => [top.afterSlotId, top.id]))
  const again: NaiveShip[] = ships
    .filter(() => yes(0.35))
    .map(({ ship, slot: first }) => ({
      ship,
      slot: {
        ...first,
        id: `${first.id} again`,
        fixed: undefined,
        gone: false,
        afterSlotId: topOf.get(first.id) ?? first.id,
        pushGroupId: yes(0.8) ? 'group-late' : (groups[whole(0, groups.length - 1)]?.id ?? '')
      }
    }))
  const all = [...ships, ...tops, ...again]
  const turns: Record<string, string[]> = Object.fromEntries(stations.map(({ id }) => [id, []]))
  // Mostly second visits behind first ones; now and then anyhow, which may make a circle.
  const inTurn = yes(0.2) ? shuffled([...ships, ...again]) : [...shuffled(ships), ...shuffled(again)]
  for (const one of inTurn) {
    if (yes(0.03)) continue
    const at = stations[whole(0, stations.length - 1)]?.id ?? ''
    // What is flown stands where it was flown.
    if (one.slot.fixed === undefined) turns[at]?.push(one.slot.id)
    else turns[at]?.unshift(one.slot.id)
  }
  // Behind the contact before it, or anywhere where it stands elsewhere; now and then before it, in a circle.
  for (const { slot: top } of tops) {
    if (more.yes(0.03)) continue
    const inTurn = turns[stations[more.whole(0, stations.length - 1)]?.id ?? '']
    const flown =
      inTurn?.filter((id) => all.some(({ slot: one }) => one.id === id && one.fixed !== undefined)).length ?? 0
    const behind = more.yes(0.1) ? -1 : (inTurn?.indexOf(top.afterSlotId ?? '') ?? -1)
    inTurn?.splice(more.whole(Math.max(flown, behind + 1), inTurn.length), 0, top.id)
  }
  return { ships: all, stations, tankers, groups, turns, nowMs }
}

function plain(id: string, whole: (low: number, high: number) => number, groups: NaiveCase['groups']) {
  return {
    id,
    shipId: id,
    flightId: `flight-${String(whole(0, 2))}`,
    visitId: id,
    pushGroupId: groups[whole(0, groups.length - 1)]?.id ?? '',
    weight: 2 ** whole(0, 4),
    pinned: false,
    afterSlotId: undefined,
    requiredAtPushKg: 500 * whole(2, 8)
  }
}

/** The same as an order to judge. */
export const inputOf = (given: NaiveCase, inForce?: Sequences): OrderIn<OneTank> => ({
  slots: given.ships.map((one) => slot(one.slot.id, one.ship, one.slot as Parameters<typeof slot>[2])),
  stations: given.stations,
  sequences: new Map(Object.entries(given.turns)),
  inForce,
  pushGroups: given.groups,
  tankers: given.tankers.map((tanker) => ({
    id: tanker.id,
    leavesAtMs: tanker.leavesAtMs,
    giveKg: (leavesAtMs: number) => tanker.baseKg - tanker.burnKgPerMs * Math.max(0, leavesAtMs - tanker.leavesAtMs)
  })),
  nowMs: given.nowMs
})
