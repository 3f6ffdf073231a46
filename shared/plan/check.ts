/**
 * The rules of a plan that span fields: every reference holds, every ship can do what its route asks. Each rule is a
 * function that names path, value and limit; a plan with any fault is refused whole.
 */
import type { Flight, Plan, ReceiverType, TankGroup } from '../contracts/plan.ts'
import type { Fault } from '../contracts/problem.ts'
import { HAND_LIMITS, VOLUME_UNITS, type FlowKind, type HandLimit } from '../contracts/kinds.ts'
import type { Position } from '../contracts/quantities.ts'
import { SIZES } from '../contracts/bounds.ts'
import { DENSITY_LIMITS } from '../density.ts'
import { legTimeS } from '../fuel/burn.ts'
import { capacityKg } from '../tanks/sheet.ts'
import { densityKgPerM3, massKg, MS_PER_MIN, quantityKg, speedMPerS } from '../units.ts'
import { brief, sheetOf, windOf, type Brief, type FlightBrief, type ShipBrief } from './brief.ts'
import { abortKg, abortRuling, bingoRuling, jokerRuling, requiredRuling } from './limits.ts'
import { bases, fallOut, landings } from './landings.ts'
import type { Note, Rule, Value } from './rule.ts'
import { stationFault } from './stations.ts'

function text(value: Value): string {
  if (value === undefined) return 'nothing'
  return typeof value === 'string' ? JSON.stringify(value) : String(value)
}
const kg = (value: number): string => `${value.toFixed(1)} kg`

const noting =
  (faults: Fault[]): Note =>
  (path, value, limit, message) => {
    faults.push({ path, value: text(value), limit, message })
  }

/** All faults that span fields, or none. The plan has passed its schema. */
export function planFaults(plan: Plan): Fault[] {
  const faults: Fault[] = []
  const note = noting(faults)
  for (const rule of RULES) rule(plan, note)
  // What is worked out below follows references, so it is asked only where they all hold.
  if (faults.length === 0) for (const rule of WORKED_RULES) rule(plan, note)
  if (faults.length === 0) for (const rule of LIMIT_RULES) rule(plan, note)
  return faults
}

/**
 * Faults of things by themselves and by the types and tankers they name, of a document in which other things they name
 * may be missing.
 */
export function looseRuleFaults(plan: Plan): Fault[] {
  const faults: Fault[] = []
  for (const rule of LOOSE_RULES) rule(plan, noting(faults))
  // What is named and not there was left out.
  return faults.filter(({ message }) => !message.startsWith('no such') || message === 'no such external group')
}

/** Visits and slots at stations that their ships may not use; the rest of the plan holds. */
export function stationMisfits(plan: Plan): Fault[] {
  const faults: Fault[] = []
  for (const rule of [visitsServed, ordersFit]) rule(plan, noting(faults))
  return faults.filter(({ limit }) => limit !== ABORT_BASE_NEAR)
}

/** Ids are unique among their kind, slots and phases over the whole plan. */
const idsUnique: Rule = (plan, note) => {
  const once = (kind: string, entries: readonly (readonly [path: string, id: string])[]): void => {
    const seen = new Map<string, string>()
    for (const [path, id] of entries) {
      const before = seen.get(id)
      if (before !== undefined) note(path, id, `an id used once`, `this ${kind} id stands at ${before} already`)
      else seen.set(id, path)
    }
  }
  const listed = (kind: string, key: string, list: readonly { id: string }[]): void => {
    once(
      kind,
      list.map((one, i) => [`/${key}/${String(i)}/id`, one.id] as const)
    )
  }
  listed('receiver type', 'receiverTypes', plan.receiverTypes)
  listed('tanker type', 'tankerTypes', plan.tankerTypes)
  listed('base', 'bases', plan.bases)
  listed('track', 'tracks', plan.tracks)
  listed('tanker', 'tankers', plan.tankers)
  listed('push group', 'pushGroups', plan.pushGroups)
  listed('flight', 'flights', plan.flights)
  plan.receiverTypes.forEach((type, t) => {
    listed('group', `receiverTypes/${String(t)}/groups`, type.groups)
  })
  plan.tankerTypes.forEach((type, t) => {
    listed('station', `tankerTypes/${String(t)}/stations`, type.stations)
  })
  once(
    'ship',
    plan.flights.flatMap((flight, f) =>
      flight.ships.map((ship, s) => [`/flights/${String(f)}/ships/${String(s)}/id`, ship.id] as const)
    )
  )
  once(
    'phase',
    plan.flights.flatMap((flight, f) =>
      flight.route.map((phase, p) => [`/flights/${String(f)}/route/${String(p)}/id`, phase.id] as const)
    )
  )
  once(
    'slot',
    plan.orders.flatMap((order, o) =>
      order.sequences.flatMap((sequence, q) =>
        sequence.slots.map(
          (slot, s) => [`/orders/${String(o)}/sequences/${String(q)}/slots/${String(s)}/id`, slot.id] as const
        )
      )
    )
  )
  once(
    'tanker order',
    plan.orders.map((order, o) => [`/orders/${String(o)}/tankerId`, order.tankerId] as const)
  )
}

/** Call signs are what people say on the radio: no two alike, whatever their case. */
const callSignsUnique: Rule = (plan, note) => {
  const seen = new Map<string, string>()
  const say = (path: string, callSign: string): void => {
    const spoken = callSign.toLowerCase().replace(/\s+/g, ' ')
    const before = seen.get(spoken)
    if (before !== undefined)
      note(path, callSign, 'a call sign used once', `this call sign stands at ${before} already`)
    else seen.set(spoken, path)
  }
  plan.tankers.forEach((tanker, t) => {
    say(`/tankers/${String(t)}/callSign`, tanker.callSign)
  })
  plan.flights.forEach((flight, f) => {
    say(`/flights/${String(f)}/callSign`, flight.callSign)
  })
  plan.flights.forEach((flight, f) => {
    flight.ships.forEach((ship, s) => {
      say(`/flights/${String(f)}/ships/${String(s)}/callSign`, ship.callSign)
    })
  })
}

const references: Rule = (plan, note) => {
  const ids = (list: readonly { id: string }[]): ReadonlySet<string> => new Set(list.map((one) => one.id))
  const known = {
    'receiver type': ids(plan.receiverTypes),
    'tanker type': ids(plan.tankerTypes),
    base: ids(plan.bases),
    track: ids(plan.tracks),
    tanker: ids(plan.tankers),
    'push group': ids(plan.pushGroups)
  }
  const needs = (kind: keyof typeof known, path: string, id: string): void => {
    if (!known[kind].has(id)) note(path, id, `the id of a ${kind} of this plan`, `no such ${kind}`)
  }
  const stationsOf = (tankerTypeId: string) => plan.tankerTypes.find((type) => type.id === tankerTypeId)?.stations
  plan.clearances.forEach((entry, i) => {
    const at = `/clearances/${String(i)}`
    needs('receiver type', `${at}/receiverTypeId`, entry.receiverTypeId)
    needs('tanker type', `${at}/tankerTypeId`, entry.tankerTypeId)
    const stations = stationsOf(entry.tankerTypeId)
    if (stations && !stations.some((station) => station.id === entry.stationId)) {
      note(`${at}/stationId`, entry.stationId, 'a station of that tanker type', 'no such station')
    }
  })
  plan.tracks.forEach((track, t) => {
    needs('base', `/tracks/${String(t)}/abortBaseId`, track.abortBaseId)
  })
  plan.tankerTypes.forEach((type, t) => {
    type.stations.forEach((station, s) => {
      station.excludes?.forEach((id, e) => {
        const path = `/tankerTypes/${String(t)}/stations/${String(s)}/excludes/${String(e)}`
        if (id === station.id) note(path, id, 'another station', 'a station cannot exclude itself')
        else if (!type.stations.some((one) => one.id === id))
          note(path, id, 'a station of this tanker type', 'no such station')
        else if (plan.rules.methodChangeMin === undefined)
          note('/rules/methodChangeMin', undefined, 'minutes', `${path} needs the time the change takes`)
      })
    })
  })
  plan.tankers.forEach((tanker, t) => {
    needs('tanker type', `/tankers/${String(t)}/tankerTypeId`, tanker.tankerTypeId)
    needs('track', `/tankers/${String(t)}/trackId`, tanker.trackId)
    const stations = stationsOf(tanker.tankerTypeId)
    tanker.windows?.forEach(({ stationId }, w) => {
      const path = `/tankers/${String(t)}/windows/${String(w)}/stationId`
      if (stations && !stations.some((station) => station.id === stationId))
        note(path, stationId, 'a station of that tanker', 'no such station')
      else if (tanker.windows?.findIndex((one) => one.stationId === stationId) !== w)
        note(path, stationId, 'a station listed once', 'this station has a window already')
    })
  })
  plan.flights.forEach((flight, f) => {
    const at = `/flights/${String(f)}`
    needs('receiver type', `${at}/receiverTypeId`, flight.receiverTypeId)
    needs('base', `${at}/departureBaseId`, flight.departureBaseId)
    needs('base', `${at}/recoveryBaseId`, flight.recoveryBaseId)
    flight.divertBaseIds.forEach((id, d) => {
      needs('base', `${at}/divertBaseIds/${String(d)}`, id)
    })
    const type = plan.receiverTypes.find((one) => one.id === flight.receiverTypeId)
    flight.ships.forEach((ship, s) => {
      ship.fitted.forEach((id, g) => {
        const group = type?.groups.find((one) => one.id === id)
        if (type && group?.place !== 'external') {
          note(
            `${at}/ships/${String(s)}/fitted/${String(g)}`,
            id,
            'an external group of its type',
            'no such external group'
          )
        }
      })
      ship.onLoads?.forEach(({ visitId }, v) => {
        const path = `${at}/ships/${String(s)}/onLoads/${String(v)}/visitId`
        if (!visits(flight, visitId)) note(path, visitId, `a visit of ${flight.callSign}`, 'no such visit')
        else if (ship.onLoads?.findIndex((one) => one.visitId === visitId) !== v)
          note(path, visitId, 'a visit listed once', 'this visit has a rule for this ship already')
      })
    })
    flight.route.forEach((phase, p) => {
      if (phase.kind !== 'refuelling') return
      needs('tanker', `${at}/route/${String(p)}/tankerId`, phase.tankerId)
      needs('push group', `${at}/route/${String(p)}/pushGroupId`, phase.pushGroupId)
    })
  })
  plan.orders.forEach((order, o) => {
    needs('tanker', `/orders/${String(o)}/tankerId`, order.tankerId)
    const tanker = plan.tankers.find((one) => one.id === order.tankerId)
    const stations = tanker && stationsOf(tanker.tankerTypeId)
    order.sequences.forEach((sequence, q) => {
      const at = `/orders/${String(o)}/sequences/${String(q)}`
      if (stations && !stations.some((station) => station.id === sequence.stationId)) {
        note(`${at}/stationId`, sequence.stationId, 'a station of that tanker', 'no such station')
      }
      if (order.sequences.findIndex((one) => one.stationId === sequence.stationId) < q) {
        note(`${at}/stationId`, sequence.stationId, 'a station listed once', 'this station has a sequence already')
      }
      sequence.slots.forEach((slot, s) => {
        const flight = plan.flights.find((one) => one.ships.some((ship) => ship.id === slot.shipId))
        if (!flight)
          note(`${at}/slots/${String(s)}/shipId`, slot.shipId, 'the id of a ship of this plan', 'no such ship')
        else if (!visits(flight, slot.visitId)) {
          note(`${at}/slots/${String(s)}/visitId`, slot.visitId, `a visit of ${flight.callSign}`, 'no such visit')
        }
      })
    })
  })
}

const visits = (flight: Flight, visitId: string): boolean =>
  flight.route.some((phase) => phase.kind === 'refuelling' && phase.id === visitId)

const times: Rule = (plan, note) => {
  plan.tankers.forEach((tanker, t) => {
    tanker.windows?.forEach((window, w) => {
      const at = `/tankers/${String(t)}/windows/${String(w)}`
      if (window.opensAtMs < tanker.onStationAtMs)
        note(
          `${at}/opensAtMs`,
          window.opensAtMs,
          `not before onStationAtMs ${String(tanker.onStationAtMs)}`,
          'its tanker is not on station yet'
        )
      if (window.closesAtMs > tanker.leavesAtMs)
        note(
          `${at}/closesAtMs`,
          window.closesAtMs,
          `not after leavesAtMs ${String(tanker.leavesAtMs)}`,
          'its tanker has left'
        )
      if (window.closesAtMs <= window.opensAtMs)
        note(
          `${at}/closesAtMs`,
          window.closesAtMs,
          `after opensAtMs ${String(window.opensAtMs)}`,
          'it closes before it opens'
        )
    })
    if (tanker.leavesAtMs > tanker.onStationAtMs) return
    note(
      `/tankers/${String(t)}/leavesAtMs`,
      tanker.leavesAtMs,
      `after onStationAtMs ${String(tanker.onStationAtMs)}`,
      'it leaves before it is on station'
    )
  })
}

const fuelGrade: Rule = (plan, note) => {
  const density = densityKgPerM3(plan.fuelDensity)
  const { minKgPerM3, maxKgPerM3 } = DENSITY_LIMITS[plan.fuelGrade]
  if (density >= minKgPerM3 && density <= maxKgPerM3) return
  const limit = `${String(minKgPerM3)} to ${String(maxKgPerM3)} kg/m3 at 15 °C`
  note('/fuelDensity/value', plan.fuelDensity.value, limit, `outside what ${plan.fuelGrade} may have`)
}

/** What is wrong with one type sheet, apart from any plan; paths from the sheet. */
export function typeFaults(type: ReceiverType, fuelDensity: Plan['fuelDensity']): Fault[] {
  const faults: Fault[] = []
  sheetFaults(type, '/receiverType', densityKgPerM3(fuelDensity), noting(faults))
  return faults
}

/** Everything given by volume where no density was given; the rest of a sheet cannot be judged then. */
export function volumeFaults(document: unknown): Fault[] {
  const faults: Fault[] = []
  const walk = (value: unknown, path: string): void => {
    if (typeof value !== 'object' || value === null) return
    const { unit } = value as { unit?: unknown }
    if (typeof unit === 'string' && VOLUMES.has(unit)) {
      faults.push({
        path: `${path}/unit`,
        value: text(unit),
        limit: 'a mass, or fuelDensity beside it',
        message: 'a volume without a density is no fuel'
      })
    }
    for (const [key, one] of Object.entries(value)) walk(one, `${path}/${key}`)
  }
  walk(document, '')
  return faults
}
const VOLUMES: ReadonlySet<string> = new Set([...VOLUME_UNITS, 'USgal/min', 'L/min'])

function sheetFaults(type: ReceiverType, at: string, fuelKgPerM3: number, note: Note): void {
  if (speedMPerS(type.refuellingLow) > speedMPerS(type.refuellingHigh)) {
    note(
      `${at}/refuellingLow/value`,
      type.refuellingLow.value,
      'at most refuellingHigh',
      'the slowest refuelling speed is above the fastest'
    )
  }
  gaugeFaults(type, at, fuelKgPerM3, note)
  dumpFaults(type, at, note)
  if (type.weighing && massKg(type.weighing.reference) < massKg(type.weighing.zeroFuel))
    note(
      `${at}/weighing/reference/value`,
      type.weighing.reference.value,
      `at least the weight without fuel, ${kg(massKg(type.weighing.zeroFuel))}`,
      'no flight is that light'
    )
  const feeds = type.groups.filter((group) => group.role.kind === 'feed').length
  if (feeds !== 1) note(`${at}/groups`, feeds, 'exactly 1 feed group', 'the engines drink from one group')
  type.groups.forEach((group, g) => {
    groupFaults(type, group, `${at}/groups/${String(g)}`, fuelKgPerM3, note)
  })
}

function gaugeFaults(type: ReceiverType, at: string, fuelKgPerM3: number, note: Note): void {
  const { gauge, gaugeBand, notGivingBelow, feedLowMark } = type
  const insideKg = type.groups
    .filter((group) => group.place === 'internal')
    .reduce((sum, group) => sum + quantityKg(group.capacity, fuelKgPerM3) * group.tankCount, 0)
  if (gauge === 'total' && (gaugeBand ?? notGivingBelow)) {
    const [field, figure] = gaugeBand ? ['gaugeBand/low', gaugeBand.low] : ['notGivingBelow', notGivingBelow]
    note(`${at}/${field}/value`, figure?.value, 'nothing', 'only an internal gauge has a band; this one shows all fuel')
  }
  if (gaugeBand) {
    if (quantityKg(gaugeBand.low, fuelKgPerM3) > quantityKg(gaugeBand.high, fuelKgPerM3))
      note(`${at}/gaugeBand/low/value`, gaugeBand.low.value, 'at most high', 'the band ends below where it begins')
    if (quantityKg(gaugeBand.high, fuelKgPerM3) > insideKg)
      note(
        `${at}/gaugeBand/high/value`,
        gaugeBand.high.value,
        `at most what the internal tanks hold, ${kg(insideKg)}`,
        'no internal gauge reads that high'
      )
  }
  if (notGivingBelow) {
    if (!gaugeBand) note(`${at}/gaugeBand`, undefined, 'a band', 'notGivingBelow is judged against the band')
    else if (quantityKg(notGivingBelow, fuelKgPerM3) > quantityKg(gaugeBand.low, fuelKgPerM3))
      note(
        `${at}/notGivingBelow/value`,
        notGivingBelow.value,
        `at most the band's low end, ${kg(quantityKg(gaugeBand.low, fuelKgPerM3))}`,
        'a reading cannot be in the band and not giving'
      )
  }
  const feed = type.groups.find((group) => group.role.kind === 'feed')
  const feedKg = feed ? quantityKg(feed.capacity, fuelKgPerM3) * feed.tankCount : 0
  if (feedLowMark && feed && quantityKg(feedLowMark, fuelKgPerM3) > feedKg)
    note(
      `${at}/feedLowMark/value`,
      feedLowMark.value,
      `at most the feed group's ${kg(feedKg)}`,
      'it would always be on'
    )
}

function dumpFaults(type: ReceiverType, at: string, note: Note): void {
  type.dump?.groupIds.forEach((id, index) => {
    const group = type.groups.find((one) => one.id === id)
    if (!group) note(`${at}/dump/groupIds/${String(index)}`, id, 'a group of this type', 'no such group')
    else if (group.role.kind === 'feed')
      note(`${at}/dump/groupIds/${String(index)}`, id, 'not the feed group', 'the engines drink from it')
  })
}

const sheets: Rule = (plan, note) => {
  const fuel = densityKgPerM3(plan.fuelDensity)
  plan.receiverTypes.forEach((type, t) => {
    sheetFaults(type, `/receiverTypes/${String(t)}`, fuel, note)
  })
  plan.tankerTypes.forEach((type, t) => {
    if (speedMPerS(type.refuellingLow) <= speedMPerS(type.refuellingHigh)) return
    note(
      `/tankerTypes/${String(t)}/refuellingLow/value`,
      type.refuellingLow.value,
      'at most refuellingHigh',
      'the slowest refuelling speed is above the fastest'
    )
  })
}

function groupFaults(type: ReceiverType, group: TankGroup, at: string, fuelKgPerM3: number, note: Note): void {
  const capacity = quantityKg(group.capacity, fuelKgPerM3)
  if (capacity <= 0) note(`${at}/capacity/value`, group.capacity.value, 'above 0', 'a tank holds something')
  if (group.unusable.value < 0 || quantityKg(group.unusable, fuelKgPerM3) > capacity) {
    note(
      `${at}/unusable/value`,
      group.unusable.value,
      `at most its capacity, ${kg(capacity)}`,
      'more is unusable than the tank holds'
    )
  }
  const { role } = group
  if (role.kind === 'feed') {
    if (group.place === 'external') note(`${at}/place`, group.place, 'internal', 'the feed group is inside')
    if (group.transferRate)
      note(`${at}/transferRate/value`, group.transferRate.value, 'nothing', 'the feed group gives to the engines alone')
  } else if (!group.transferRate) {
    const fills = group.fillRate !== undefined || group.place === 'external'
    note(
      `${at}/transferRate`,
      undefined,
      'a flow',
      fills ? 'a group that fills and can never give' : 'a group that can never give'
    )
  }
  if (role.kind === 'stage' && quantityKg(group.unusable, fuelKgPerM3) >= capacity && capacity > 0)
    note(
      `${at}/unusable/value`,
      group.unusable.value,
      `below its capacity, ${kg(capacity)}`,
      'a stage that can never give'
    )
  if (group.place === 'external' && group.silencedByExternals)
    note(`${at}/silencedByExternals`, true, 'false', 'an external group silenced by external transfer can never give')
  if (role.kind === 'reserve') {
    const feed = type.groups.find((one) => one.role.kind === 'feed')
    const most = feed ? quantityKg(feed.capacity, fuelKgPerM3) * feed.tankCount : 0
    if (feed && quantityKg(role.releasedBelow, fuelKgPerM3) > most) {
      note(
        `${at}/role/releasedBelow/value`,
        role.releasedBelow.value,
        `at most the feed group's ${kg(most)}`,
        'it would always be released'
      )
    }
  }
  if (group.place === 'internal') {
    if (!group.fillRate) note(`${at}/fillRate`, undefined, 'a flow', 'only external groups have a default')
    if (group.dragFactor !== undefined)
      note(`${at}/dragFactor`, group.dragFactor, 'nothing', 'only external groups add drag')
    if (group.jettisonable) note(`${at}/jettisonable`, true, 'false', 'an internal tank stays')
  }
  const seen = new Set<string>([group.id])
  for (let after = group.fillsAfter; after !== undefined;) {
    const next = type.groups.find((one) => one.id === after)
    if (!next) {
      note(`${at}/fillsAfter`, after, 'a group of this type', 'no such group')
      return
    }
    if (seen.has(next.id)) {
      note(`${at}/fillsAfter`, group.fillsAfter, 'a chain that ends', 'groups wait for each other in a circle')
      return
    }
    seen.add(next.id)
    after = next.fillsAfter
  }
}

const ships: Rule = (plan, note) => {
  const fuel = densityKgPerM3(plan.fuelDensity)
  const count = plan.flights.reduce((sum, flight) => sum + flight.ships.length, 0)
  if (count > SIZES.ships) note('/flights', count, `at most ${String(SIZES.ships)} ships`, 'too many ships')
  plan.flights.forEach((flight, f) => {
    const type = plan.receiverTypes.find((one) => one.id === flight.receiverTypeId)
    if (!type) return
    flight.ships.forEach((ship, s) => {
      const most = capacityKg(sheetOf(type, ship.fitted, fuel))
      if (quantityKg(ship.startFuel, fuel) <= most) return
      note(
        `/flights/${String(f)}/ships/${String(s)}/startFuel/value`,
        ship.startFuel.value,
        `at most ${kg(most)}, what its tanks hold`,
        'more fuel than its tanks hold'
      )
    })
  })
}

const flows: Rule = (plan, note) => {
  const needsHolding = (rule: Plan['rules']['landingReserve']): boolean =>
    rule.kind === 'minutes' || (rule.kind === 'greatest' && rule.of.some((one) => one.kind === 'minutes'))
  plan.flights.forEach((flight, f) => {
    const t = plan.receiverTypes.findIndex((one) => one.id === flight.receiverTypeId)
    const type = plan.receiverTypes[t]
    if (!type) return
    const asks = (kind: FlowKind, why: string): void => {
      if (!type.flows[kind]) note(`/receiverTypes/${String(t)}/flows/${kind}`, undefined, 'a flow', why)
    }
    flight.route.forEach((phase, p) => {
      if (phase.kind !== 'refuelling' && !phase.flow)
        asks(phase.kind, `/flights/${String(f)}/route/${String(p)} flies it`)
    })
    if (needsHolding(plan.rules.landingReserve)) asks('holding', 'the landing reserve is counted in minutes of holding')
  })
}

/** A visit comes after the take-off, and its push after it is ready; legs leave some ground speed. */
const routes: Rule = (plan, note) => {
  const wind = windOf(plan)
  plan.flights.forEach((flight, f) => {
    let at = plan.bases.find((base) => base.id === flight.departureBaseId)?.position
    let readyAtMs = flight.startsAtMs
    let flown = false
    flight.route.forEach((phase, p) => {
      const path = `/flights/${String(f)}/route/${String(p)}`
      if (phase.kind === 'refuelling') {
        const push = plan.pushGroups.find((group) => group.id === phase.pushGroupId)
        if (!flown) note(path, phase.id, 'a phase in the air before it', 'the visit comes before the take-off')
        if (push && push.pushAtMs < readyAtMs) {
          note(
            path,
            push.pushAtMs,
            `not before ${flight.callSign} is ready, ${String(Math.ceil(readyAtMs))} ms`,
            `its push group ${push.name} pushes before the flight is ready`
          )
        }
        readyAtMs = push?.pushAtMs ?? readyAtMs
        at = controlPoint(plan, phase.tankerId) ?? at
        return
      }
      if (phase.kind !== 'taxi') flown = true
      if (phase.span.by !== 'leg') {
        readyAtMs += phase.span.durationMin * MS_PER_MIN
        if (phase.span.by === 'lump') {
          if (phase.span.durationMin === 0)
            note(`${path}/span/durationMin`, 0, 'above 0', 'fuel given whole needs a time to burn it in')
          at = phase.span.to ?? at
        }
      } else if (at) {
        const timeS = legTimeS(at, phase.span.to, { trueAirspeedMPerS: speedMPerS(phase.span.trueAirspeed), wind })
        if (timeS === undefined)
          note(
            `${path}/span/trueAirspeed/value`,
            phase.span.trueAirspeed.value,
            'faster than the wind on this leg',
            'no ground speed is left'
          )
        else readyAtMs += timeS * 1000
        at = phase.span.to
      }
    })
  })
}

function controlPoint(plan: Plan, tankerId: string): Position | undefined {
  const trackId = plan.tankers.find((tanker) => tanker.id === tankerId)?.trackId
  return plan.tracks.find((track) => track.id === trackId)?.controlPoint
}

/** What is thrown off or dumped on the way can be. */
const lightened: Rule = (plan, note) => {
  plan.flights.forEach((flight, f) => {
    const type = plan.receiverTypes.find((one) => one.id === flight.receiverTypeId)
    if (!type) return
    const gone = new Set<string>()
    flight.route.forEach((phase, p) => {
      if (phase.kind === 'refuelling') return
      const path = `/flights/${String(f)}/route/${String(p)}`
      phase.jettisons?.forEach((id, j) => {
        const group = type.groups.find((one) => one.id === id)
        if (!group?.jettisonable)
          note(`${path}/jettisons/${String(j)}`, id, 'a group of its type that can be jettisoned', 'it stays')
        else if (gone.has(id)) note(`${path}/jettisons/${String(j)}`, id, 'a group still carried', 'it is gone already')
        gone.add(id)
      })
      if (phase.dumpTo && !type.dump)
        note(`${path}/dumpTo/value`, phase.dumpTo.value, 'a type with a dump rate', `${type.name} cannot dump`)
    })
  })
}

const RULES: readonly Rule[] = [
  idsUnique,
  callSignsUnique,
  references,
  bases,
  fallOut,
  times,
  fuelGrade,
  sheets,
  ships,
  flows,
  routes,
  lightened
]

/** Rules that ask no more of what a thing names than is there. */
const LOOSE_RULES: readonly Rule[] = [callSignsUnique, references, bases, times, sheets, ships, flows, lightened]

const ABORT_BASE_NEAR = 'an abort base within reach'

/** Every visit's tanker has a station the type may use, and an abort base within reach. */
const visitsServed: Rule = (plan, note) => {
  const resolved = brief(plan)
  plan.flights.forEach((flight, f) => {
    const its = resolved.flights.get(flight.id)
    if (!its) return
    flight.route.forEach((phase, p) => {
      if (phase.kind !== 'refuelling') return
      const tanker = resolved.tankers.get(phase.tankerId)
      const misfits = (tanker?.stations ?? []).map((station) => stationFault(resolved, its, station))
      if (misfits.every((misfit) => misfit !== undefined)) {
        const why = [...new Set(misfits.map((misfit) => misfit.detail))].join('; ')
        note(
          `/flights/${String(f)}/route/${String(p)}/tankerId`,
          phase.tankerId,
          'a tanker with a compatible station',
          `no compatible station: ${why}`
        )
      }
      for (const ship of its.ships) {
        try {
          abortKg(resolved, ship, tanker?.trackId ?? '')
        } catch (fault) {
          note(
            `/flights/${String(f)}/route/${String(p)}/tankerId`,
            phase.tankerId,
            ABORT_BASE_NEAR,
            fault instanceof Error ? fault.message : 'out of reach'
          )
          break
        }
      }
    })
  })
}

/** Slots of the order stand at stations their ships may use; a ship is ordered at most twice in a visit. */
const ordersFit: Rule = (plan, note) => {
  const resolved = brief(plan)
  plan.orders.forEach((order, o) => {
    order.sequences.forEach((sequence, q) => {
      const station = resolved.stations.get(`${order.tankerId}/${sequence.stationId}`)
      sequence.slots.forEach((slot, s) => {
        const flight = flightOf(plan, slot.shipId)
        const its = flight && resolved.flights.get(flight.id)
        const misfit = its && station && stationFault(resolved, its, station)
        if (!misfit) return
        note(
          `/orders/${String(o)}/sequences/${String(q)}/slots/${String(s)}/shipId`,
          slot.shipId,
          'a ship that may use this station',
          misfit.detail
        )
      })
    })
  })
}

const flightOf = (plan: Plan, shipId: string): Flight | undefined =>
  plan.flights.find((flight) => flight.ships.some((ship) => ship.id === shipId))

const HAND_LIMIT_NAMES: Record<HandLimit, string> = {
  abort: 'abort fuel',
  bingo: 'bingo',
  joker: 'joker',
  required: 'fuel required at push'
}

/** A limit set by hand is a safety margin: it lies at or above what is computed for every ship of the flight. */
const handLimits: Rule = (plan, note) => {
  const resolved = brief(plan)
  plan.flights.forEach((flight, f) => {
    const its = resolved.flights.get(flight.id)
    if (!its) return
    for (const limit of HAND_LIMITS) {
      const given = flight.limits?.[limit]
      if (!given) continue
      const computedKg = its.ships.flatMap((ship) => computedLimits(resolved, its, ship, limit))
      const most = Math.max(0, ...computedKg)
      if (quantityKg(given, resolved.fuelKgPerM3) >= most) continue
      note(
        `/flights/${String(f)}/limits/${limit}/value`,
        given.value,
        `at least the computed one, ${kg(most)}`,
        `${HAND_LIMIT_NAMES[limit]} set by hand can only be higher`
      )
    }
  })
}

function computedLimits(resolved: Brief, flight: FlightBrief, ship: ShipBrief, limit: HandLimit): number[] {
  if (limit === 'bingo') return [bingoRuling(resolved, ship, 0)?.computedKg ?? 0]
  if (limit === 'joker') return [jokerRuling(resolved, ship, 0)?.computedKg ?? 0]
  if (limit === 'required')
    return flight.visits.map((visit) => requiredRuling(resolved, flight, ship, visit).computedKg)
  return flight.visits.flatMap((visit) => {
    const trackId = resolved.tankers.get(visit.tankerId)?.trackId
    return trackId === undefined ? [] : abortRuling(resolved, ship, trackId).computedKg
  })
}

const WORKED_RULES: readonly Rule[] = [visitsServed, landings, ordersFit]
/** Asked where every ship has its limits. */
const LIMIT_RULES: readonly Rule[] = [handLimits]
