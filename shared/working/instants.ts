/** When a ship is ready for a slot and when it comes to contact. */
import type { FactOf } from '../contracts/facts.ts'
import type { Leg } from '../live/course.ts'
import { isServed } from '../live/served.ts'
import { wayBetween, wayTo } from '../live/slots.ts'
import { timeSource } from './limits.ts'
import { add, CLOCK, COMPUTED, greatest, PLAN, subtract, type Expression, type Paper } from './paper.ts'
import { earlierOf, type SlotScene, type Stage } from './stage.ts'
import { called, minutes } from './typed.ts'

const SAME_MS = 1

/** An instant the judge gave: by what it follows from, else as it was judged. */
export function instant(paper: Paper, name: string, expression: Expression | undefined, atMs: number): Expression {
  const follows = expression && Math.abs(paper.value(expression) * 1000 - atMs) < SAME_MS
  const from = follows ? expression : add(paper.input(`${name} as judged`, 'instant', atMs, COMPUTED))
  return paper.line(name, 'instant', from, undefined, atMs)
}

export const now = (paper: Paper, stage: Stage): Expression => paper.input('now', 'instant', stage.nowMs, CLOCK)

/** The legs up to one, each with its time: when that one begins. */
export function legsUpTo(
  paper: Paper,
  stage: Stage,
  slot: Pick<SlotScene, 'crew' | 'flight'>,
  legs: readonly Leg[],
  until: Leg
): Expression {
  const { crew, flight } = slot
  const terms = [paper.input('start of the route', 'instant', flight.startsAtMs, PLAN)]
  for (const leg of legs) {
    if (leg === until) break
    const seconds = (leg.toAtMs - leg.fromAtMs) / 1000
    if (leg.phaseIndex < 0 || seconds === 0 || !Number.isFinite(seconds)) continue
    const phase = flight.phases[leg.phaseIndex]
    const planned = phase && !phase.visit && Math.abs(phase.durationMs / 1000 - seconds) < 1e-9
    const source = planned ? timeSource(stage, crew.ship, phase) : COMPUTED
    terms.push(paper.input('time in the phase', 'span', seconds, source, leg.phaseId ?? leg.kind))
  }
  return add(...terms)
}

/** The way to another track that a ship has to fly for a slot, and from when on where that is no matter of its earlier slot. */
export function wayOver(
  slot: SlotScene
): (NonNullable<ReturnType<typeof wayBetween>> & { departMs?: number }) | undefined {
  const { stage, crew, placed, judged } = slot
  const earlier = earlierOf(slot)
  if (earlier) {
    const isTopOff = earlier.slot.judged.pushGroupId === judged.pushGroupId
    const fromId = isTopOff ? earlier.state.trackId : stage.plan.tankers.get(placed.visit.tankerId)?.trackId
    return wayBetween(stage.plan, crew.ship, fromId, placed.tanker.trackId)
  }
  const readyAtMs = crew.legs.find((one) => one.visit?.id === placed.visit.id)?.fromAtMs ?? stage.nowMs
  return wayTo(stage.plan, placed, placed.tanker, readyAtMs, stage.nowMs)
}

function contactCall({ crew, placed }: SlotScene): FactOf<'contactMade'> | undefined {
  return crew.record.find(
    (fact): fact is FactOf<'contactMade'> => fact.kind === 'contactMade' && fact.slotId === placed.id
  )
}

export function ready(paper: Paper, slot: SlotScene): Expression {
  const { stage, placed, out, crew, flight } = slot
  const { visit } = placed
  if (out.state === 'done' || out.state === 'in contact')
    return instant(paper, 'ready', subtract(contact(paper, slot), hookUpOf(paper, slot)), out.readyAtMs)
  const way = wayOver(slot)
  const over = way && paper.input('way to the other track', 'span', way.ms / 1000, COMPUTED)
  const onward = (terms: readonly Expression[]): Expression => add(...terms, ...(over ? [over] : []))
  const earlier = earlierOf(slot)
  if (earlier) {
    const from = earlier.slot.placed.visit
    const off = paper.input('disconnect of the contact before', 'instant', earlier.left.disconnectAtMs, COMPUTED)
    const push = paper.input('push of the contact before', 'instant', earlier.left.pushAtMs, COMPUTED)
    const terms: Expression[] = [greatest(off, push)]
    for (const phase of flight.phases.slice(from.phaseIndex + 1, visit.phaseIndex)) {
      if (phase.durationMs === 0) continue
      terms.push(
        paper.input('time in the phase', 'span', phase.durationMs / 1000, timeSource(stage, crew.ship, phase), phase.id)
      )
    }
    return instant(paper, 'ready', onward(terms), out.readyAtMs)
  }
  const joined = crew.record.find((fact) => fact.kind === 'shipJoined' && fact.visitId === visit.id)
  const leg = crew.legs.find((one) => one.visit?.id === visit.id)
  if (joined && !over)
    return instant(paper, 'ready', add(paper.input('joined', 'instant', joined.atMs, called(joined))), out.readyAtMs)
  if (!leg) return instant(paper, 'ready', undefined, out.readyAtMs)
  if (over && way.departMs !== undefined && way.departMs > leg.fromAtMs) {
    const sent = paper.input('sent to the other track', 'instant', way.departMs, COMPUTED)
    return instant(paper, 'ready', add(sent, over), out.readyAtMs)
  }
  const terms = legsUpTo(paper, stage, slot, crew.legs, leg)
  const due = Math.abs(paper.value(terms) * 1000 - leg.fromAtMs) < SAME_MS ? terms : greatest(terms, now(paper, stage))
  return instant(paper, 'ready', onward([due]), out.readyAtMs)
}

function hookUpOf(paper: Paper, { placed, crew }: SlotScene): Expression {
  const { hookUpMs } = placed.station
  return paper.input('hook-up', 'span', hookUpMs / 1000, minutes(hookUpMs / 60_000), crew.ship.id)
}

/** When the ship comes to contact: as called, or as soon as ship, station and the one before it allow. */
export function contact(paper: Paper, slot: SlotScene): Expression {
  const { stage, placed, out, flight } = slot
  const call = contactCall(slot)
  if (call) {
    const at = paper.input('contact called', 'instant', call.atMs, called(call))
    return paper.line('contact', 'instant', add(at), undefined, out.contactAtMs)
  }
  const { station, tanker } = placed
  const terms = [
    paper.input('ready', 'instant', out.readyAtMs, COMPUTED),
    paper.input('station opens', 'instant', tanker.onStationAtMs, PLAN)
  ]
  const hookUp = hookUpOf(paper, slot)
  const begins = (others: readonly Expression[]): Expression => greatest(...terms, ...others)
  const fits = (expression: Expression): boolean => Math.abs(paper.value(expression) * 1000 - out.startAtMs) < SAME_MS
  const before = [...stage.outs.values()].filter(
    (one) => one.stationId === out.stationId && one.slotId !== out.slotId && isServed(one)
  )
  const fixed = before.filter((one) => one.state === 'done' || one.state === 'in contact')
  const inTurn = before.filter((one) => one.index < out.index || fixed.includes(one))
  let expression = begins([now(paper, stage)])
  for (const ahead of [inTurn, fixed]) {
    const last = ahead.reduce<(typeof ahead)[number] | undefined>(
      (late, one) => (late && late.disconnectAtMs >= one.disconnectAtMs ? late : one),
      undefined
    )
    if (!last) continue
    const same = stage.order.slots.get(last.slotId)?.crew.flight.id === flight.id
    const changeoverMs = same ? stage.plan.changeoverWithinFlightMs : station.changeoverBetweenMs
    const whose = stage.order.slots.get(last.slotId)?.shipId
    const off = paper.input('disconnect of the one before', 'instant', last.disconnectAtMs, COMPUTED, whose)
    const name = same ? 'changeover within a flight' : 'changeover between flights'
    const change = paper.input(name, 'span', changeoverMs / 1000, minutes(changeoverMs / 60_000))
    expression = begins([add(off, change), now(paper, stage)])
    if (fits(expression)) break
  }
  const start = instant(paper, 'slot start', expression, out.startAtMs)
  return paper.line('contact', 'instant', add(start, hookUp), undefined, out.contactAtMs)
}
