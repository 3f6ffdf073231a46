import type { View } from '../../contracts/view.ts'
import { SAME_KG, weakestPoint, type ProofPiece } from '../../fuel/ladder.ts'
import type { Brief, FlightBrief } from '../../plan/brief.ts'
import { recoveryKg, recoveryOf } from '../../plan/limits.ts'
import { countedKg, totalKg } from '../../tanks/sheet.ts'
import { plannedCountedKg, starvedAt } from '../ahead.ts'
import { legAt, positionOn } from '../course.ts'
import type { Scene } from './scene.ts'

export function flightView(
  plan: Brief,
  flight: FlightBrief,
  scenes: ReadonlyMap<string, Scene>
): View['flights'][number] {
  const members = flight.ships.flatMap((ship) => scenes.get(ship.id) ?? [])
  let weakest: View['flights'][number]['weakest'] = null
  for (const scene of members) {
    const point = weakestOf(plan, flight, scene)
    if (point && (!weakest || point.marginKg < weakest.marginKg - SAME_KG)) weakest = point
  }
  const flying = members.filter(({ crew }) => !crew.its.landed && !crew.its.noShow)
  const least = flying.reduce<Scene | undefined>((worst, one) => {
    const kg = (scene: Scene) => totalKg(scene.crew.ship.sheet, scene.tanks)
    return !worst || kg(one) < kg(worst) ? one : worst
  }, undefined)
  const ladder = least ? rungsOf(plan, flight, least) : []
  return { flightId: flight.id, callSign: flight.callSign, weakest, ladder }
}

type Ladder = View['flights'][number]['ladder']

/** Planned fuel of one ship at the start of each phase still ahead and at the end of the last. */
export function rungsOf(plan: Brief, flight: FlightBrief, { way, legs, crew, tanks, nowMs }: Scene): Ladder {
  return legs.flatMap((leg): Ladder => {
    if (leg.toAtMs <= nowMs || leg.phaseIndex < 0) return []
    const bend = way.bends.find((one) => one.leg === leg) ?? (leg.kind === 'ended' ? way.bends.at(-1) : undefined)
    const flying = leg.fromAtMs < nowMs
    const held = flying ? tanks : bend?.state
    if (!held) return []
    const atMs = flying ? nowMs : leg.fromAtMs
    return [
      {
        atMs,
        phaseId: leg.phaseId ?? null,
        fuelKg: totalKg(crew.ship.sheet, held),
        countedKg: starvedAt(way, atMs) ? 0 : countedKg(crew.ship.sheet, held),
        recoveryKg:
          recoveryKg(plan, crew.ship, flying ? positionOn(leg, nowMs) : leg.from, flight.recoveryBaseId) ?? null
      }
    ]
  })
}

type Weakest = View['flights'][number]['weakest']

/**
 * The point of the way ahead at which counted fuel stands least above what an open base asks for; fuel goes on below
 * nothing where the tanks are dry, so that with what is lacking added the margin is 0. What is ahead only shrinks while
 * nothing changes, so the weakest point stays the weakest until it is passed.
 * Checked: tests/shared/live/empty.test.ts, by adding what is lacking.
 */
export function weakestOf(plan: Brief, flight: FlightBrief, scene: Scene): Weakest {
  const { crew, nowMs, key } = scene
  if (crew.its.left ?? crew.its.noShow ?? crew.its.landed) return null
  const { kept } = crew.folded
  const name = `weakest ${key}`
  const known = kept.get(name) as Weakest | undefined
  if (known && known.atMs >= nowMs) return known
  const fresh = weakestFromNow(plan, flight, scene)
  kept.set(name, fresh)
  return fresh
}

function weakestFromNow(plan: Brief, flight: FlightBrief, { way, crew, legs, nowMs }: Scene): Weakest {
  const pieces: ProofPiece[] = []
  for (let i = 0; i + 1 < way.bends.length; i++) {
    const a = way.bends[i]
    const b = way.bends[i + 1]
    if (!a || !b || a.leg !== b.leg || b.atMs < nowMs || a.leg.kind === 'planned' || a.leg.kind === 'ended') continue
    const fromMs = Math.max(a.atMs, nowMs)
    const share = b.atMs > a.atMs ? (fromMs - a.atMs) / (b.atMs - a.atMs) : 0
    const [fromKg, toKg] = [plannedCountedKg(a), plannedCountedKg(b)]
    pieces.push({
      fromS: fromMs / 1000,
      toS: b.atMs / 1000,
      fuelFromKg: fromKg + share * (toKg - fromKg),
      fuelToKg: toKg,
      from: positionOn(a.leg, fromMs),
      to: positionOn(a.leg, b.atMs)
    })
  }
  const bases = flight.openBaseIds.flatMap((id) => {
    const position = plan.bases.get(id)
    return position ? [{ id, position }] : []
  })
  const weakest = weakestPoint(pieces, bases, recoveryOf(plan, crew.ship))
  if (!weakest) return null
  const atMs = weakest.atS * 1000
  return {
    atMs,
    phaseId: legAt(legs, atMs).phaseId ?? '',
    shipId: crew.ship.id,
    marginKg: weakest.marginKg,
    baseId: weakest.baseId
  }
}
