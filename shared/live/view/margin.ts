/** How long until a limit is reached: the limits that apply, each with its instant. */
import type { Limit, ShipStatus, ShipView } from '../../contracts/view.ts'
import { homeBaseOf } from '../../plan/abort.ts'
import { abortKg, bingoFrom, isTask, recoveryKg, requiredKg } from '../../plan/limits.ts'
import { feedUntil } from '../../tanks/feed.ts'
import { countedKg, usableKg } from '../../tanks/sheet.ts'
import { firstBelow, starvedAt, type Bend } from '../ahead.ts'
import { advance, positionOn, type Leg } from '../course.ts'
import { burnAt } from '../slots.ts'
import { currentSlots, type Scene } from './scene.ts'

/** How far ahead a limit is looked for, s. */
const LOOK_AHEAD_S = 8 * 3600

/** Seconds until a fuel falls to a level at a constant burn; negative where it is below already, by the burn. */
function untilLevelS(scene: Scene, burnKgPerS: number, measure: 'counted' | 'usable', levelKg: number): number {
  const { ship } = scene.crew
  const heldKg = starvedAt(scene.way, scene.nowMs)
    ? 0
    : (measure === 'counted' ? countedKg : usableKg)(ship.sheet, scene.tanks)
  if (heldKg < levelKg) return (heldKg - levelKg) / Math.max(burnKgPerS, 1e-9)
  return feedUntil(ship.sheet, scene.tanks, burnKgPerS, measure, levelKg, LOOK_AHEAD_S) ?? Infinity
}

type Candidate = [Limit, number | undefined]

/**
 * The limits that apply, each with when it is reached, soonest first: by the fuel that limits count on, which ranks, and
 * by the mean of the estimate.
 */
export function marginsOf(scene: Scene, status: ShipStatus): ShipView['margins'] {
  const { nowMs, crew } = scene
  const byMean = crew.unsureKg === 0 ? undefined : new Map(limitsAhead(scene, status, 0))
  return limitsAhead(scene, status, crew.unsureKg)
    .flatMap(([limit, atMs]) => {
      if (atMs === undefined || atMs === Infinity) return []
      const mean = (byMean ? byMean.get(limit) : atMs) ?? Infinity
      const meanS = mean === Infinity ? null : (mean - nowMs) / 1000
      return [{ limit, atMs, marginS: (atMs - nowMs) / 1000, meanS }]
    })
    .sort((a, b) => a.atMs - b.atMs)
}

/** The limits that apply, each with the instant at which it is reached, with so much less fuel than the mean, kg. */
function limitsAhead(scene: Scene, status: ShipStatus, unsureKg: number): Candidate[] {
  const { plan, crew, legs, leg, nowMs } = scene
  const { ship, flight, current } = crew
  switch (status) {
    case 'landed':
    case 'left':
    case 'no-show':
      return []
    case 'in contact':
      return [recoveryHere(scene, unsureKg)]
    case 'planned':
      return [['latest contact', latestContact(scene, unsureKg)]]
    case 'inbound': {
      const ready = current && legs.find((one) => one.visit?.id === current.id)
      return [['latest contact', latestContact(scene, unsureKg)], recoveryAhead(scene, ready, unsureKg)]
    }
    case 'waiting':
    case 'next':
    case 'must leave':
      return [['latest contact', latestContact(scene, unsureKg)], recoveryHere(scene, unsureKg)]
    case 'done': {
      const recovery = recoveryHere(scene, unsureKg)
      if (!current) return [recovery]
      const burnKgPerS = burnAt(crew, current)
      // A requirement, not a limit: on-loads are planned to meet it exactly, by the mean.
      const needKg = requiredKg(plan, flight, ship, current)
      return [['latest push', nowMs + untilLevelS(scene, burnKgPerS, 'usable', needKg) * 1000], recovery]
    }
    case 'on task':
    case 'recovering': {
      const ready = current && legs.find((one) => one.visit?.id === current.id)
      const recovery = recoveryAhead(scene, ready, unsureKg)
      if (ready) return [['leave for the tanker', leaveForTanker(scene, ready, unsureKg)], recovery]
      const bends = bendsAhead(scene)
      const task = (from: Leg) => above(bingoFrom(plan, ship, from.phaseIndex), unsureKg)
      const bingo = lacking(bends, task) ?? firstBelow(bends, task, (bend) => bend.leg.kind === 'ended')
      return leg.kind === 'ended' ? [] : [['bingo', bingo], recovery]
    }
  }
}

const above = (kg: number | undefined, unsureKg: number) => (kg === undefined ? undefined : kg + unsureKg)

const bendsAhead = (scene: Scene): Bend[] => [
  bendNow(scene),
  ...scene.way.bends.filter((bend) => bend.atMs > scene.nowMs)
]

/** From a point of a leg to the base it recovers to from there, kg. */
const homeKg = ({ plan, crew }: Scene, from: Leg, at: Leg['from']) =>
  recoveryKg(plan, crew.ship, at, homeBaseOf(plan, crew.flight, from.visit))

/** When counted fuel falls below recovery fuel on the way, up to where it is ready for its tanker. */
function recoveryAhead(scene: Scene, ready: Leg | undefined, unsureKg: number): Candidate {
  const bends = bendsAhead(scene)
  const home = (from: Leg, at: Leg['from']) => above(homeKg(scene, from, at), unsureKg)
  const ends = (bend: Bend) => bend.leg === ready || bend.leg.kind === 'ended'
  return ['recovery fuel', lacking(bends, home) ?? firstBelow(bends, home, ends)]
}

/** Whether it stays where it is, by its calls: at its track, or in contact. Its limits count on no transfer to come. */
export const staysHere = ({ crew }: Scene): boolean =>
  crew.its.inContact !== undefined || (crew.current !== undefined && crew.its.joined.has(crew.current.id))

/** When counted fuel falls below recovery fuel where the ship stays as it is, with no fuel to come. */
function recoveryHere(scene: Scene, unsureKg: number): Candidate {
  const { leg, nowMs } = scene
  const levelKg = above(homeKg(scene, leg, positionOn(leg, nowMs)), unsureKg)
  if (levelKg === undefined || !(leg.burnKgPerS > 0)) return ['recovery fuel', undefined]
  return ['recovery fuel', nowMs + untilLevelS(scene, leg.burnKgPerS, 'counted', levelKg) * 1000]
}

/** The ship now, as a bend of its way. */
export function bendNow({ crew, leg, tanks, way, nowMs }: Scene): Bend {
  const dry = starvedAt(way, nowMs)
  const { sheet } = crew.ship
  const [counted, usable] = dry ? [0, 0] : [countedKg(sheet, tanks), usableKg(sheet, tanks)]
  return { atMs: nowMs, leg, state: tanks, countedKg: counted, usableKg: usable, lackedKg: 0 }
}

/** Already below a level at the first of the bends: as long ago as burning what it lacks takes. */
function lacking(
  [now]: readonly Bend[],
  levelKg: (leg: Leg, at: Leg['from']) => number | undefined
): number | undefined {
  if (!now || !(now.leg.burnKgPerS > 0)) return undefined
  const level = levelKg(now.leg, positionOn(now.leg, now.atMs))
  if (level === undefined || now.countedKg >= level) return undefined
  return now.atMs + ((now.countedKg - level) / now.leg.burnKgPerS) * 1000
}

/** When counted fuel falls to abort fuel on the way to the tanker and waiting there. */
function latestContact(scene: Scene, unsureKg: number): number | undefined {
  const { plan, crew, legs, way, nowMs } = scene
  const { ship, current } = crew
  if (!current) return undefined
  const slot = currentSlots(scene).find(({ out }) => out.state === 'planned' || out.state === 'missed')
  const judged = slot?.out.latestContactAtMs
  // The judge counts on the low side; at the mean it is as much later as what is unsure lasts.
  if (judged !== undefined) return judged + ((crew.unsureKg - unsureKg) / burnAt(crew, current)) * 1000
  const trackId = slot?.placed.tanker.trackId ?? plan.tankers.get(current.tankerId)?.trackId ?? ''
  const readyAtMs = Math.max(nowMs, legs.find((one) => one.visit?.id === current.id)?.fromAtMs ?? nowMs)
  const at = advance(ship, legs, { ...crew.folded.anchor, contact: undefined }, readyAtMs)
  const burnKgPerS = burnAt(crew, current)
  const levelKg = abortKg(plan, ship, trackId) + unsureKg
  const heldKg = starvedAt(way, readyAtMs) ? 0 : countedKg(ship.sheet, at.state)
  const untilS =
    heldKg < levelKg
      ? (heldKg - levelKg) / burnKgPerS
      : feedUntil(ship.sheet, at.state, burnKgPerS, 'counted', levelKg, LOOK_AHEAD_S)
  return untilS === undefined ? undefined : readyAtMs + untilS * 1000
}

/**
 * The last instant to stop the task and fly to the tanker as planned: what would be spare there above abort fuel and
 * the hook-up, spent at the flow of the last task phase after its planned end.
 */
function leaveForTanker(scene: Scene, ready: Leg, unsureKg: number): number | undefined {
  const { plan, crew, legs, leg } = scene
  const { ship, flight, current } = crew
  const task = legs.findLast(
    (one) => one.phaseIndex >= leg.phaseIndex && one.phaseIndex < ready.phaseIndex && isTask(one)
  )
  if (!task || !current) return undefined
  const placed = currentSlots(scene)[0]?.placed
  const tanker = placed?.tanker ?? plan.tankers.get(current.tankerId)
  if (!tanker) return undefined
  const hookUpMs =
    placed?.station.hookUpMs ?? tanker.stations.find((one) => one.method === flight.method)?.hookUpMs ?? 0
  const at = advance(ship, legs, { ...crew.folded.anchor, contact: undefined }, ready.fromAtMs)
  const burnKgPerS = burnAt(crew, current)
  const heldKg = starvedAt(scene.way, ready.fromAtMs) ? 0 : countedKg(ship.sheet, at.state)
  const spareKg = heldKg - unsureKg - abortKg(plan, ship, tanker.trackId) - (burnKgPerS * hookUpMs) / 1000
  return task.toAtMs + (spareKg / task.burnKgPerS) * 1000
}
