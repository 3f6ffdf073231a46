/** How long until a limit is reached: the limits that apply, each with its instant. */
import type { Limit, ShipStatus } from '../../contracts/view.ts'
import { abortKg, bingoFrom, isTask, recoveryKg, requiredKg } from '../../plan/limits.ts'
import { feedUntil } from '../../tanks/feed.ts'
import { countedKg, usableKg } from '../../tanks/sheet.ts'
import { firstBelow, starvedAt } from '../ahead.ts'
import { advance, type Leg } from '../course.ts'
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

/** The limits that apply, each with the instant at which it is reached. */
export function limitsAhead(scene: Scene, status: ShipStatus): Candidate[] {
  const { plan, crew, legs, leg, way, nowMs } = scene
  const { ship, flight, current } = crew
  switch (status) {
    case 'landed':
    case 'left':
    case 'no-show':
    case 'in contact':
      return []
    case 'planned':
    case 'inbound':
    case 'waiting':
    case 'next':
    case 'must leave':
      return [['latest contact', latestContact(scene)]]
    case 'done': {
      if (!current) return []
      const burnKgPerS = burnAt(crew, current)
      const needKg = requiredKg(plan, flight, ship, current)
      return [['latest push', nowMs + untilLevelS(scene, burnKgPerS, 'usable', needKg) * 1000]]
    }
    case 'on task':
    case 'recovering': {
      const ready = current && legs.find((one) => one.visit?.id === current.id)
      const bends = way.bends.slice(
        Math.max(
          0,
          way.bends.findLastIndex((bend) => bend.atMs <= nowMs)
        )
      )
      const home = (from: Leg, at: Leg['from']) =>
        recoveryKg(plan, ship, at, from.visit?.abortBaseId ?? flight.recoveryBaseId)
      const recovery: Candidate = [
        'recovery fuel',
        firstBelow(bends, home, (bend) => bend.leg === ready || bend.leg.kind === 'ended')
      ]
      if (ready) return [['leave for the tanker', leaveForTanker(scene, ready)], recovery]
      const bingo = firstBelow(
        bends,
        (from) => bingoFrom(plan, ship, from.phaseIndex),
        (bend) => bend.leg.kind === 'ended'
      )
      return leg.kind === 'ended' ? [] : [['bingo', bingo], recovery]
    }
  }
}

/** When counted fuel falls to abort fuel on the way to the tanker and waiting there. */
export function latestContact(scene: Scene): number | undefined {
  const { plan, crew, legs, way, nowMs } = scene
  const { ship, current } = crew
  if (!current) return undefined
  const slot = currentSlots(scene).find(({ out }) => out.state === 'planned' || out.state === 'missed')
  const judged = slot?.out.latestContactAtMs
  if (judged !== undefined) return judged
  const trackId = slot?.placed.tanker.trackId ?? plan.tankers.get(current.tankerId)?.trackId ?? ''
  const readyAtMs = Math.max(nowMs, legs.find((one) => one.visit?.id === current.id)?.fromAtMs ?? nowMs)
  const at = advance(ship, legs, { ...crew.folded.anchor, contact: undefined }, readyAtMs)
  const burnKgPerS = burnAt(crew, current)
  const levelKg = abortKg(plan, ship, trackId)
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
export function leaveForTanker(scene: Scene, ready: Leg): number | undefined {
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
  const spareKg = heldKg - abortKg(plan, ship, tanker.trackId) - (burnKgPerS * hookUpMs) / 1000
  return task.toAtMs + (spareKg / task.burnKgPerS) * 1000
}
