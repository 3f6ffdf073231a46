/**
 * Who falls out when the give of a tanker is too short for what its order promises: ships in the order that the plan
 * names, until it is enough. Off-loads are compared as they are; the order itself is judged anew by whoever makes it.
 */
import type { Flight, Plan } from '../contracts/plan.ts'

/** What a tanker lacks, and what each ship with a contact to come there is promised, kg. */
export interface ShortTanker {
  readonly tankerId: string
  readonly shortKg: number
  readonly promisedKg: ReadonlyMap<string, number>
}

export interface Dropped {
  readonly shipId: string
  /** What its falling out leaves to others, kg. */
  readonly freesKg: number
  /** The air spare that steps in, so that its flight still goes with the least it needs. */
  readonly spareId: string | undefined
}

export interface TankerFallOut {
  readonly tankerId: string
  readonly shortKg: number
  readonly dropped: readonly Dropped[]
  /** Named before somebody who falls out, and kept: without them their flights would not go. */
  readonly kept: readonly string[]
  /** What is still too little when everybody who may has fallen out, kg. */
  readonly stillShortKg: number
}

export interface FlightLeft {
  readonly flightId: string
  /** Ships that still go, with the spares that step in. */
  readonly goes: number
  readonly ships: number
  readonly least: number
}

export interface FallOut {
  readonly tankers: readonly TankerFallOut[]
  readonly flights: readonly FlightLeft[]
}

/** Less than this is no shortage: the step in which orders are judged, kg. */
const STEP_KG = 5

/**
 * Ships that fall out, tanker by tanker as given; a ship falls out of all of its visits. A flight keeps the least it goes
 * with: beyond that its ship falls out only where an air spare of its type steps in whose own flight can do without it.
 * A flight without a least may lose all its ships; who is not named in the plan's list never falls out.
 * Checked: tests/shared/plan/fallout.test.ts (constructed, worked out by hand).
 */
export function fallOutOf(plan: Plan, tankers: readonly ShortTanker[]): FallOut {
  const crowd = new Crowd(plan)
  return {
    tankers: tankers.flatMap((tanker) => (tanker.shortKg < STEP_KG ? [] : [ofTanker(plan, tanker, crowd)])),
    flights: plan.flights.map((flight) => ({
      flightId: flight.id,
      goes: crowd.goes(flight),
      ships: flight.ships.length,
      least: flight.leastShipCount ?? 0
    }))
  }
}

function ofTanker(plan: Plan, { tankerId, shortKg, promisedKg }: ShortTanker, crowd: Crowd): TankerFallOut {
  const dropped: Dropped[] = []
  const kept: string[] = []
  // Who fell out at another tanker takes nothing here either.
  let lacksKg = shortKg - sum([...crowd.fallen].map((shipId) => promisedKg.get(shipId) ?? 0))
  for (const shipId of plan.fallOut ?? []) {
    if (lacksKg < STEP_KG) break
    const freesKg = promisedKg.get(shipId) ?? 0
    if (freesKg <= 0 || crowd.fallen.has(shipId)) continue
    const fate = crowd.drop(shipId)
    if (fate === 'kept') kept.push(shipId)
    else {
      dropped.push({ shipId, freesKg, spareId: fate.spareId })
      lacksKg -= freesKg
    }
  }
  return { tankerId, shortKg, dropped, kept, stillShortKg: Math.max(0, lacksKg) }
}

/** Who still goes, and in whose place. */
class Crowd {
  readonly fallen = new Set<string>()
  /** Spares that have stepped in, by the flight they fly with now. */
  private readonly stepped = new Map<string, string>()
  private readonly plan: Plan

  constructor(plan: Plan) {
    this.plan = plan
  }

  goes(flight: Flight): number {
    const own = flight.ships.filter(({ id }) => !this.fallen.has(id) && !this.stepped.has(id)).length
    return own + [...this.stepped.values()].filter((flightId) => flightId === flight.id).length
  }

  drop(shipId: string): 'kept' | { spareId: string | undefined } {
    const flight = this.plan.flights.find((one) => one.ships.some(({ id }) => id === shipId))
    if (!flight || this.stepped.has(shipId)) return 'kept'
    const spareId = this.goes(flight) > (flight.leastShipCount ?? 0) ? undefined : this.spareFor(flight)
    if (spareId === undefined && this.goes(flight) <= (flight.leastShipCount ?? 0)) return 'kept'
    if (spareId !== undefined) this.stepped.set(spareId, flight.id)
    this.fallen.add(shipId)
    return { spareId }
  }

  private spareFor({ id: flightId, receiverTypeId }: Flight): string | undefined {
    for (const flight of this.plan.flights) {
      if (flight.id === flightId || flight.receiverTypeId !== receiverTypeId) continue
      if (this.goes(flight) <= (flight.leastShipCount ?? 0)) continue
      const spare = flight.ships.find(
        ({ id, airSpare }) => airSpare === true && !this.fallen.has(id) && !this.stepped.has(id)
      )
      if (spare) return spare.id
    }
    return undefined
  }
}

const sum = (values: readonly number[]): number => values.reduce((whole, value) => whole + value, 0)
