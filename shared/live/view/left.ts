/** A ship that left, followed until it is down: where it goes, when, and with how much it gets there. */
import type { ShipView } from '../../contracts/view.ts'
import { recoveryKg } from '../../plan/limits.ts'
import { type TankState } from '../../tanks/sheet.ts'
import { advance, legsOf } from '../course.ts'
import { fuelNow, unsureKg } from '../gauged.ts'
import type { Scene } from './scene.ts'

/** Where a ship that left goes, and what it holds there before the approach. */
export function leftView(scene: Scene): ShipView['left'] {
  const { plan, crew, legs, way, nowMs } = scene
  const { ship, its, folded } = crew
  if (!its.left) return null
  const { baseId, atMs } = its.left
  const leg = legs.find((one) => one.kind === 'diverting')
  if (!leg || !plan.bases.has(baseId)) {
    return { baseId, atMs, arrivesAtMs: null, fuelOnArrivalKg: null, fuelOnArrivalLowKg: null, reserveKg: null }
  }
  const thereMs = Math.max(leg.toAtMs, nowMs)
  const there = advance(ship, legs, folded.anchor, thereMs)
  // Its way ends there; below nothing where the engines lack some before.
  const end = way.bends.at(-1)
  const fuelOnArrivalKg = end ? end.usableKg - end.lackedKg : 0
  return {
    baseId,
    atMs,
    arrivesAtMs: leg.toAtMs,
    fuelOnArrivalKg,
    fuelOnArrivalLowKg: fuelOnArrivalKg - unsureThenKg(scene, thereMs, there.state),
    // From the base itself nothing is left to burn but the approach.
    reserveKg: recoveryKg(plan, ship, leg.to, baseId) ?? null
  }
}

/**
 * What limits do not count on of the fuel at an instant to come, kg; it grows with every kilogram burned until then. Of
 * tanks that are all but dry it can be no more than they hold: then what is unsure now stays so.
 */
function unsureThenKg({ plan, crew, nowMs }: Scene, atMs: number, to: TankState): number {
  const { ship, flight, its, folded } = crew
  const legs = legsOf(plan, flight, ship, its, nowMs, (visit) => visit.plannedPushAtMs)
  const course = { from: folded.anchor.state, to }
  const fuel = fuelNow(ship.sheet, folded.filtered, { legs, its, atMs }, course)
  return Math.max(crew.unsureKg, unsureKg(folded.filtered, fuel) + folded.assumed.doneKg)
}
