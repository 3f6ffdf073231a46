/** What one ship truly is: its tanks, and the limits of its flight. Nothing here asks the code under test. */
import {
  APPROACH_KG,
  flowOf,
  FLOW,
  HOME_M_PER_S,
  ORBIT_KM,
  RESERVE_S,
  TRANSFER_KG_PER_S,
  visitIndexOf,
  type Flight,
  type Flown,
  type Piece,
  type Type
} from './fleet.ts'

export type Status = 'planned' | 'flying' | 'waiting' | 'in contact' | 'done' | 'left' | 'landed'

export interface Tanks {
  internalKg: number
  externalKg: number
  externals: 'selected' | 'held'
  /** The external neither gives nor takes. */
  stuck: boolean
}

export const totalKg = ({ internalKg, externalKg }: Tanks): number => internalKg + externalKg
export const usableKg = ({ internalKg, externalKg, stuck }: Tanks): number => internalKg + (stuck ? 0 : externalKg)
/** What limits may count on: no externals that are held or stuck. */
export const countedKg = (tanks: Tanks): number => (tanks.externals === 'selected' ? usableKg(tanks) : tanks.internalKg)
export const fullScaleKg = (type: Type): number => type.internalKg + (type.gauge === 'internal' ? 0 : type.externalKg)
export const gaugeKg = (type: Type, tanks: Tanks): number =>
  type.gauge === 'internal' ? tanks.internalKg : totalKg(tanks)

/** Burns so much: externals fill up what is inside, as fast as they give. */
export function burn(type: Type, tanks: Tanks, burnedKg: number, durationS: number): void {
  tanks.internalKg -= burnedKg
  if (tanks.externals === 'held' || tanks.stuck) return
  const room = type.internalKg - tanks.internalKg
  const given = Math.min(room, tanks.externalKg, TRANSFER_KG_PER_S * durationS)
  tanks.internalKg += given
  tanks.externalKg -= given
}

/** Fills for a second; gives what came through the station, kg. Full tanks inside take what is burned, and no more. */
export function fill(type: Type, tanks: Tanks, stationKgPerS: number, burnKgPerS: number): number {
  const { internal, external, most } = type.fillKgPerS
  const capKg = Math.min(stationKgPerS, most)
  const roomKg = type.internalKg - tanks.internalKg
  const outsideKg = tanks.stuck ? 0 : Math.min(external, type.externalKg - tanks.externalKg)
  const insideKg = roomKg <= 0 ? Math.min(burnKgPerS, capKg) : Math.min(internal, roomKg + burnKgPerS)
  const first = roomKg <= 0 ? insideKg : 0
  const wantKg = insideKg - first + outsideKg
  const share = wantKg > 0 ? Math.min(1, (capKg - first) / wantKg) : 0
  const toInsideKg = first + (insideKg - first) * share
  tanks.internalKg += toInsideKg - burnKgPerS
  tanks.externalKg += outsideKg * share
  return toInsideKg + outsideKg * share
}

export interface Limits {
  abortKg: number
  requiredKg: number
  bingoKg: number
  recoveryKg: (km: number) => number
}

export const isTask = ({ kind }: Piece): boolean => kind === 'combat' || kind === 'loiter'

/** The limits of a flight by hand: a straight way home, approach and reserve. Levels are the sheet's; nobody knows better. */
export function limitsOf(flight: Flight): Limits {
  const { type, pieces } = flight
  const reserveKg = APPROACH_KG + RESERVE_S * FLOW.holding * type.dragFactor
  const recoveryKg = (km: number): number => ((km * 1000) / HOME_M_PER_S) * flowOf(type, 'recovery') + reserveKg
  const visit = visitIndexOf(flight)
  let burnedKg = 0
  let requiredKg = recoveryKg(pieces[visit]?.toKm ?? NaN)
  for (const piece of pieces.slice(visit + 1)) {
    burnedKg += flowOf(type, piece.kind) * piece.durationS
    requiredKg = Math.max(requiredKg, burnedKg + recoveryKg(piece.toKm))
  }
  const bingoKg = Math.max(
    0,
    ...pieces
      .slice(visit)
      .filter(isTask)
      .map((piece) => recoveryKg(piece.toKm))
  )
  return { abortKg: recoveryKg(ORBIT_KM), requiredKg, bingoKg, recoveryKg }
}

/** A ship on its way, changed second by second. */
export interface Ship {
  readonly id: string
  readonly flight: Flight
  readonly limits: Limits
  /** Burn over what the sheet says, throughout. */
  readonly bias: number
  /** What it burns in the mean, its bursts among it, kg/s. */
  readonly meanFlow: (kind: Flown) => number
  readonly tanks: Tanks
  readonly holds: boolean
  /** Past its latest contact it goes home after so long, unless it is served before. */
  readonly staysS: number
  /** By how much each of its pieces ends late. */
  readonly lateS: readonly number[]
  status: Status
  /** Place in the pieces of its flight; when it began this one, and when it ends. */
  index: number
  fromS: number
  toS: number
  /** When this piece was to begin, counted from the start or the push. */
  plannedS: number
  /** The last instant told of its way, its start or its push, and the piece that began with it. */
  since: { atS: number; index: number }
  burstToS: number
  /** When it fell below abort fuel. */
  pastS: number | undefined
  /** When the last was heard of it. */
  toldS: number
}

/** A ship at an instant, as far as its future follows from it: true fuel and burn, in the phase in which the plan has it. */
export interface Truth {
  shipId: string
  flight: Flight
  status: Status
  tanks: Readonly<Tanks>
  bias: number
  meanFlow: (kind: Flown) => number
  /** Place in the pieces, where it is, and how long this one still lasts; the visit lasts until the push. */
  index: number
  km: number
  leftS: number
}

export function kmOf({ flight, index, fromS, toS }: Ship, atS: number): number {
  const piece = flight.pieces[index]
  if (!piece) return 0
  const share = toS > fromS && toS < Infinity ? Math.min(1, Math.max(0, (atS - fromS) / (toS - fromS))) : 1
  return piece.fromKm + (piece.toKm - piece.fromKm) * share
}

/** Where the plan has a ship in flight: nobody tells how late it enters a phase, what it burns there is true. */
function asPlanned({ flight: { pieces }, since }: Ship, atS: number): Pick<Truth, 'index' | 'km' | 'leftS'> {
  let { index } = since
  let intoS = Math.max(0, atS - since.atS)
  for (;;) {
    const { durationS = 0, fromKm = 0, toKm = 0 } = pieces[index] ?? {}
    const next = pieces[index + 1]
    if (intoS < durationS || next === undefined || next.kind === 'refuelling') {
      const share = durationS > 0 ? Math.min(1, intoS / durationS) : 1
      return { index, km: fromKm + (toKm - fromKm) * share, leftS: Math.max(0, durationS - intoS) }
    }
    intoS -= durationS
    index++
  }
}

export const truthOf = (ship: Ship, atS: number): Truth => ({
  shipId: ship.id,
  flight: ship.flight,
  status: ship.status,
  tanks: { ...ship.tanks },
  bias: ship.bias,
  meanFlow: ship.meanFlow,
  ...(ship.status === 'flying' || ship.status === 'planned'
    ? asPlanned(ship, atS)
    : { index: ship.index, km: kmOf(ship, atS), leftS: Math.max(0, ship.toS - atS) })
})
