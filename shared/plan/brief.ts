/**
 * The plan resolved once a revision: references followed, figures in SI, limits computed. Everything live reads
 * a brief; nothing live reads the plan document again.
 */
import type { Flight, LandingReserve, OnLoadRule, Plan, ReceiverType, TankGroup, Tanker } from '../contracts/plan.ts'
import type { FlowKind, Gauge, HandLimit, Method, PhaseKind, Priority } from '../contracts/kinds.ts'
import type { Position } from '../contracts/quantities.ts'
import type { SpeedBand } from '../order/rules.ts'
import { legTimeS } from '../fuel/burn.ts'
import type { Landing } from './abort.ts'
import { flownBurnsKgPerS } from './burns.ts'
import { frameOf, type Frame } from './frame.ts'
import {
  capacityKg,
  defaultExternalFillRates,
  startState,
  totalKg,
  type GroupSheet,
  type Sheet,
  type TankState
} from '../tanks/sheet.ts'
import { densityKgPerM3, flowKgPerS, massKg, MS_PER_MIN, quantityKg, speedMPerS } from '../units.ts'

const RAD_PER_DEG = Math.PI / 180

/** Weight of a ship in the judgement by its flight's priority, 1 first to 5 last. */
export const WEIGHTS: Record<Priority, number> = { 1: 16, 2: 8, 3: 4, 4: 2, 5: 1 }

export interface Wind {
  fromRad: number
  speedMPerS: number
}

export interface PhaseBrief {
  id: string
  kind: PhaseKind | 'refuelling'
  /** Planned duration; a visit has none, it lasts from ready to push. */
  durationMs: number
  /** Flow of a ship without external tanks, at the reference weight where its sheet has one. */
  flowKgPerS: number
  /** A climb or descent whose fuel is given whole, without external tanks, kg: its flow does not grow with weight. */
  lumpKg: number | undefined
  /** Groups thrown off when it begins. */
  jettisons: readonly string[]
  /** Usable fuel down to which it dumps, kg. */
  dumpToKg: number | undefined
  from: Position
  to: Position
  /** Places among the flight's visits; undefined for a fly phase. */
  visit: VisitBrief | undefined
}

export interface VisitBrief {
  id: string
  /** 0 for the flight's first visit. */
  index: number
  /** Place in the route. */
  phaseIndex: number
  tankerId: string
  pushGroupId: string
  plannedPushAtMs: number
  /** As planned: by the route, and after a visit by its push. */
  readyAtMs: number
  onLoad: OnLoadRule
  /** Wait from ready to slot start that the visit before must leave fuel for. */
  waitAllowanceMs: number
}

/** Weight of a ship without fuel, and the weight its flows are stated at; flows grow with weight in proportion. */
export interface Weighing {
  zeroFuelKg: number
  referenceKg: number
}

/** What is fitted and what a commander has set: everything of a ship that may change during an event. */
export interface Fit {
  /** Groups thrown off. */
  jettisoned: readonly string[]
  /** Limits set by hand, kg. */
  byHandKg: Readonly<Partial<Record<HandLimit, number>>>
}

export interface ShipBrief {
  id: string
  callSign: string
  flightId: string
  sheet: Sheet
  start: TankState
  capacityKg: number
  internalCapacityKg: number
  fit: Fit
  /** Its own on-load rules, by visit; elsewhere the visit's rule holds. */
  onLoads: ReadonlyMap<string, OnLoadRule>
  dragFactor: number
  weighing: Weighing | undefined
  /** Constant burn of each phase, kg/s by place in the route, with what is fitted now and the weight the plan has then. */
  burnsKgPerS: readonly number[]
  /** The same, and less drag from where the plan throws something off: no limit counts on that. */
  plannedBurnsKgPerS: readonly number[]
  approachKg: number
  holdingFlowKgPerS: number
  recoveryFlowKgPerS: number
  /** On its way to a base after it left. */
  divertBurnKgPerS: number
  recoveryAirspeedMPerS: number
}

export interface FlightBrief {
  id: string
  callSign: string
  receiverTypeId: string
  weight: number
  /** Its ships may go to different tankers, and others may come between them. */
  maySpread: boolean
  /** Its ships may leave with their internal tanks full, where their rule asks for more. */
  mayTakeInternalsOnly: boolean
  startsAtMs: number
  phases: readonly PhaseBrief[]
  visits: readonly VisitBrief[]
  /** As planned: at the end of its route. */
  recoversAtMs: number
  recoveryBaseId: string
  /** Recovery base first, then those diverts that are open all along: on the safe side. */
  openBaseIds: readonly string[]
  method: Method
  /** Flows of a ship without external tanks. */
  refuellingFlowKgPerS: number
  recoveryFlowKgPerS: number
  holdingFlowKgPerS: number
  /** Of each external group of its type. */
  dragFactors: ReadonlyMap<string, number>
  ships: readonly ShipBrief[]
  /** Speed between tankers. */
  recoveryAirspeedMPerS: number
}

export interface StationBrief {
  /** `tanker/station`, unique in the plan. */
  key: string
  tankerId: string
  stationId: string
  name: string
  method: Method
  rateKgPerS: number
  hookUpMs: number
  changeoverBetweenMs: number
  /** Keys of the stations that cannot be used together with this one; each of them names this one as well. */
  excludes: readonly string[]
  /** From a disconnect at one of those to a slot start here. */
  methodChangeMs: number
  /** From when on it can be used: the tanker's time, inside its own window where it has one. */
  opensAtMs: number
  /** When it closes by its own window; Infinity without one, however long its tanker stays. */
  closesAtMs: number
}

export interface TankerBrief {
  id: string
  callSign: string
  tankerTypeId: string
  trackId: string
  onStationAtMs: number
  leavesAtMs: number
  fuelOnStationKg: number
  burnKgPerS: number
  keepsKg: number
  mostTransferableKg: number
  /** Of the plan: its meter may count volume. */
  fuelKgPerM3: number
  stations: readonly StationBrief[]
}

export interface TrackBrief {
  id: string
  controlPoint: Position
  orbit: readonly Position[]
  abortBaseId: string
  secondAbortBaseId?: string | undefined
}

export interface Brief {
  plan: Plan
  /** With the same frame the ships of the same flight are the same. */
  frame: Frame
  fuelKgPerM3: number
  wind: Wind
  bases: ReadonlyMap<string, Position>
  landings: ReadonlyMap<string, Landing>
  tracks: ReadonlyMap<string, TrackBrief>
  tankers: ReadonlyMap<string, TankerBrief>
  stations: ReadonlyMap<string, StationBrief>
  flights: ReadonlyMap<string, FlightBrief>
  ships: ReadonlyMap<string, ShipBrief>
  pushGroups: ReadonlyMap<string, { id: string; name: string; pushAtMs: number }>
  /** `receiverType/tankerType/station` of everything allowed. */
  clearances: ReadonlySet<string>
  /** Refuelling speeds by receiver type and by tanker type. */
  receiverSpeeds: ReadonlyMap<string, SpeedBand>
  tankerSpeeds: ReadonlyMap<string, SpeedBand>
  changeoverWithinFlightMs: number
  reformMs: number
  lateMarginS: number
  staleAfterMs: number
  jokerAllowanceKg: number
  landingReserve: LandingReserve
}

export const stationKey = (tankerId: string, stationId: string): string => `${tankerId}/${stationId}`
export const clearanceKey = (receiverTypeId: string, tankerTypeId: string, stationId: string): string =>
  `${receiverTypeId}/${tankerTypeId}/${stationId}`

function groupSheets(groups: readonly TankGroup[], fuelKgPerM3: number): GroupSheet[] {
  const indexOf = new Map(groups.map((group, index) => [group.id, index]))
  const sheets = groups.map((group): GroupSheet => {
    const { role } = group
    return {
      id: group.id,
      name: group.name,
      place: group.place,
      tankCount: group.tankCount,
      capacityKg: quantityKg(group.capacity, fuelKgPerM3),
      unusableKg: quantityKg(group.unusable, fuelKgPerM3),
      fillRateKgPerS: group.fillRate ? flowKgPerS(group.fillRate, fuelKgPerM3) : 0,
      fillsAfter: group.fillsAfter === undefined ? undefined : indexOf.get(group.fillsAfter),
      canShut: group.canShut,
      transferRateKgPerS: group.transferRate ? flowKgPerS(group.transferRate, fuelKgPerM3) : 0,
      role:
        role.kind === 'reserve'
          ? { kind: 'reserve', releasedBelowKg: quantityKg(role.releasedBelow, fuelKgPerM3) }
          : role,
      silencedByExternals: group.silencedByExternals,
      jettisonable: group.jettisonable
    }
  })
  const missing = groups.map((group) => group.place === 'external' && group.fillRate === undefined)
  return missing.includes(true)
    ? sheets.map((sheet, index) =>
        missing[index] ? { ...sheet, fillRateKgPerS: defaultExternalFillRates(sheets)[index] ?? 0 } : sheet
      )
    : sheets
}

/** The tank sheet of one ship: internal groups and those external ones it carries. */
export function sheetOf(type: ReceiverType, fitted: readonly string[], fuelKgPerM3: number): Sheet {
  const carried = type.groups.filter((group) => group.place === 'internal' || fitted.includes(group.id))
  const { gaugeBand, notGivingBelow, feedLowMark, dump } = type
  return {
    groups: groupSheets(carried, fuelKgPerM3),
    feedIndex: carried.findIndex((group) => group.role.kind === 'feed'),
    maxRateKgPerS: flowKgPerS(type.maxRate, fuelKgPerM3),
    gauge: type.gauge satisfies Gauge,
    gaugeBandKg: gaugeBand && {
      lowKg: quantityKg(gaugeBand.low, fuelKgPerM3),
      highKg: quantityKg(gaugeBand.high, fuelKgPerM3)
    },
    notGivingBelowKg: notGivingBelow && quantityKg(notGivingBelow, fuelKgPerM3),
    feedLowMarkKg: feedLowMark && quantityKg(feedLowMark, fuelKgPerM3),
    dump: dump && {
      rateKgPerS: flowKgPerS(dump.rate, fuelKgPerM3),
      groups: dump.groupIds.flatMap((id) => {
        const index = carried.findIndex((group) => group.id === id)
        return index < 0 ? [] : [index]
      })
    }
  }
}

/** Drag factor of each external group of a type. */
export const dragFactorsOf = (type: ReceiverType): ReadonlyMap<string, number> =>
  new Map(type.groups.map((group) => [group.id, group.dragFactor ?? 1]))

/** Product of the drag factors of what is fitted. */
export const dragFactorOf = (factors: ReadonlyMap<string, number>, fitted: readonly string[]): number =>
  fitted.reduce((factor, groupId) => factor * (factors.get(groupId) ?? 1), 1)

export function windOf(plan: Plan): Wind {
  return { fromRad: plan.rules.windFromDeg * RAD_PER_DEG, speedMPerS: speedMPerS(plan.rules.windSpeed) }
}

const bandOf = (type: Pick<ReceiverType, 'refuellingLow' | 'refuellingHigh'>): SpeedBand => ({
  lowMPerS: speedMPerS(type.refuellingLow),
  highMPerS: speedMPerS(type.refuellingHigh)
})

/** What follows from how a ship is fitted. */
function fitted(
  flight: Pick<FlightBrief, 'phases' | 'dragFactors' | 'recoveryFlowKgPerS' | 'holdingFlowKgPerS'>,
  ship: { sheet: Sheet; startKg: number; weighing: Weighing | undefined },
  fit: Fit
) {
  const { sheet, weighing } = ship
  const carries = (gone: readonly string[]): readonly string[] =>
    sheet.groups.flatMap(({ id, place }) => (place === 'external' && !gone.includes(id) ? [id] : []))
  const dragFactor = dragFactorOf(flight.dragFactors, carries(fit.jettisoned))
  let gone = fit.jettisoned
  const plannedDrag = flight.phases.map((phase) => {
    if (phase.jettisons.length > 0) gone = [...gone, ...phase.jettisons]
    return dragFactorOf(flight.dragFactors, carries(gone))
  })
  const burns = (drag: (index: number) => number): readonly number[] =>
    flownBurnsKgPerS(
      flight.phases.map((phase, index) => ({
        durationS: phase.durationMs / 1000,
        flowKgPerS: phase.flowKgPerS * drag(index),
        fullAfter: phase.visit !== undefined,
        lump: phase.lumpKg !== undefined
      })),
      { startKg: ship.startKg, fullKg: capacityKg(sheet), weighing }
    )
  // A ship that leaves is followed home at the burn of a full one, where flows grow with weight.
  const heavy = weighing ? (weighing.zeroFuelKg + capacityKg(sheet)) / weighing.referenceKg : 1
  return {
    fit,
    dragFactor,
    burnsKgPerS: burns(() => dragFactor),
    plannedBurnsKgPerS: burns((index) => plannedDrag[index] ?? dragFactor),
    recoveryFlowKgPerS: flight.recoveryFlowKgPerS * dragFactor,
    divertBurnKgPerS: flight.recoveryFlowKgPerS * dragFactor * heavy,
    holdingFlowKgPerS: flight.holdingFlowKgPerS * dragFactor
  }
}

const refits = new WeakMap<ShipBrief, Map<string, ShipBrief>>()
/** Fits kept by ship; a ship is refitted a few times in an event. */
const REFITS_MOST = 40

/** The ship as it is fitted now: other drag, other burns, limits set by hand. The same object for the same fit. */
export function refitted(plan: Brief, ship: ShipBrief, fit: Fit): ShipBrief {
  const flight = plan.flights.get(ship.flightId)
  const key = JSON.stringify(fit)
  if (!flight || key === JSON.stringify(ship.fit)) return ship
  let known = refits.get(ship)
  if (!known || known.size > REFITS_MOST) refits.set(ship, (known = new Map<string, ShipBrief>()))
  let fresh = known.get(key)
  if (!fresh) {
    fresh = { ...ship, ...fitted(flight, { ...ship, startKg: totalKg(ship.sheet, ship.start) }, fit) }
    known.set(key, fresh)
  }
  return fresh
}

/** When a station of a tanker can be used. */
function windowOf(tanker: Tanker, stationId: string): { opensAtMs: number; closesAtMs: number } {
  const window = tanker.windows?.find((one) => one.stationId === stationId)
  return {
    opensAtMs: Math.max(tanker.onStationAtMs, window?.opensAtMs ?? -Infinity),
    closesAtMs: window?.closesAtMs ?? Infinity
  }
}

/** Not part of the document: a plan in force is still one that could be saved. */
export const CLOSED = Symbol('bases closed for landing')

/** A plan as an event has it: some bases may be closed for landing. */
export interface PlanInForce extends Plan {
  readonly [CLOSED]?: readonly string[]
}

const made = new WeakMap<PlanInForce, Brief>()

/**
 * The brief of a plan that has passed shared/plan/check.ts; made once for each document.
 * @throws RangeError when a reference or a leg does not hold, which the checks have excluded
 */
export function brief(plan: PlanInForce): Brief {
  const known = made.get(plan)
  if (known) return known
  const fresh = makeBrief(plan)
  made.set(plan, fresh)
  return fresh
}

function found<T>(things: ReadonlyMap<string, T>, kind: string, id: string): T {
  const thing = things.get(id)
  if (thing === undefined) throw new RangeError(`${kind} ${id} is not in the plan`)
  return thing
}

/** Everything that a flight is resolved from; what stands in its own row is the flight itself. */
interface FlightMade {
  frame: Frame
  type: ReceiverType
  pushes: readonly unknown[]
  its: FlightBrief
}
const flightsMade = new WeakMap<Flight, FlightMade>()

function flightAgain(flight: Flight, { frame, type, pushes }: Omit<FlightMade, 'its'>): FlightBrief | undefined {
  const had = flightsMade.get(flight)
  const isSame = had?.frame === frame && had.type === type && pushes.every((push, at) => push === had.pushes[at])
  return isSame ? had.its : undefined
}

function makeBrief(plan: PlanInForce): Brief {
  const { rules } = plan
  const frame = frameOf(plan, plan[CLOSED] ?? [])
  const fuelKgPerM3 = densityKgPerM3(plan.fuelDensity)
  const wind = windOf(plan)
  const bases = new Map<string, Position>(plan.bases.map((base) => [base.id, base.position]))
  const landings = landingsOf(plan)
  const tracks = new Map<string, TrackBrief>(plan.tracks.map((track) => [track.id, track]))
  const pushGroups = new Map(plan.pushGroups.map((group) => [group.id as string, group]))
  const receiverTypes = new Map(plan.receiverTypes.map((type) => [type.id as string, type]))
  const tankerTypes = new Map(plan.tankerTypes.map((type) => [type.id as string, type]))

  const tankers = new Map<string, TankerBrief>()
  for (const tanker of plan.tankers) {
    const type = found(tankerTypes, 'tanker type', tanker.tankerTypeId)
    tankers.set(tanker.id, {
      id: tanker.id,
      callSign: tanker.callSign,
      tankerTypeId: tanker.tankerTypeId,
      trackId: tanker.trackId,
      onStationAtMs: tanker.onStationAtMs,
      leavesAtMs: tanker.leavesAtMs,
      fuelOnStationKg: quantityKg(tanker.fuelOnStation, fuelKgPerM3),
      burnKgPerS: flowKgPerS(tanker.burn, fuelKgPerM3),
      keepsKg: quantityKg(tanker.keeps, fuelKgPerM3),
      mostTransferableKg: quantityKg(tanker.mostTransferable, fuelKgPerM3),
      fuelKgPerM3,
      stations: type.stations.map((station): StationBrief => ({
        key: stationKey(tanker.id, station.id),
        tankerId: tanker.id,
        stationId: station.id,
        name: station.name,
        method: station.method,
        rateKgPerS: flowKgPerS(station.maxRate, fuelKgPerM3),
        hookUpMs: (station.method === 'boom' ? rules.hookUpBoomMin : rules.hookUpDrogueMin) * MS_PER_MIN,
        changeoverBetweenMs:
          (station.method === 'boom' ? rules.changeoverBoomMin : rules.changeoverDrogueMin) * MS_PER_MIN,
        excludes: type.stations
          .filter(
            (other) => other.excludes?.includes(station.id) === true || station.excludes?.includes(other.id) === true
          )
          .map((other) => stationKey(tanker.id, other.id)),
        methodChangeMs: (rules.methodChangeMin ?? 0) * MS_PER_MIN,
        ...windowOf(tanker, station.id)
      }))
    })
  }

  const flights = new Map<string, FlightBrief>()
  const ships = new Map<string, ShipBrief>()
  for (const flight of plan.flights) {
    const type = found(receiverTypes, 'receiver type', flight.receiverTypeId)
    const pushes = flight.route.map((phase) => phase.kind === 'refuelling' && pushGroups.get(phase.pushGroupId))
    const again = flightAgain(flight, { frame, type, pushes })
    if (again) {
      flights.set(flight.id, again)
      for (const ship of again.ships) ships.set(ship.id, ship)
      continue
    }
    const flow = (kind: FlowKind): number => {
      const given = type.flows[kind]
      if (!given) throw new RangeError(`receiver type ${type.id} has no flow for ${kind}`)
      return flowKgPerS(given, fuelKgPerM3)
    }
    const visits: VisitBrief[] = []
    const phases: PhaseBrief[] = []
    let at = found(bases, 'base', flight.departureBaseId)
    let readyAtMs = flight.startsAtMs
    for (const phase of flight.route) {
      if (phase.kind === 'refuelling') {
        const tanker = found(tankers, 'tanker', phase.tankerId)
        const track = found(tracks, 'track', tanker.trackId)
        const plannedPushAtMs = found(pushGroups, 'push group', phase.pushGroupId).pushAtMs
        const visit: VisitBrief = {
          id: phase.id,
          index: visits.length,
          phaseIndex: phases.length,
          tankerId: phase.tankerId,
          pushGroupId: phase.pushGroupId,
          plannedPushAtMs,
          readyAtMs,
          onLoad: phase.onLoad,
          waitAllowanceMs: (phase.waitAllowanceMin ?? 0) * MS_PER_MIN
        }
        visits.push(visit)
        readyAtMs = plannedPushAtMs
        at = track.controlPoint
        phases.push({
          id: phase.id,
          kind: 'refuelling',
          durationMs: 0,
          flowKgPerS: flow('refuelling'),
          lumpKg: undefined,
          jettisons: [],
          dumpToKg: undefined,
          from: at,
          to: at,
          visit
        })
        continue
      }
      const { span } = phase
      const to = span.by === 'duration' ? at : (span.to ?? at)
      const durationMs =
        span.by === 'leg' ? legMs(at, to, speedMPerS(span.trueAirspeed), wind, phase.id) : span.durationMin * MS_PER_MIN
      const lumpKg = span.by === 'lump' ? quantityKg(span.fuel, fuelKgPerM3) : undefined
      const lumpKgPerS = lumpKg === undefined || durationMs === 0 ? undefined : lumpKg / (durationMs / 1000)
      phases.push({
        id: phase.id,
        kind: phase.kind,
        durationMs,
        flowKgPerS: lumpKgPerS ?? (phase.flow ? flowKgPerS(phase.flow, fuelKgPerM3) : flow(phase.kind)),
        lumpKg,
        jettisons: phase.jettisons ?? [],
        dumpToKg: phase.dumpTo && quantityKg(phase.dumpTo, fuelKgPerM3),
        from: at,
        to,
        visit: undefined
      })
      at = to
      readyAtMs += durationMs
    }
    const dragFactors = dragFactorsOf(type)
    const { limits } = flight
    const byHandKg: Fit['byHandKg'] = {
      ...(limits?.abort && { abort: quantityKg(limits.abort, fuelKgPerM3) }),
      ...(limits?.bingo && { bingo: quantityKg(limits.bingo, fuelKgPerM3) }),
      ...(limits?.joker && { joker: quantityKg(limits.joker, fuelKgPerM3) }),
      ...(limits?.required && { required: quantityKg(limits.required, fuelKgPerM3) })
    }
    const recoveryAirspeedMPerS = speedMPerS(type.recoveryAirspeed)
    const recoveryFlowKgPerS = flow('recovery')
    const holdingFlowKgPerS = type.flows.holding ? flowKgPerS(type.flows.holding, fuelKgPerM3) : 0
    const weighing = type.weighing && {
      zeroFuelKg: massKg(type.weighing.zeroFuel),
      referenceKg: massKg(type.weighing.reference)
    }
    const flightShips = flight.ships.map((ship): ShipBrief => {
      const sheet = sheetOf(type, ship.fitted, fuelKgPerM3)
      const start = startState(sheet, quantityKg(ship.startFuel, fuelKgPerM3), 'selected')
      return {
        id: ship.id,
        callSign: ship.callSign,
        flightId: flight.id,
        sheet,
        start,
        capacityKg: capacityKg(sheet),
        internalCapacityKg: sheet.groups.reduce(
          (kg, group) => (group.place === 'internal' ? kg + group.tankCount * group.capacityKg : kg),
          0
        ),
        onLoads: new Map(ship.onLoads?.map((one) => [one.visitId, one.onLoad])),
        weighing,
        approachKg: quantityKg(type.approachFuel, fuelKgPerM3),
        recoveryAirspeedMPerS,
        ...fitted(
          { phases, dragFactors, recoveryFlowKgPerS, holdingFlowKgPerS },
          { sheet, startKg: totalKg(sheet, start), weighing },
          { jettisoned: [], byHandKg }
        )
      }
    })
    for (const ship of flightShips) ships.set(ship.id, ship)
    const isOpenAlong = (baseId: string): boolean => {
      const landing = landings.get(baseId)
      return landing !== undefined && landing.opensAtMs <= flight.startsAtMs && readyAtMs <= landing.closesAtMs
    }
    const its: FlightBrief = {
      id: flight.id,
      callSign: flight.callSign,
      receiverTypeId: flight.receiverTypeId,
      weight: WEIGHTS[flight.priority],
      maySpread: flight.maySpread ?? false,
      mayTakeInternalsOnly: flight.mayTakeInternalsOnly ?? false,
      startsAtMs: flight.startsAtMs,
      phases,
      visits,
      recoversAtMs: readyAtMs,
      recoveryBaseId: flight.recoveryBaseId,
      openBaseIds: [
        flight.recoveryBaseId,
        ...flight.divertBaseIds.filter((id) => id !== flight.recoveryBaseId && isOpenAlong(id))
      ],
      method: type.method,
      refuellingFlowKgPerS: flow('refuelling'),
      recoveryFlowKgPerS,
      holdingFlowKgPerS,
      dragFactors,
      ships: flightShips,
      recoveryAirspeedMPerS
    }
    flights.set(flight.id, its)
    flightsMade.set(flight, { frame, type, pushes, its })
  }

  return {
    plan,
    frame,
    fuelKgPerM3,
    wind,
    bases,
    landings,
    tracks,
    tankers,
    stations: new Map(
      [...tankers.values()].flatMap((tanker) => tanker.stations.map((station) => [station.key, station]))
    ),
    flights,
    ships,
    pushGroups,
    clearances: new Set(
      plan.clearances.map((entry) => clearanceKey(entry.receiverTypeId, entry.tankerTypeId, entry.stationId))
    ),
    receiverSpeeds: new Map<string, SpeedBand>(plan.receiverTypes.map((type) => [type.id, bandOf(type)])),
    tankerSpeeds: new Map<string, SpeedBand>(plan.tankerTypes.map((type) => [type.id, bandOf(type)])),
    changeoverWithinFlightMs: rules.changeoverWithinFlightMin * MS_PER_MIN,
    reformMs: rules.reformMin * MS_PER_MIN,
    lateMarginS: rules.lateMarginMin * 60,
    staleAfterMs: rules.staleAfterMin * MS_PER_MIN,
    jokerAllowanceKg: quantityKg(rules.jokerAllowance, fuelKgPerM3),
    landingReserve: rules.landingReserve
  }
}

function landingsOf({ bases, [CLOSED]: closedBaseIds = [] }: PlanInForce): ReadonlyMap<string, Landing> {
  return new Map(
    bases.map(({ id, opensAtMs = -Infinity, closesAtMs = Infinity, fitFor }) => [
      id,
      { opensAtMs, closesAtMs, fitFor: fitFor && new Set<string>(fitFor), closed: closedBaseIds.includes(id) }
    ])
  )
}

function legMs(from: Position, to: Position, trueAirspeedMPerS: number, wind: Wind, phaseId: string): number {
  const timeS = legTimeS(from, to, { trueAirspeedMPerS, wind })
  if (timeS === undefined) throw new RangeError(`phase ${phaseId} leaves no ground speed`)
  return timeS * 1000
}
