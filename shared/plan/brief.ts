/**
 * The plan resolved once a revision: references followed, figures in SI, limits computed. Everything live reads
 * a brief; nothing live reads the plan document again.
 */
import type { LandingReserve, OnLoadRule, Plan, ReceiverType, TankGroup } from '../contracts/plan.ts'
import type { FlowKind, Gauge, Method, PhaseKind, Priority } from '../contracts/kinds.ts'
import type { Position } from '../contracts/quantities.ts'
import type { SpeedBand } from '../order/rules.ts'
import { legTimeS } from '../fuel/burn.ts'
import { landingReserveKg, type ReserveRule } from '../fuel/limits.ts'
import {
  capacityKg,
  defaultExternalFillRates,
  startState,
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
  /** Flow of a ship without external tanks. */
  flowKgPerS: number
  from: Position
  to: Position
  /** Places among the flight's visits; undefined for a fly phase. */
  visit: VisitBrief | undefined
}

export interface VisitBrief {
  id: string
  /** 0 for the flight's first visit. */
  index: number
  tankerId: string
  pushGroupId: string
  plannedPushAtMs: number
  onLoad: OnLoadRule
  abortBaseId: string
}

export interface ShipBrief {
  id: string
  callSign: string
  flightId: string
  sheet: Sheet
  start: TankState
  capacityKg: number
  internalCapacityKg: number
  dragFactor: number
  approachKg: number
  reserveKg: number
  recoveryFlowKgPerS: number
  recoveryAirspeedMPerS: number
}

export interface FlightBrief {
  id: string
  callSign: string
  receiverTypeId: string
  weight: number
  startsAtMs: number
  phases: readonly PhaseBrief[]
  visits: readonly VisitBrief[]
  recoveryBaseId: string
  /** Recovery base first, then the diverts. */
  openBaseIds: readonly string[]
  method: Method
  refuellingFlowKgPerS: number
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
  stations: readonly StationBrief[]
}

export interface TrackBrief {
  id: string
  controlPoint: Position
  orbit: readonly Position[]
  abortBaseId: string
}

export interface Brief {
  plan: Plan
  fuelKgPerM3: number
  wind: Wind
  bases: ReadonlyMap<string, Position>
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
  return {
    groups: groupSheets(carried, fuelKgPerM3),
    feedIndex: carried.findIndex((group) => group.role.kind === 'feed'),
    maxRateKgPerS: flowKgPerS(type.maxRate, fuelKgPerM3),
    gauge: type.gauge satisfies Gauge
  }
}

/** Product of the drag factors of what is fitted. */
export function dragFactorOf(type: ReceiverType, fitted: readonly string[]): number {
  return type.groups.reduce(
    (factor, group) => (fitted.includes(group.id) ? factor * (group.dragFactor ?? 1) : factor),
    1
  )
}

/** A reserve rule with its masses and times in SI. */
export function reserveRuleOf(rule: LandingReserve): ReserveRule {
  switch (rule.kind) {
    case 'minutes':
      return { kind: 'minutes', holdingS: rule.holdingMin * 60 }
    case 'fixed':
      return { kind: 'fixed', fuelKg: massKg(rule.fuel) }
    case 'greatest':
      return { kind: 'greatest', of: rule.of.map(reserveRuleOf) }
  }
}

export function windOf(plan: Plan): Wind {
  return { fromRad: plan.rules.windFromDeg * RAD_PER_DEG, speedMPerS: speedMPerS(plan.rules.windSpeed) }
}

const bandOf = (type: Pick<ReceiverType, 'refuellingLow' | 'refuellingHigh'>): SpeedBand => ({
  lowMPerS: speedMPerS(type.refuellingLow),
  highMPerS: speedMPerS(type.refuellingHigh)
})

const made = new WeakMap<Plan, Brief>()

/**
 * The brief of a plan that has passed shared/plan/check.ts; made once for each document.
 * @throws RangeError when a reference or a leg does not hold, which the checks have excluded
 */
export function brief(plan: Plan): Brief {
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

function makeBrief(plan: Plan): Brief {
  const { rules } = plan
  const fuelKgPerM3 = densityKgPerM3(plan.fuelDensity)
  const wind = windOf(plan)
  const bases = new Map<string, Position>(plan.bases.map((base) => [base.id, base.position]))
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
      fuelOnStationKg: massKg(tanker.fuelOnStation),
      burnKgPerS: flowKgPerS(tanker.burn, fuelKgPerM3),
      keepsKg: massKg(tanker.keeps),
      mostTransferableKg: massKg(tanker.mostTransferable),
      stations: type.stations.map((station) => ({
        key: stationKey(tanker.id, station.id),
        tankerId: tanker.id,
        stationId: station.id,
        name: station.name,
        method: station.method,
        rateKgPerS: flowKgPerS(station.maxRate, fuelKgPerM3),
        hookUpMs: (station.method === 'boom' ? rules.hookUpBoomMin : rules.hookUpDrogueMin) * MS_PER_MIN,
        changeoverBetweenMs:
          (station.method === 'boom' ? rules.changeoverBoomMin : rules.changeoverDrogueMin) * MS_PER_MIN
      }))
    })
  }

  const flights = new Map<string, FlightBrief>()
  const ships = new Map<string, ShipBrief>()
  for (const flight of plan.flights) {
    const type = found(receiverTypes, 'receiver type', flight.receiverTypeId)
    const flow = (kind: FlowKind): number => {
      const given = type.flows[kind]
      if (!given) throw new RangeError(`receiver type ${type.id} has no flow for ${kind}`)
      return flowKgPerS(given, fuelKgPerM3)
    }
    const visits: VisitBrief[] = []
    const phases: PhaseBrief[] = []
    let at = found(bases, 'base', flight.departureBaseId)
    for (const phase of flight.route) {
      if (phase.kind === 'refuelling') {
        const tanker = found(tankers, 'tanker', phase.tankerId)
        const track = found(tracks, 'track', tanker.trackId)
        const visit: VisitBrief = {
          id: phase.id,
          index: visits.length,
          tankerId: phase.tankerId,
          pushGroupId: phase.pushGroupId,
          plannedPushAtMs: found(pushGroups, 'push group', phase.pushGroupId).pushAtMs,
          onLoad: phase.onLoad,
          abortBaseId: track.abortBaseId
        }
        visits.push(visit)
        at = track.controlPoint
        phases.push({
          id: phase.id,
          kind: 'refuelling',
          durationMs: 0,
          flowKgPerS: flow('refuelling'),
          from: at,
          to: at,
          visit
        })
        continue
      }
      const flowing = phase.flow ? flowKgPerS(phase.flow, fuelKgPerM3) : flow(phase.kind)
      const to = phase.span.by === 'leg' ? phase.span.to : at
      const durationMs =
        phase.span.by === 'duration'
          ? phase.span.durationMin * MS_PER_MIN
          : legMs(at, to, speedMPerS(phase.span.trueAirspeed), wind, phase.id)
      phases.push({ id: phase.id, kind: phase.kind, durationMs, flowKgPerS: flowing, from: at, to, visit: undefined })
      at = to
    }
    const reserve = reserveRuleOf(rules.landingReserve)
    const holding = type.flows.holding ? flowKgPerS(type.flows.holding, fuelKgPerM3) : 0
    const recoveryAirspeedMPerS = speedMPerS(type.recoveryAirspeed)
    const flightShips = flight.ships.map((ship): ShipBrief => {
      const sheet = sheetOf(type, ship.fitted, fuelKgPerM3)
      const dragFactor = dragFactorOf(type, ship.fitted)
      return {
        id: ship.id,
        callSign: ship.callSign,
        flightId: flight.id,
        sheet,
        start: startState(sheet, massKg(ship.startFuel), 'selected'),
        capacityKg: capacityKg(sheet),
        internalCapacityKg: sheet.groups.reduce(
          (kg, group) => (group.place === 'internal' ? kg + group.tankCount * group.capacityKg : kg),
          0
        ),
        dragFactor,
        approachKg: massKg(type.approachFuel),
        reserveKg: landingReserveKg(reserve, holding * dragFactor),
        recoveryFlowKgPerS: flow('recovery') * dragFactor,
        recoveryAirspeedMPerS
      }
    })
    for (const ship of flightShips) ships.set(ship.id, ship)
    flights.set(flight.id, {
      id: flight.id,
      callSign: flight.callSign,
      receiverTypeId: flight.receiverTypeId,
      weight: WEIGHTS[flight.priority],
      startsAtMs: flight.startsAtMs,
      phases,
      visits,
      recoveryBaseId: flight.recoveryBaseId,
      openBaseIds: [flight.recoveryBaseId, ...flight.divertBaseIds.filter((id) => id !== flight.recoveryBaseId)],
      method: type.method,
      refuellingFlowKgPerS: flow('refuelling'),
      ships: flightShips,
      recoveryAirspeedMPerS
    })
  }

  return {
    plan,
    fuelKgPerM3,
    wind,
    bases,
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
    jokerAllowanceKg: massKg(rules.jokerAllowance)
  }
}

function legMs(from: Position, to: Position, trueAirspeedMPerS: number, wind: Wind, phaseId: string): number {
  const timeS = legTimeS(from, to, { trueAirspeedMPerS, wind })
  if (timeS === undefined) throw new RangeError(`phase ${phaseId} leaves no ground speed`)
  return timeS * 1000
}
