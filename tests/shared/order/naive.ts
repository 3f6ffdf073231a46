import type { OneTankShip } from './make.ts'
import type { OrderIn, SlotIn, StationIn } from '../../../shared/order/times.ts'

/*
 * A second judge, written only to disagree with the first: no curves, no order of contacts in time. It sweeps over the
 * slots and works out whichever has all it depends on, until nothing changes; give is dealt afterwards, in the order of
 * contacts found, and everything is worked out anew with the contact that ran dry cut short.
 */

export interface NaiveShip {
  readonly slot: Omit<SlotIn<unknown>, 'ready' | 'curve' | 'serve'>
  readonly ship: OneTankShip
}

export interface NaiveTanker {
  readonly id: string
  readonly leavesAtMs: number
  readonly baseKg: number
  readonly burnKgPerMs: number
}

export interface NaiveCase {
  readonly ships: readonly NaiveShip[]
  readonly stations: readonly StationIn[]
  readonly tankers: readonly NaiveTanker[]
  readonly groups: OrderIn<unknown>['pushGroups']
  readonly turns: Record<string, readonly string[]>
  readonly nowMs: number | undefined
}

export interface NaiveSlot {
  state: string
  startAtMs: number
  contactAtMs: number
  disconnectAtMs: number
  onLoadKg: number
  wantedKg: number
  fuelAtDisconnectKg: number
  cut: boolean
  /** Past its latest contact by so much, where it has one. */
  pastMs: number
}

const isServed = (slot: NaiveSlot): boolean => ['planned', 'in contact', 'done'].includes(slot.state)

export interface NaiveAnswer {
  readonly slots: Map<string, NaiveSlot>
  readonly pushes: Map<string, number>
  readonly dry: Map<string, string | undefined>
  readonly promisedKg: Map<string, number>
  readonly leavesAtMs: Map<string, number>
}

/** Undefined when dealing give comes to no rest. */
export function naive(given: NaiveCase): NaiveAnswer | undefined {
  const limits = new Map<string, number>()
  for (let again = 0; again < 60; again++) {
    const { slots, pushes } = sweep(given, limits)
    const dry = new Map<string, string | undefined>()
    const promisedKg = new Map<string, number>()
    const leavesAtMs = new Map<string, number>()
    const changed = given.tankers.some((tanker) => {
      const dealt = deal(given, tanker, slots)
      dry.set(tanker.id, dealt.dry)
      promisedKg.set(tanker.id, dealt.promisedKg)
      leavesAtMs.set(tanker.id, dealt.leavesAtMs)
      if (dealt.cut === undefined) return false
      const { id, kg } = dealt.cut
      if (Math.abs((limits.get(id) ?? Infinity) - kg) < 1e-5) return false
      limits.set(id, kg)
      // Whoever came after it was dealt with too early.
      const at = slots.get(id)?.contactAtMs ?? 0
      for (const other of limits.keys()) {
        if (other !== id && tankerOf(given, other) === tanker.id && (slots.get(other)?.contactAtMs ?? 0) > at)
          limits.delete(other)
      }
      return true
    })
    if (!changed) return { slots, pushes, dry, promisedKg, leavesAtMs }
  }
  return undefined
}

/** The judgement worked out from the naive answer, slot by slot. */
export function naiveJudgement(given: NaiveCase, answer: NaiveAnswer) {
  const total = { lostWeight: 0, shortage: 0, lateness: 0, lastDisconnect: 0, moved: 0 }
  for (const { slot: one } of given.ships) {
    const at = answer.slots.get(one.id)
    const firstOf = given.ships.find((other) => other.slot.id === one.afterSlotId)?.slot
    if (at?.state === 'missed' && firstOf?.pushGroupId !== one.pushGroupId) total.lostWeight += one.weight
    if (at === undefined || at.state === 'missed' || at.state === 'gone') continue
    // Flown, but at no station that is known: its push counts, it does not.
    if (!Object.values(given.turns).flat().includes(one.id)) continue
    const pushAtMs = answer.pushes.get(one.pushGroupId) ?? NaN
    const planned = given.groups.find((group) => group.id === one.pushGroupId)?.plannedAtMs ?? NaN
    const burnedKg = (one.waitBurnKgPerS * Math.max(0, pushAtMs - at.disconnectAtMs)) / 1000
    const lackKg = Math.max(0, one.requiredAtPushKg - at.fuelAtDisconnectKg + burnedKg)
    total.lastDisconnect = Math.max(total.lastDisconnect, Math.round(at.disconnectAtMs / 6000))
    const topped = given.ships.some(
      ({ slot: other }) =>
        other.afterSlotId === one.id &&
        other.pushGroupId === one.pushGroupId &&
        isServed(answer.slots.get(other.id) ?? nothing)
    )
    if (topped) continue
    total.shortage += one.weight * Math.round(lackKg / 5)
    total.lateness += one.weight * Math.round(Math.max(0, pushAtMs - planned) / 6000)
  }
  return total
}

function stationOf(given: NaiveCase, slotId: string): StationIn | undefined {
  return given.stations.find((station) => given.turns[station.id]?.includes(slotId))
}
const tankerOf = (given: NaiveCase, slotId: string): string | undefined => stationOf(given, slotId)?.tankerId

function sweep(given: NaiveCase, limits: ReadonlyMap<string, number>) {
  const slots = new Map<string, NaiveSlot>()
  const pushes = new Map<string, number>()
  for (let before = -1; before !== slots.size + pushes.size;) {
    before = slots.size + pushes.size
    /** Known but for whether somebody at a station that excludes its own starts before it. */
    const rivals: { id: string; at: number; slot: NaiveSlot }[] = []
    for (const one of given.ships) {
      const found = slots.has(one.slot.id) ? undefined : workOut(given, one, slots, pushes, limits)
      if (found === undefined) continue
      if (found.state === 'planned' && shutBy(given, one.slot.id).length > 0)
        rivals.push({ id: one.slot.id, at: stationIndex(given, one.slot.id), slot: found })
      else slots.set(one.slot.id, found)
    }
    if (before === slots.size + pushes.size) {
      const first = rivals.toSorted((a, b) => a.slot.startAtMs - b.slot.startAtMs || a.at - b.at)[0]
      if (first !== undefined) slots.set(first.id, first.slot)
    }
    for (const group of given.groups) {
      const members = given.ships
        .filter((one) => one.slot.pushGroupId === group.id)
        .map((one) => slots.get(one.slot.id))
      if (group.pushedAtMs !== undefined) pushes.set(group.id, group.pushedAtMs)
      else if (members.every((slot) => slot !== undefined)) {
        const ends = members.filter(isServed).map((slot) => slot.disconnectAtMs + group.reformMs)
        pushes.set(group.id, Math.max(group.plannedAtMs, ...ends))
      }
    }
  }
  for (const { slot } of given.ships) {
    const { first } = earlier(given, slot, slots)
    if (first !== undefined && !isServed(first)) slots.set(slot.id, nothing)
  }
  // What is left waits in a circle; its groups push without it.
  for (const { slot } of given.ships) if (!slots.has(slot.id)) slots.set(slot.id, { ...nothing, state: 'missed' })
  for (const group of given.groups) {
    if (pushes.has(group.id)) continue
    const ends = given.ships
      .filter((one) => one.slot.pushGroupId === group.id)
      .map((one) => slots.get(one.slot.id) ?? nothing)
      .filter(isServed)
      .map((slot) => slot.disconnectAtMs + group.reformMs)
    pushes.set(group.id, Math.max(group.plannedAtMs, ...ends))
  }
  return { slots, pushes }
}

const nothing: NaiveSlot = {
  state: 'gone',
  startAtMs: NaN,
  contactAtMs: NaN,
  disconnectAtMs: NaN,
  onLoadKg: 0,
  wantedKg: 0,
  fuelAtDisconnectKg: 0,
  cut: false,
  pastMs: 0
}

/** The contact a slot begins from: the one before it, or before a top-off that came to nothing; undefined: not known yet. */
function earlier(given: NaiveCase, slot: NaiveShip['slot'], slots: ReadonlyMap<string, NaiveSlot>) {
  const before = given.ships.find((one) => one.slot.id === slot.afterSlotId)?.slot
  const first = slots.get(slot.afterSlotId ?? '')
  const group = before?.pushGroupId ?? ''
  const more = given.ships.find((one) => one.slot.id === before?.afterSlotId)?.slot
  if (before !== undefined && first?.state === 'missed' && more?.pushGroupId === group)
    return earlier(given, before, slots)
  return { first, group }
}

function workOut(
  given: NaiveCase,
  { slot, ship }: NaiveShip,
  slots: ReadonlyMap<string, NaiveSlot>,
  pushes: ReadonlyMap<string, number>,
  limits: ReadonlyMap<string, number>
): NaiveSlot | undefined {
  if (slot.fixed !== undefined) {
    return { ...nothing, ...slot.fixed, wantedKg: slot.fixed.onLoadKg, state: slot.fixed.done ? 'done' : 'in contact' }
  }
  if (slot.gone) return nothing
  let readyAtMs = ship.readyAtMs
  let readyKg = ship.fuelKg
  const station = stationOf(given, slot.id)
  const wayMs = ship.wayMs?.[station?.id ?? ''] ?? 0
  if (slot.afterSlotId !== undefined) {
    const { first, group } = earlier(given, slot, slots)
    if (first === undefined) return station?.takesNew === true ? undefined : { ...nothing, state: 'missed' }
    if (!isServed(first)) return nothing
    if (group === slot.pushGroupId) {
      readyAtMs = first.disconnectAtMs
      readyKg = first.fuelAtDisconnectKg
    } else {
      const pushAtMs = pushes.get(group)
      if (pushAtMs === undefined) return station?.takesNew === true ? undefined : { ...nothing, state: 'missed' }
      readyAtMs = pushAtMs + (ship.legMs ?? 0)
      readyKg =
        first.fuelAtDisconnectKg - (ship.burnKgPerS * (pushAtMs - first.disconnectAtMs)) / 1000 - (ship.legKg ?? 0)
    }
  }
  if (station?.takesNew !== true) return { ...nothing, state: 'missed' }
  readyAtMs += wayMs
  readyKg -= (ship.burnKgPerS * wayMs) / 1000
  const inTurn = given.turns[station.id] ?? []
  const ahead = inTurn.slice(0, inTurn.indexOf(slot.id)).map((id) => slots.get(id))
  if (ahead.some((one) => one === undefined)) return undefined
  const startAtMs = Math.max(
    readyAtMs,
    station.opensAtMs,
    given.nowMs ?? -Infinity,
    slot.notBeforeMs ?? -Infinity,
    freeAt(given, station, slot, slots),
    shutUntil(given, station, slot.id, slots)
  )
  const contactAtMs = startAtMs + station.hookUpMs
  const latestMs =
    ship.abortKg === undefined || ship.burnKgPerS === 0
      ? Infinity
      : readyAtMs + Math.max(0, (readyKg - ship.abortKg) / ship.burnKgPerS) * 1000
  const pastMs = latestMs === Infinity ? 0 : Math.max(0, contactAtMs - latestMs)
  if ((pastMs > 0 && !slot.serveAnyway) || contactAtMs >= station.closesAtMs) {
    return { ...nothing, state: 'missed', contactAtMs, pastMs }
  }
  // One rate, so mass and time are in proportion.
  const atContactKg = readyKg - (ship.burnKgPerS * (contactAtMs - readyAtMs)) / 1000
  const lacksKg = Math.max(0, Math.min(ship.targetKg, ship.capacityKg) - atContactKg)
  const wholeS = lacksKg / (ship.rateKgPerS - ship.burnKgPerS)
  const wantedKg = Math.min(wholeS, (station.closesAtMs - contactAtMs) / 1000) * ship.rateKgPerS
  const limitKg = limits.get(slot.id) ?? Infinity
  const onLoadKg = Math.min(wantedKg, limitKg)
  const seconds = onLoadKg / ship.rateKgPerS
  return {
    state: 'planned',
    startAtMs,
    contactAtMs,
    disconnectAtMs: contactAtMs + seconds * 1000,
    onLoadKg,
    wantedKg,
    fuelAtDisconnectKg: atContactKg + onLoadKg - ship.burnKgPerS * seconds,
    cut: limitKg < wantedKg,
    pastMs
  }
}

/** Stations that exclude that of a slot. */
function shutBy(given: NaiveCase, slotId: string): StationIn[] {
  const here = stationOf(given, slotId)
  return given.stations.filter(
    (other) =>
      other.id !== here?.id &&
      here !== undefined &&
      [...(here.excludes ?? []), ...(other.excludes ?? []).filter((id) => id === here.id).map(() => other.id)].includes(
        other.id
      )
  )
}

/** The last end at a station that excludes this one, and the change of method after it. */
function shutUntil(
  given: NaiveCase,
  station: StationIn,
  slotId: string,
  slots: ReadonlyMap<string, NaiveSlot>
): number {
  const ends = shutBy(given, slotId).flatMap((other) => {
    const flown = (given.turns[other.id] ?? []).flatMap((id) => slots.get(id) ?? []).filter(isServed)
    return [...(other.lastFlightId === undefined ? [] : [other.freeAtMs]), ...flown.map((one) => one.disconnectAtMs)]
  })
  return Math.max(-Infinity, ...ends) + (station.methodChangeMs ?? 0)
}

function freeAt(
  given: NaiveCase,
  station: StationIn,
  slot: NaiveShip['slot'],
  slots: ReadonlyMap<string, NaiveSlot>
): number {
  const flightOf = (id: string): string | undefined => given.ships.find((one) => one.slot.id === id)?.slot.flightId
  const inTurn = given.turns[station.id] ?? []
  const mine = inTurn.indexOf(slot.id)
  let lastMs = station.freeAtMs
  let flightId = station.lastFlightId
  let lastId: string | undefined
  inTurn.forEach((id, turn) => {
    const other = slots.get(id)
    const flown = other !== undefined && (other.state === 'done' || other.state === 'in contact')
    if (other === undefined || !isServed(other) || !(flown || turn < mine)) return
    if (flightId !== undefined && other.disconnectAtMs < lastMs) return
    lastMs = other.disconnectAtMs
    flightId = flightOf(id)
    lastId = id
  })
  if (station.changeoverMs !== undefined)
    return lastMs + station.changeoverMs(flightId === undefined ? undefined : { id: lastId, flightId }, slot)
  if (flightId === undefined) return lastMs
  return lastMs + (flightId === slot.flightId ? station.changeoverWithinFlightMs : station.changeoverBetweenMs)
}

function deal(given: NaiveCase, tanker: NaiveTanker, slots: ReadonlyMap<string, NaiveSlot>) {
  const contacts = given.ships
    .flatMap((one) => {
      const slot = slots.get(one.slot.id)
      const here = tankerOf(given, one.slot.id) === tanker.id
      return slot !== undefined && here && ['planned', 'in contact'].includes(slot.state) ? [{ ...one, at: slot }] : []
    })
    .sort(
      (a, b) =>
        Number(b.at.state === 'in contact') - Number(a.at.state === 'in contact') ||
        a.at.contactAtMs - b.at.contactAtMs ||
        stationIndex(given, a.slot.id) - stationIndex(given, b.slot.id)
    )
  let leavesAtMs = tanker.leavesAtMs
  let promisedKg = 0
  let dry: string | undefined
  for (const { slot, ship, at } of contacts) {
    const rateKgPerMs = ship.rateKgPerS / 1000
    let kg = at.wantedKg
    if (at.state === 'planned' && kg > 1e-6) {
      const lateKg = tanker.burnKgPerMs * (leavesAtMs - tanker.leavesAtMs)
      kg = Math.min(kg, tanker.baseKg - lateKg - promisedKg)
      if (at.contactAtMs + kg / rateKgPerMs > leavesAtMs) {
        // It holds the tanker: promised + x = give at its own disconnect.
        const left = tanker.baseKg - promisedKg - tanker.burnKgPerMs * (at.contactAtMs - tanker.leavesAtMs)
        kg = Math.min(kg, left / (1 + tanker.burnKgPerMs / rateKgPerMs))
      }
      kg = kg < 2e-6 ? 0 : kg
      if (kg < at.wantedKg - 1e-5) {
        dry ??= slot.id
        if (Math.abs(at.onLoadKg - kg) > 1e-4) return { cut: { id: slot.id, kg }, dry, promisedKg, leavesAtMs }
      } else if (at.cut) return { cut: { id: slot.id, kg: Infinity }, dry, promisedKg, leavesAtMs }
    }
    promisedKg += kg
    if (kg > 0) leavesAtMs = Math.max(leavesAtMs, at.disconnectAtMs)
    if (at.state === 'in contact') {
      const giveKg = tanker.baseKg - tanker.burnKgPerMs * (leavesAtMs - tanker.leavesAtMs)
      if (promisedKg > giveKg + 1e-6) dry ??= slot.id
    }
  }
  return { cut: undefined, dry, promisedKg, leavesAtMs }
}

const stationIndex = (given: NaiveCase, slotId: string): number =>
  given.stations.findIndex((station) => station.id === stationOf(given, slotId)?.id)
