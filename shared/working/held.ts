/** What a ship holds as it comes to a slot, and what the contact puts into it. */
import { advance, flown } from '../live/course.ts'
import { burnAt, burnIn, fillTargetOf, onLoadRuleOf, targetOf } from '../live/slots.ts'
import { without } from '../live/troubles.ts'
import { feed } from '../tanks/feed.ts'
import { fillCurve, stopAt } from '../tanks/fill.ts'
import { totalKg, usableKg, type TankState } from '../tanks/sheet.ts'
import { burn, fuelAt, usable } from './course.ts'
import { fill, untilPassed, type EndOf, type Filled } from './fill.ts'
import { add, COMPUTED, divide, greatest, multiply, NONE, subtract, type Expression, type Paper } from './paper.ts'
import { wayOver } from './instants.ts'
import { earlierOf, readyOf, type SlotScene } from './stage.ts'
import { inPlan, stationRateOf } from './typed.ts'

interface Held {
  fuel: Expression
  tanks: TankState
  atMs: number
}

/** All fuel aboard as the ship becomes ready: from the last call along the route, or from the contact before. */
export function heldWhenReady(paper: Paper, slot: SlotScene): Held | undefined {
  const { stage, placed, crew, flight } = slot
  const { ship, folded, legs } = crew
  const at = readyOf(slot)
  const { tanks, fromMs } = at.state
  const onTo = wayOver(slot)
  const earlier = earlierOf(slot)
  const sentMs = fromMs - (onTo?.ms ?? 0)
  // After a call on the way only the rest of it is flown.
  const departMs = earlier ? sentMs : Math.max(sentMs, Math.min(folded.anchor.atMs, fromMs))
  let held: Held
  if (earlier) {
    let state = earlier.state.tanks
    let fuel = paper.input('fuel aboard after the contact before', 'mass', totalKg(ship.sheet, state), COMPUTED)
    const from = earlier.slot.placed.visit
    const step = (next: TankState, seconds: number, burnKgPerS: number, about: string): void => {
      if (seconds > 0) {
        const time = paper.input('time in the phase', 'span', seconds, COMPUTED, about)
        const flow = paper.input('flow in the phase', 'flow', burnKgPerS, COMPUTED, about)
        const kg = totalKg(ship.sheet, next)
        const beside = totalKg(ship.sheet, state) - burnKgPerS * seconds - kg
        const other =
          Math.abs(beside) > 1e-7 ? [paper.input('lost beside the burn', 'mass', beside, COMPUTED, about)] : []
        fuel = paper.line('fuel after the phase', 'mass', subtract(fuel, multiply(time, flow), ...other), about, kg)
      }
      state = next
    }
    const sinceMs = Math.max(earlier.left.disconnectAtMs, earlier.state.fromMs)
    const waitS = Math.max(0, earlier.left.pushAtMs - sinceMs) / 1000
    const waitBurn = burnAt(crew, from)
    step(feed(ship.sheet, state, waitBurn, waitS).state, waitS, waitBurn, 'until its push')
    for (let index = from.phaseIndex + 1; index < placed.visit.phaseIndex; index++) {
      const phase = flight.phases[index]
      if (!phase) break
      const leg = { burnKgPerS: burnIn(crew, index), dumpToKg: phase.dumpToKg }
      const seconds = phase.durationMs / 1000
      step(
        flown(ship.sheet, without(ship.sheet, state, phase.jettisons), leg, seconds).state,
        seconds,
        leg.burnKgPerS,
        phase.id
      )
    }
    held = { fuel, tanks: state, atMs: departMs }
  } else {
    const scene = stage.scene(ship.id)
    if (!scene) return undefined
    const start = fuelAt(paper, stage, { crew, legs }, folded.anchor.atMs)
    const flownOn = burn(
      paper,
      stage,
      crew,
      legs,
      { fuel: start.fuel, tanks: folded.anchor.state, atMs: folded.anchor.atMs },
      departMs
    )
    held = { ...flownOn, atMs: departMs }
  }
  if (onTo && fromMs > departMs) {
    const time = paper.input('way to the other track', 'span', (fromMs - departMs) / 1000, COMPUTED)
    const flow = paper.input('flow on the way over', 'flow', onTo.burnKgPerS, COMPUTED)
    const fuel = paper.line(
      'fuel after the way over',
      'mass',
      subtract(held.fuel, multiply(time, flow)),
      undefined,
      totalKg(ship.sheet, tanks)
    )
    held = { fuel, tanks, atMs: fromMs }
  }
  return held
}

/** Flow of waiting, hooking up and contact at a visit. */
export function waitFlow(paper: Paper, { crew, placed }: SlotScene): Expression {
  const burnKgPerS = burnAt(crew, placed.visit)
  return paper.input('flow waiting and in contact', 'flow', burnKgPerS, COMPUTED)
}

/** The instant a judged contact is looked up at: inside its curve. */
function contactOnCurve(slot: SlotScene): number {
  const { out, judged, stage } = slot
  if (out.state !== 'missed') return out.contactAtMs
  const station = stage.input.stations.find((one) => one.id === out.stationId)
  const curve = station && judged.curve(station, readyOf(slot))
  const first = curve?.contactAtMs[0] ?? out.contactAtMs
  return Math.min(Math.max(out.contactAtMs, first), curve?.contactAtMs.at(-1) ?? out.contactAtMs)
}

/** Waiting from ready to contact. */
function heldAtContact(paper: Paper, slot: SlotScene): Held | undefined {
  const { crew } = slot
  const { sheet } = crew.ship
  const held = heldWhenReady(paper, slot)
  if (!held) return undefined
  const atMs = contactOnCurve(slot)
  const seconds = (atMs - held.atMs) / 1000
  if (seconds <= 0) return held
  const burnKgPerS = burnAt(crew, slot.placed.visit)
  const tanks = feed(sheet, held.tanks, burnKgPerS, seconds).state
  const time = paper.input('wait and hook-up', 'span', seconds, COMPUTED)
  const kg = totalKg(sheet, tanks)
  const expected = subtract(held.fuel, multiply(time, waitFlow(paper, slot)))
  const beside = paper.value(expected) - kg
  const other = Math.abs(beside) > 1e-7 ? [paper.input('lost beside the burn', 'mass', beside, COMPUTED)] : []
  const fuel = paper.line(
    'fuel at contact, all aboard',
    'mass',
    other.length > 0 ? subtract(expected, ...other) : expected,
    undefined,
    kg
  )
  return { fuel, tanks, atMs }
}

/** Usable fuel at contact, with the tanks then; undefined where the slot has no fuel figures. */
export function fuelAtContact(paper: Paper, slot: SlotScene): Expression | undefined {
  const { stage, out, crew } = slot
  if (out.state === 'gone') return paper.line('fuel at contact', 'mass', NONE)
  const flowing = crew.its.contacts.find((one) => one.slotId === slot.placed.id)
  if (out.state === 'done' || out.state === 'in contact') {
    const scene = stage.scene(crew.ship.id)
    if (!scene || !flowing) return undefined
    const untilMs = Math.min(flowing.flowAtMs, flowing.disconnectAtMs ?? Infinity)
    // Not flowing yet: what it will hold when fuel is taken to flow.
    const { fuel, anchor } = fuelAt(paper, stage, scene, Math.max(untilMs, flowing.contactAtMs))
    const kept = totalKg(crew.ship.sheet, anchor.state) - usableKg(crew.ship.sheet, anchor.state)
    const rest = paper.input('unusable or not giving', 'mass', kept, COMPUTED)
    const computed = subtract(fuel, rest)
    const apart = out.fuelAtContactKg - paper.value(computed)
    // What is called while fuel flows tells of the instant it began as well.
    const told = Math.abs(apart) > 1e-6 ? [paper.input('by a call in contact', 'mass', apart, COMPUTED)] : []
    const held = told.length > 0 ? add(computed, ...told) : computed
    return paper.line('fuel at contact', 'mass', held, undefined, out.fuelAtContactKg)
  }
  const held = heldAtContact(paper, slot)
  if (!held) return undefined
  const kg = usable(paper, crew, held.fuel, held.tanks)
  const beyondS = Math.max(0, out.contactAtMs - contactOnCurve(slot)) / 1000
  const past =
    beyondS > 0 ? [multiply(paper.input('beyond the tanker', 'span', beyondS, COMPUTED), waitFlow(paper, slot))] : []
  const left = past.length > 0 ? greatest(NONE, subtract(kg, ...past)) : add(kg)
  return paper.line('fuel at contact', 'mass', left, undefined, out.fuelAtContactKg)
}

/** What a contact takes and how long, up to an end the judge gave. */
export function taken(paper: Paper, slot: SlotScene): Filled | undefined {
  const { stage, placed, out, crew } = slot
  const { ship, folded } = crew
  const { sheet } = ship
  const burnKgPerS = burnAt(crew, placed.visit)
  const flow = { stationRateKgPerS: placed.station.rateKgPerS, burnKgPerS }
  let tanks: TankState
  let fromMs = out.contactAtMs
  if (out.state === 'in contact') {
    const flowing = crew.its.inContact
    if (!flowing) return undefined
    fromMs = flowing.flowAtMs
    const reached = advance(ship, crew.legs, folded.anchor, Math.max(stage.nowMs, fromMs + 1))
    tanks = reached.contact?.atFlow ?? reached.state
  } else {
    const at = readyOf(slot)
    const atMs = contactOnCurve(slot)
    tanks = feed(sheet, at.state.tanks, burnKgPerS, Math.max(0, (atMs - at.state.fromMs) / 1000)).state
  }
  const curve = fillCurve(sheet, tanks, flow)
  const rate = stationRateOf(stage.plan.plan, placed.tanker.id, placed.station.stationId)
  const target = fillTargetOf(targetOf(stage.plan, placed), fromMs, burnKgPerS)
  const stop = stopAt(curve, target, out.endedBy === 'give' ? { giveKg: out.onLoadKg } : {}).durationS
  // Event time in ms keeps some 2e-7 s: where the rule ends the contact, its own duration is the finer one.
  const judgedS = (out.disconnectAtMs - fromMs) / 1000
  const endS = Math.abs(stop - judgedS) < 1e-5 ? stop : judgedS
  return fill(paper, { stage, ship, curve, flow, rate }, endS, endOf(paper, slot, fromMs))
}

/** Where the rule ends the contact inside a piece. */
function endOf(paper: Paper, slot: SlotScene, fromMs: number): EndOf | undefined {
  const { stage, placed, out, crew } = slot
  if (out.state !== 'planned') return undefined
  if (out.endedBy === 'give')
    return untilPassed(paper.input('what its tanker has left', 'mass', out.onLoadKg, COMPUTED))
  const target = targetOf(stage.plan, placed)
  if (target.kind === 'onLoad') {
    const rule = onLoadRuleOf(placed)
    const asked = paper.input(
      'on-load asked for',
      'mass',
      target.onLoadKg,
      inPlan(rule.kind === 'fixed' ? rule.fuel : undefined)
    )
    return untilPassed(asked)
  }
  if (target.kind !== 'required') return undefined
  const tanks = readyOf(slot).state
  const burnKgPerS = burnAt(crew, placed.visit)
  const { sheet } = crew.ship
  const at = feed(sheet, tanks.tanks, burnKgPerS, Math.max(0, (out.contactAtMs - tanks.fromMs) / 1000)).state
  const curve = fillCurve(sheet, at, { stationRateKgPerS: placed.station.rateKgPerS, burnKgPerS })
  const pushS = (target.pushAtMs - fromMs) / 1000
  return ({ fromS, toS }) => {
    // Before the push every second on the station saves a second of burn after it; a piece across it bends.
    if (fromS < pushS && toS > pushS + 1e-9) return undefined
    const usableAt = (atS: number): number => usableKg(sheet, curve.stateAt(atS))
    const had = paper.input('usable at the start of the piece', 'mass', usableAt(fromS), COMPUTED)
    const need = paper.input('required at push', 'mass', target.requiredKg, COMPUTED)
    const gain = paper.input(
      'usable fuel grows by',
      'flow',
      (usableAt(toS) - usableAt(fromS)) / (toS - fromS),
      COMPUTED
    )
    if (fromS >= pushS) return divide(subtract(need, had), gain)
    const left = paper.input('time left until the push', 'span', pushS - fromS, COMPUTED)
    const flow = waitFlow(paper, slot)
    return divide(subtract(add(need, multiply(flow, left)), had), add(gain, flow))
  }
}
