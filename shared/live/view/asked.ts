/** Refuellings that cannot come about as planned: they stand in no order, or there is no room for what they ask for. */
import type { Reason } from '../../contracts/view.ts'
import { stepsOfKg } from '../../order/judgement.ts'
import type { VisitBrief } from '../../plan/brief.ts'
import { requiredKg } from '../../plan/limits.ts'
import { targetOf } from '../slots.ts'
import type { Scene } from './scene.ts'

/**
 * What a ship is to take and will not. A visit without a slot is of now where its ship comes to that push with less than
 * is required, else a note: whoever has enough may pass the tanker. `blank` is a reason of nothing.
 */
export function askedReasons(blank: Omit<Reason, 'kind' | 'severity'>, scene: Scene): Reason[] {
  const { its, flight, ship } = scene.crew
  if (its.left ?? its.landed ?? its.noShow) return []
  const about = { ...blank, shipId: ship.id }
  const unplaced = flight.visits
    .filter(({ id }) => !its.pushed.has(id) && scene.slots.every(({ placed }) => placed.visit.id !== id))
    .map((visit): Reason => {
      const severity = stepsOfKg(lackingKg(scene, visit)) > 0 ? 'now' : 'note'
      const { pushGroupId } = visit
      return { ...about, kind: 'not in the order', severity, pushGroupId, mend: PUT_IN_ORDER }
    })
  return [...unplaced, ...noRoom(about, scene)]
}

const PUT_IN_ORDER = { kind: 'put in order', byKg: null, byS: null } as const

/** What a ship lacks at the push of a visit that it takes nothing in, kg; less than nothing where it has more than enough. */
function lackingKg({ plan, crew, way }: Scene, visit: VisitBrief): number {
  const needKg = requiredKg(plan, crew.flight, crew.ship, visit)
  const atPush = way.bends.findLast(({ leg }) => leg.phaseIndex === visit.phaseIndex)
  return atPush === undefined ? needKg : needKg - (atPush.usableKg - atPush.lackedKg)
}

/** A fixed on-load that its tanks have no room for when the contact comes. */
function noRoom(about: Omit<Reason, 'kind' | 'severity'>, { plan, slots }: Scene): Reason[] {
  return slots.flatMap(({ placed, out }): Reason[] => {
    const target = targetOf(plan, placed)
    if (out.state !== 'planned' || out.endedBy !== 'full' || target.kind !== 'onLoad') return []
    if (stepsOfKg(target.onLoadKg - out.onLoadKg) <= 0) return []
    const { id: slotId, tanker } = placed
    return [{ ...about, kind: 'no room', severity: 'note', slotId, tankerId: tanker.id, atMs: out.contactAtMs }]
  })
}
