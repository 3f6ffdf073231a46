import { checkFlow, receiverOf, type Flow } from './course.ts'
import { feed, feedPieces, feedUntil, type FeedPiece } from './feed.ts'
import { fillCurve, stopAt, type FillTarget } from './fill.ts'
import { drainHeld, heldShipOf, type Approach, type HeldShip } from './hold-drain.ts'
import {
  measure,
  measureChoice,
  reachOf,
  rowAt,
  SAME_S,
  settle,
  shortest,
  type Ground,
  type Stretch
} from './hold-search.ts'
import { flatQuantities, nestedQuantities, SAME_KG } from './layout.ts'
import { countedKg, externalKg, gaugeKg, usableKg, type Sheet, type TankState } from './sheet.ts'

/*
 * When to hold the externals before the tanker. Fuel burned from internal groups comes back fast, from externals slowly,
 * and groups fill together: for the same fuel at disconnect the contact is shortest at some use of the externals between
 * all and none.
 */

/** A part of the way to contact at one burn. */
export interface HoldLeg {
  readonly durationS: number
  readonly burnKgPerS: number
}

export interface HoldQuestion {
  /** From now to contact, in order. */
  readonly legs: readonly HoldLeg[]
  /** Last seconds before contact in which external transfer is off anyway; 0 unless told. */
  readonly transferOffS?: number | undefined
  readonly stationRateKgPerS: number
  readonly contactBurnKgPerS: number
  /** What the on-load rule asks, seen from contact. */
  readonly target: FillTarget
  /** Least counted fuel at contact: abort fuel and the burn of the late margin. */
  readonly floorKg: number
  /** Counted fuel at which a held ship gives the hold up: abort fuel and two minutes of burn. */
  readonly releaseKg: number
  /** The externals will be jettisoned: what they hold comes back from no tanker. */
  readonly jettisons: boolean
}

/** Instants in s from the start, lengths of contact in s. */
export interface Hold {
  readonly kind: 'hold'
  readonly holdFromS: number
  readonly externalUsedKg: number
  readonly savedS: number
  readonly withoutHoldS: number
  readonly withHoldS: number
  readonly gaugeAtHoldKg: number
  /** When counted fuel falls to `releaseKg` if the ship goes on waiting, held; undefined when not within 12 h of contact. */
  readonly releaseAtS: number | undefined
  readonly gaugeAtReleaseKg: number | undefined
  readonly gaugeAtContactKg: number
  readonly countedAtContactKg: number
  readonly aboveFloorKg: number
  /** Usable, the same as without a hold. */
  readonly fuelAtDisconnectKg: number
}

export type NoHoldReason =
  | 'no externals'
  | 'jettison'
  | 'not selected'
  /**
   * Holds that save half a minute fall below the floor, or the one that is flown does; or the feed group is dry before
   * contact, where nothing counts.
   */
  | 'floor'
  | 'under half a minute'

export interface NoHold {
  readonly kind: 'none'
  readonly why: NoHoldReason
  /** What the best hold would save, s, the floor aside. */
  readonly bestS?: number | undefined
}

export type HoldAdvice = Hold | NoHold

/** A hold that saves less is not worth its two switches, s. Source: common practice, no source. */
export const LEAST_SAVING_S = 30
/** How long after contact the release of a hold is looked for, s. */
const HORIZON_S = 43_200

/** Legs of one burn are one; those of no length are none. */
function approachOf(legs: readonly HoldLeg[]): Approach & { readonly contactS: number } {
  const endsS: number[] = []
  const burnsKgPerS: number[] = []
  let contactS = 0
  for (const { durationS, burnKgPerS } of legs) {
    if (!(durationS >= 0) || durationS === Infinity) {
      throw new RangeError(`durationS must be at least 0, is ${durationS}`)
    }
    if (!(burnKgPerS >= 0) || burnKgPerS === Infinity) {
      throw new RangeError(`burnKgPerS must be at least 0, is ${burnKgPerS}`)
    }
    if (durationS === 0) continue
    contactS += durationS
    if (burnsKgPerS.at(-1) === burnKgPerS) endsS[endsS.length - 1] = contactS
    else {
      endsS.push(contactS)
      burnsKgPerS.push(burnKgPerS)
    }
  }
  return { endsS, burnsKgPerS, contactS }
}

interface Unheld {
  /** While externals still hold something to use. */
  readonly pieces: readonly FeedPiece[]
  readonly atContactKg: Float64Array
}

/** The way to contact without a hold; undefined when the feed group is dry on it. */
function unheldOf(
  sheet: Sheet,
  start: TankState,
  ship: HeldShip,
  approach: Approach & { readonly contactS: number },
  transferOffS: number
): Unheld | undefined {
  const { layout, giving } = ship.receiver
  const offFromS = approach.contactS - transferOffS
  const externalWet = (q: Float64Array): boolean =>
    q.some(
      (kg, tank) =>
        giving[tank] === true &&
        layout.external[layout.groupOf[tank] ?? 0] === true &&
        kg > (layout.floorKg[tank] ?? 0) + SAME_KG
    )
  const pieces: FeedPiece[] = []
  let q = flatQuantities(layout, start)
  let atS = 0
  for (let leg = 0; leg < approach.endsS.length && atS < offFromS; leg++) {
    const toS = Math.min(approach.endsS[leg] ?? 0, offFromS)
    const burnKgPerS = approach.burnsKgPerS[leg] ?? 0
    const state: TankState = { ...start, externals: 'selected', quantitiesKg: nestedQuantities(layout, q) }
    for (const piece of feedPieces(sheet, state, burnKgPerS, toS - atS)) {
      if (!externalWet(piece.quantitiesKg)) break
      let netKgPerS = burnKgPerS
      for (const kgPerS of piece.rateKgPerS) netKgPerS += kgPerS
      if (netKgPerS > SAME_KG) return undefined
      pieces.push({ ...piece, fromS: atS + piece.fromS, toS: atS + piece.toS })
    }
    const last = pieces.at(-1)
    if (last === undefined) break
    q = rowAt(last, last.toS)
    if (last.toS < toS) {
      atS = last.toS
      break
    }
    atS = toS
  }
  // With transfer off or nothing left outside the ship goes on as one whose externals are held.
  const { reachesContact } = drainHeld(ship, q, approach, atS)
  return reachesContact ? { pieces, atContactKg: q } : undefined
}

function checkQuestion({ transferOffS = 0, floorKg, releaseKg }: HoldQuestion): void {
  for (const [name, value] of Object.entries({ transferOffS, floorKg, releaseKg })) {
    if (!(value >= 0)) throw new RangeError(`${name} must be at least 0, is ${value}`)
  }
}

/**
 * When a ship on its way to a tanker should hold its externals, and what that saves: the hold with the shortest contact
 * for the usable fuel it would leave the tanker with unheld, counted fuel at contact not below the floor; or why none.
 * Seconds from the start, kg; exact, the latest of equal holds. Fuel that only tanks take which do not give is no part of
 * either contact. Without a hold, externals that have given count, so the floor is asked of holds alone.
 *
 * A ship that holds already is judged as if it released now: a hold from 0 means to keep it, a later one to release and
 * hold again. It keeps the hold as long as that is a hold to advise and none is half a minute shorter. None for `floor`
 * means to release now; none for `under half a minute` that the switch may stay as it is.
 * A floor without end is one that no hold keeps.
 * @throws RangeError when a time, burn or mass is negative or no number, a leg without end, or the station rate not
 * positive.
 * Source: common practice, no source. Checked: tests/shared/tanks/hold.test.ts, against feed() and fillCurve() on every
 * second, within 1e-6 s, and a case by hand.
 */
export function adviseHold(sheet: Sheet, state: TankState, question: HoldQuestion): HoldAdvice {
  checkQuestion(question)
  const flow: Flow = { stationRateKgPerS: question.stationRateKgPerS, burnKgPerS: question.contactBurnKgPerS }
  checkFlow(flow)
  const approach = approachOf(question.legs)
  if (!(usableKg(sheet, state) - usableInsideKg(sheet, state) > SAME_KG)) return { kind: 'none', why: 'no externals' }
  if (question.jettisons) return { kind: 'none', why: 'jettison' }
  if (state.externals === 'off') return { kind: 'none', why: 'not selected' }

  const ship = heldShipOf(receiverOf(sheet, state))
  const unheld = unheldOf(sheet, state, ship, approach, question.transferOffS ?? 0)
  if (unheld === undefined) return { kind: 'none', why: 'floor' }
  const withRow = (row: Float64Array, externals: TankState['externals']): TankState => ({
    ...state,
    externals,
    quantitiesKg: nestedQuantities(ship.receiver.layout, row)
  })
  const curve = fillCurve(sheet, withRow(unheld.atContactKg, 'selected'), flow)
  const wantedKg = usableKg(sheet, stopAt(curve, question.target).state)
  const withoutHoldS = reachOf({ points: curve.points, slopes: [] }, wantedKg)?.value ?? 0

  const ground: Ground = { ship, approach, flow, wantedKg }
  const stretches: Stretch[] = []
  for (const piece of unheld.pieces) settle(ground, piece, piece.fromS, piece.toS, stretches)
  const saves = (contactS: number | undefined): number => withoutHoldS - (contactS ?? withoutHoldS)
  const choice = shortest(stretches, question.floorKg)
  let best = choice && measureChoice(ground, choice)
  // What lies at the very first instant need not be the end of what lies after it: a fill stands still where a tank only
  // covers its unusable rest, and a ship that wants just what it has there need not wait for the end of that.
  const [first] = unheld.pieces
  const now = first && measure(ground, first, first.fromS)
  const counted = countedKg(sheet, withRow(now?.atContactKg ?? unheld.atContactKg, 'held'))
  const keepsFloor = counted >= question.floorKg
  if (now !== undefined && keepsFloor && now.contactS < (best?.contactS ?? Infinity) - SAME_S) best = now
  let mustRelease = false
  if (state.externals === 'held') {
    mustRelease = !keepsFloor || (first !== undefined && now === undefined)
    const worthS = Math.max(LEAST_SAVING_S, saves(best?.contactS) - LEAST_SAVING_S)
    if (now !== undefined && !mustRelease && saves(now.contactS) >= worthS) best = now
  }
  if (best === undefined || saves(best.contactS) < LEAST_SAVING_S) {
    const bestS = Math.max(0, saves(now?.contactS), saves(shortest(stretches, -Infinity)?.contactS))
    return { kind: 'none', why: mustRelease || bestS >= LEAST_SAVING_S ? 'floor' : 'under half a minute', bestS }
  }

  const atHold = withRow(rowAt(best.piece, best.fromS), 'held')
  const atContact = withRow(best.atContactKg, 'held')
  const countedAtContactKg = countedKg(sheet, atContact)
  const release = releaseOf(sheet, question, approach, { atHold, holdFromS: best.fromS, atContact })
  return {
    kind: 'hold',
    holdFromS: best.fromS,
    externalUsedKg: externalKg(sheet, state) - externalKg(sheet, atHold),
    savedS: withoutHoldS - best.contactS,
    withoutHoldS,
    withHoldS: best.contactS,
    gaugeAtHoldKg: gaugeKg(sheet, atHold),
    releaseAtS: release?.atS,
    gaugeAtReleaseKg: release?.gaugeKg,
    gaugeAtContactKg: gaugeKg(sheet, atContact),
    countedAtContactKg,
    aboveFloorKg: countedAtContactKg - question.floorKg,
    fuelAtDisconnectKg: wantedKg
  }
}

const usableInsideKg = (sheet: Sheet, state: TankState): number => countedKg(sheet, { ...state, externals: 'held' })

/** When a ship that holds and goes on waiting has only `releaseKg` left that counts, and what its gauge shows then. */
function releaseOf(
  sheet: Sheet,
  { releaseKg, contactBurnKgPerS }: HoldQuestion,
  { endsS, burnsKgPerS, contactS }: Approach & { readonly contactS: number },
  held: { readonly atHold: TankState; readonly holdFromS: number; readonly atContact: TankState }
): { readonly atS: number; readonly gaugeKg: number } | undefined {
  const within = (from: TankState, burnKgPerS: number, fromS: number, toS: number) => {
    const waitedS = feedUntil(sheet, from, burnKgPerS, 'counted', releaseKg, toS - fromS)
    if (waitedS === undefined) return undefined
    return { atS: fromS + waitedS, gaugeKg: gaugeKg(sheet, feed(sheet, from, burnKgPerS, waitedS).state) }
  }
  if (countedKg(sheet, held.atContact) <= releaseKg) {
    let from = held.atHold
    let fromS = held.holdFromS
    for (const [leg, endS] of endsS.entries()) {
      if (endS <= fromS) continue
      const burnKgPerS = burnsKgPerS[leg] ?? 0
      const release = within(from, burnKgPerS, fromS, endS)
      if (release !== undefined) return release
      from = feed(sheet, from, burnKgPerS, endS - fromS).state
      fromS = endS
    }
  }
  return within(held.atContact, contactBurnKgPerS, contactS, contactS + HORIZON_S)
}
