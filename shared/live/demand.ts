/**
 * What a plan asks of its tankers before there is any order: station time and give by method, the cycle of each push
 * group. Nobody waits for anybody in it: every contact is taken at the ship's ready time, at the station where it is
 * over first.
 */
import type { Method } from '../contracts/kinds.ts'
import type { Plan, TankerOrder } from '../contracts/plan.ts'
import { pieceAt, serviceAt, type ServiceCurve } from '../order/curves.ts'
import { fewestReaching, mostCrowded, type Crowd } from '../order/demand.ts'
import type { SlotIn, StationIn, TankerIn } from '../order/times.ts'
import { brief, type Brief, type FlightBrief, type ShipBrief, type VisitBrief } from '../plan/brief.ts'
import { stationFault } from '../plan/stations.ts'
import { crewsOf, orderIn } from './slots.ts'
import { emptyState } from './state.ts'

/** One planned contact, by itself. */
export interface AskedContact {
  readonly shipId: string
  readonly visitId: string
  readonly tankerId: string
  readonly pushGroupId: string
  readonly method: Method
  /** Ready and its tanker on station. */
  readonly readyAtMs: number
  /** The planned push less the time to reform. */
  readonly dueAtMs: number
  readonly hookUpS: number
  readonly fillS: number
  /** At whatever instant before the push it is shortest: a ship that waited may fill faster for the same fuel. */
  readonly leastFillS: number
  /** Within its flight, and from another one for the first of it. */
  readonly changeoverS: number
  readonly onLoadKg: number
  /** False: hook-up and fill alone last beyond the push, whatever the tankers. */
  readonly fits: boolean
}

export interface MethodDemand {
  readonly method: Method
  readonly contacts: readonly AskedContact[]
  /** Hook-up, fill and changeover of all contacts. */
  readonly stationS: number
  /** Stations of the method, on station from the first ready to the last push. */
  readonly thereS: number
  readonly stationCount: number
  /** When most stations are needed, among contacts that fit, each with its least fill. */
  readonly crowd: Crowd | undefined
  readonly askedKg: number
  readonly giveKg: number
  readonly tankerCount: number
  readonly tankersByTime: number
  /** Undefined: none of its tankers has anything to give. */
  readonly tankersByGive: number | undefined
  /** The larger of the two. */
  readonly tankers: number | undefined
  /** Which of the two its tankers do not cover. */
  readonly binds: 'time' | 'give' | 'both' | 'neither'
}

export interface GroupCycle {
  readonly pushGroupId: string
  readonly contactCount: number
  readonly fromMs: number
  readonly dueAtMs: number
  /** From the first ready to the last disconnect. */
  readonly cycleS: number
  readonly windowS: number
}

export interface PlanDemand {
  readonly methods: readonly MethodDemand[]
  readonly groups: readonly GroupCycle[]
}

const known = new WeakMap<Plan, PlanDemand>()

/**
 * What a checked plan asks for, kept by plan. Instants are event time in ms, spans s, masses kg.
 *
 * By time: the stations that the most crowded span takes (order/demand.ts), and the fewest tankers that have them. By
 * give: the fewest whose give at their planned leaving reaches all on-loads at the ready times. Where its own tankers are
 * too few, more of the greatest among them. No order does with fewer; that so many are enough an order must show. A
 * second visit starts from what the first left when taken at the ready time; a tanker with stations of two methods counts
 * for each.
 * The cycle of a push group: its ships in order of ready, each at the station of its tanker where it is done first, the
 * group alone, with the exact service at that contact.
 * Checked: tests/shared/live/demand.test.ts (constructed; alike with the constant-service formula).
 */
export function demandOf(plan: Plan): PlanDemand {
  const had = known.get(plan)
  if (had) return had
  const fresh = makeDemand(brief(plan))
  known.set(plan, fresh)
  return fresh
}

type Slot = SlotIn<unknown>
interface Asking {
  readonly contact: AskedContact
  readonly slot: Slot
  readonly ready: ReturnType<Slot['ready']>
  readonly stations: readonly StationIn[]
}

function makeDemand(plan: Brief): PlanDemand {
  const askings = askingsOf(plan)
  const methods = [...new Set(askings.map(({ contact }) => contact.method))].sort()
  const { tankers } = inputOf(plan, [])
  return {
    methods: methods.map((method) =>
      methodDemand(
        plan,
        method,
        askings.flatMap(({ contact }) => (contact.method === method ? [contact] : [])),
        tankers
      )
    ),
    groups: [...plan.pushGroups.keys()].flatMap((pushGroupId) => {
      const its = askings.filter(({ contact }) => contact.pushGroupId === pushGroupId)
      return its.length === 0 ? [] : [cycleOf(plan, pushGroupId, its)]
    })
  }
}

const inputOf = (plan: Brief, orders: readonly TankerOrder[]) => {
  const state = { ...emptyState('asked'), plan: plan.plan }
  const nowMs = plan.plan.opensAtMs
  return orderIn(state, plan, crewsOf(state, plan, nowMs), nowMs, orders).input
}

const idOf = (ship: ShipBrief, visit: VisitBrief): string => `${ship.id} ${visit.id}`

/** Stations of the visit's own tanker that the flight may use. */
const usable = (plan: Brief, flight: FlightBrief, visit: VisitBrief) =>
  (plan.tankers.get(visit.tankerId)?.stations ?? []).filter((station) => !stationFault(plan, flight, station))

/** Every contact of the plan, each ship's in order of visit. */
function askingsOf(plan: Brief): Asking[] {
  const flights = [...plan.flights.values()]
  const orders = [...plan.tankers.values()].map((tanker) => ({
    tankerId: tanker.id,
    sequences: tanker.stations.map((station) => ({
      stationId: station.stationId,
      slots: flights.flatMap((flight) =>
        flight.visits.flatMap((visit) =>
          visit.tankerId === tanker.id && usable(plan, flight, visit)[0] === station
            ? flight.ships.map((ship) => ({ id: idOf(ship, visit), shipId: ship.id, visitId: visit.id }))
            : []
        )
      )
    }))
  })) as TankerOrder[]
  const input = inputOf(plan, orders)
  const slots = new Map(input.slots.map((slot) => [slot.id, slot]))
  const stations = new Map(input.stations.map((station) => [station.id, station]))
  return flights.flatMap((flight) =>
    flight.ships.flatMap((ship, place) => {
      let before: Parameters<Slot['ready']>[0]
      return flight.visits.flatMap((visit): Asking[] => {
        const slot = slots.get(idOf(ship, visit)) as Slot | undefined
        const may = usable(plan, flight, visit).flatMap((station) => stations.get(station.key) ?? [])
        if (!slot) return []
        const ready = slot.ready(before, undefined)
        const asking = askingAt(plan, flight, ship, visit, { slot, ready, stations: may, first: place === 0 })
        before = { disconnectAtMs: asking.disconnectAtMs, pushAtMs: visit.plannedPushAtMs, state: asking.state }
        return [{ contact: asking.contact, slot, ready, stations: may }]
      })
    })
  )
}

/** A contact at the station where it is shortest, begun when ship and tanker are there. */
function askingAt(
  plan: Brief,
  flight: FlightBrief,
  ship: ShipBrief,
  visit: VisitBrief,
  { slot, ready, stations, first }: Omit<Asking, 'contact'> & { first: boolean }
) {
  const [best] = stations
    .map((station) => {
      const startAtMs = Math.max(ready.atMs, station.opensAtMs)
      const contactAtMs = startAtMs + station.hookUpMs
      return { station, startAtMs, contactAtMs, served: slot.serve(station, ready, contactAtMs) }
    })
    .sort((a, b) => a.served.disconnectAtMs - b.served.disconnectAtMs)
  if (!best) throw new RangeError(`no station for ${ship.id} at visit ${visit.id}`)
  const { station, startAtMs, contactAtMs, served } = best
  const dueAtMs = visit.plannedPushAtMs - plan.reformMs
  const changeoverMs = first ? station.changeoverBetweenMs : station.changeoverWithinFlightMs
  const contact: AskedContact = {
    shipId: ship.id,
    visitId: visit.id,
    tankerId: visit.tankerId,
    pushGroupId: visit.pushGroupId,
    method: flight.method,
    readyAtMs: startAtMs,
    dueAtMs,
    hookUpS: station.hookUpMs / 1000,
    fillS: (served.disconnectAtMs - contactAtMs) / 1000,
    leastFillS: Math.min(
      (served.disconnectAtMs - contactAtMs) / 1000,
      ...stations.map((one) => leastFillMs(slot.curve(one, ready), contactAtMs, dueAtMs) / 1000)
    ),
    changeoverS: changeoverMs / 1000,
    onLoadKg: served.onLoadKg,
    fits: served.disconnectAtMs <= dueAtMs
  }
  return { contact, disconnectAtMs: served.disconnectAtMs, state: served.state }
}

/** The shortest fill of a contact that begins between two instants; Infinity where the curve has none. */
function leastFillMs(curve: ServiceCurve, fromMs: number, toMs: number): number {
  const instants = [fromMs, toMs, ...curve.contactAtMs.filter((atMs) => atMs > fromMs && atMs < toMs)]
  return instants.reduce(
    (least, atMs) => (pieceAt(curve, atMs) < 0 ? least : Math.min(least, serviceAt(curve, atMs).disconnectAtMs - atMs)),
    Infinity
  )
}

function methodDemand(
  plan: Brief,
  method: Method,
  contacts: readonly AskedContact[],
  givers: readonly TankerIn[]
): MethodDemand {
  const tankers = [...plan.tankers.values()].flatMap((tanker) => {
    const stationCount = tanker.stations.filter((station) => station.method === method).length
    const giver = givers.find((one) => one.id === tanker.id)
    const giveKg = giver?.giveKg(tanker.leavesAtMs) ?? 0
    const { onStationAtMs, leavesAtMs } = tanker
    return stationCount === 0 ? [] : [{ stationCount, giveKg, onStationAtMs, leavesAtMs }]
  })
  const thereMs = (fromMs: number, toMs: number): number =>
    tankers.reduce((sum, { stationCount, onStationAtMs, leavesAtMs }) => {
      const spanMs = Math.min(toMs, leavesAtMs) - Math.max(fromMs, onStationAtMs)
      return sum + stationCount * Math.max(0, spanMs)
    }, 0)
  const stationCount = tankers.reduce((sum, tanker) => sum + tanker.stationCount, 0)
  const fitting = contacts.filter((contact) => contact.fits)
  const crowd = mostCrowded(
    fitting.map((contact) => ({
      readyAtMs: contact.readyAtMs,
      dueAtMs: contact.dueAtMs,
      serviceMs: (contact.hookUpS + contact.leastFillS) * 1000,
      changeoverMs: contact.changeoverS * 1000
    }))
  )
  const askedKg = contacts.reduce((kg, contact) => kg + contact.onLoadKg, 0)
  const giveKg = tankers.reduce((kg, tanker) => kg + tanker.giveKg, 0)
  const stationsOf = tankers.map((tanker) => tanker.stationCount)
  const tankersByTime = fewestReaching(crowd?.stations ?? 0, stationsOf) ?? 0
  const tankersByGive = fewestReaching(
    askedKg,
    tankers.map((tanker) => tanker.giveKg)
  )
  const short = {
    time: (crowd?.stations ?? 0) > stationCount || fitting.length < contacts.length,
    give: tankersByGive === undefined || tankersByGive > tankers.length
  }
  return {
    method,
    contacts,
    stationS: contacts.reduce((sum, { hookUpS, fillS, changeoverS }) => sum + hookUpS + fillS + changeoverS, 0),
    thereS:
      thereMs(
        Math.min(...contacts.map((contact) => contact.readyAtMs)),
        Math.max(...contacts.map((contact) => contact.dueAtMs))
      ) / 1000,
    stationCount,
    crowd,
    askedKg,
    giveKg,
    tankerCount: tankers.length,
    tankersByTime,
    tankersByGive,
    tankers: tankersByGive === undefined ? undefined : Math.max(tankersByTime, tankersByGive),
    binds: short.time ? (short.give ? 'both' : 'time') : short.give ? 'give' : 'neither'
  }
}

function cycleOf(plan: Brief, pushGroupId: string, askings: readonly Asking[]): GroupCycle {
  const inTurn = askings.toSorted((a, b) => a.contact.readyAtMs - b.contact.readyAtMs)
  const free = new Map<string, { atMs: number; flightId: string }>()
  let lastMs = -Infinity
  for (const { slot, ready, stations } of inTurn) {
    let first: { stationId: string; disconnectAtMs: number } | undefined
    for (const station of stations) {
      const last = free.get(station.id)
      const { changeoverWithinFlightMs: within, changeoverBetweenMs: between } = station
      const freeAtMs = last ? last.atMs + (last.flightId === slot.flightId ? within : between) : station.opensAtMs
      const contactAtMs = Math.max(ready.atMs, freeAtMs) + station.hookUpMs
      const { disconnectAtMs } = slot.serve(station, ready, contactAtMs)
      if (!first || disconnectAtMs < first.disconnectAtMs) first = { stationId: station.id, disconnectAtMs }
    }
    if (!first) continue
    free.set(first.stationId, { atMs: first.disconnectAtMs, flightId: slot.flightId })
    lastMs = Math.max(lastMs, first.disconnectAtMs)
  }
  const fromMs = Math.min(...askings.map(({ contact }) => contact.readyAtMs))
  const dueAtMs = (plan.pushGroups.get(pushGroupId)?.pushAtMs ?? NaN) - plan.reformMs
  return {
    pushGroupId,
    contactCount: askings.length,
    fromMs,
    dueAtMs,
    cycleS: (lastMs - fromMs) / 1000,
    windowS: (dueAtMs - fromMs) / 1000
  }
}
