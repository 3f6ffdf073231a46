import type { Plan } from '../shared/contracts/plan.ts'
import type { MassUnit, Method, Priority } from '../shared/contracts/kinds.ts'
import type { ProblemCode } from '../shared/contracts/problem.ts'

/** Why a ship may not use a station, as the service would refuse it. */
export type Misfit = Extract<ProblemCode, 'method-mismatch' | 'no-clearance'>

/** The names a plan gives to the ids a view speaks of. An id the plan does not know is shown as it is. */
export interface Labels {
  eventName: string
  massUnit: MassUnit
  ship: (shipId: string) => string
  tanker: (tankerId: string) => string
  /** Tanker and station: `Kelp boom`. */
  station: (tankerId: string, stationId: string) => string
  track: (trackId: string) => string
  base: (baseId: string) => string
  flight: (flightId: string) => string
  pushGroup: (pushGroupId: string) => string
  /** What a flight does in a phase: `transit`, or `refuelling at Kelp`. */
  phase: (phaseId: string) => string
  gaugeOf: (shipId: string) => 'total' | 'internal'
  /** A group of its tanks. */
  tank: (shipId: string, groupId: string) => string
  /** Ships of one type share the scale of their vessel bars. */
  typeOf: (shipId: string) => string
  mayUse: (shipId: string, tankerId: string, stationId: string) => boolean
  /** Why it may not; undefined where it may. */
  misfit: (shipId: string, tankerId: string, stationId: string) => Misfit | undefined
  /** 1 first to 5; of a ship the plan does not know, 5. */
  priority: (shipId: string) => Priority
  /** Names of ships, a whole flight by its own: `all Alder, Kelp 2`. */
  ships: (shipIds: readonly string[]) => string
}

const byId = <Item extends { id: string }>(items: readonly Item[]): ReadonlyMap<string, Item> =>
  new Map(items.map((item) => [item.id, item]))

export function labelsOf(plan: Plan): Labels {
  const ships = byId(plan.flights.flatMap((flight) => flight.ships))
  const flightOfShip = new Map<string, Plan['flights'][number]>(
    plan.flights.flatMap((flight) => flight.ships.map((ship) => [ship.id, flight] as const))
  )
  const types = byId(plan.receiverTypes)
  const tankers = byId(plan.tankers)
  const tankerTypes = byId(plan.tankerTypes)
  const tracks = byId(plan.tracks)
  const bases = byId(plan.bases)
  const flights = byId(plan.flights)
  const pushGroups = byId(plan.pushGroups)
  const phases = byId(plan.flights.flatMap((flight) => flight.route))
  const cleared = new Set(
    plan.clearances.map((line) => `${line.receiverTypeId} ${line.tankerTypeId} ${line.stationId}`)
  )

  const tanker = (tankerId: string) => tankers.get(tankerId)?.callSign ?? tankerId
  const stationOf = (tankerId: string, stationId: string) =>
    tankerTypes.get(tankers.get(tankerId)?.tankerTypeId ?? '')?.stations.find((station) => station.id === stationId)
  const typeOf = (shipId: string) => flightOfShip.get(shipId)?.receiverTypeId ?? ''
  const methodOf = (shipId: string): Method | undefined => types.get(typeOf(shipId))?.method

  const misfit = (shipId: string, tankerId: string, stationId: string): Misfit | undefined => {
    if (stationOf(tankerId, stationId)?.method !== methodOf(shipId)) return 'method-mismatch'
    const line = `${typeOf(shipId)} ${tankers.get(tankerId)?.tankerTypeId ?? ''} ${stationId}`
    return cleared.has(line) ? undefined : 'no-clearance'
  }

  return {
    eventName: plan.name,
    massUnit: plan.massUnit,
    ship: (shipId) => ships.get(shipId)?.callSign ?? shipId,
    tanker,
    station: (tankerId, stationId) => `${tanker(tankerId)} ${stationOf(tankerId, stationId)?.name ?? stationId}`,
    track: (trackId) => tracks.get(trackId)?.name ?? trackId,
    base: (baseId) => bases.get(baseId)?.name ?? baseId,
    flight: (flightId) => flights.get(flightId)?.callSign ?? flightId,
    pushGroup: (pushGroupId) => pushGroups.get(pushGroupId)?.name ?? pushGroupId,
    phase: (phaseId) => {
      const phase = phases.get(phaseId)
      if (phase === undefined) return phaseId
      return phase.kind === 'refuelling' ? `refuelling at ${tanker(phase.tankerId)}` : phase.kind
    },
    gaugeOf: (shipId) => types.get(typeOf(shipId))?.gauge ?? 'total',
    tank: (shipId, groupId) => types.get(typeOf(shipId))?.groups.find(({ id }) => id === groupId)?.name ?? groupId,
    typeOf,
    mayUse: (shipId, tankerId, stationId) => misfit(shipId, tankerId, stationId) === undefined,
    misfit,
    priority: (shipId) => flightOfShip.get(shipId)?.priority ?? 5,
    ships: (shipIds) => shipNames(plan, new Set(shipIds))
  }
}

function shipNames(plan: Plan, shipIds: ReadonlySet<string>): string {
  return plan.flights
    .flatMap((flight) => {
      const named = flight.ships.filter((ship) => shipIds.has(ship.id))
      const whole = named.length > 1 && named.length === flight.ships.length
      return whole ? [`all ${flight.callSign}`] : named.map((ship) => ship.callSign)
    })
    .join(', ')
}
