/** Figures of one ship now: its fuel, its limits, the margin to the one it reaches first. */
import type { FactOf } from '../contracts/facts.ts'
import { HAND_LIMITS } from '../contracts/kinds.ts'
import type { Limit } from '../contracts/view.ts'
import { homeBaseOf } from '../plan/abort.ts'
import { abortKg, bingoFrom, isTask, requiredKg } from '../plan/limits.ts'
import { countedKg, totalKg, usableKg } from '../tanks/sheet.ts'
import { starvedAt } from '../live/ahead.ts'
import { advance, legAt, positionOn, type Leg } from '../live/course.ts'
import { burnAt } from '../live/slots.ts'
import { staysHere } from '../live/view/margin.ts'
import { currentSlots, slotNow, type Scene } from '../live/view/scene.ts'
import { ranked } from '../live/ranking.ts'
import { burn, countedOf, fuelAt, usable } from './course.ts'
import { fall } from './fall.ts'
import type { ShipFigure } from './figure.ts'
import { FLIGHT_MAKERS } from './flight.ts'
import { besideLevel } from './hold.ts'
import { now } from './instants.ts'
import { abort, bingo, joker, recovery } from './limits.ts'
import { add, COMPUTED, divide, greatest, multiply, NONE, subtract, type Expression, type Paper } from './paper.ts'
import { slotScene, type Stage } from './stage.ts'
import { called, handLimitOf, minutes, onSheet, receiverTypeOf } from './typed.ts'
import { SLOT_MAKERS } from './slot.ts'
import { aboveUnsure, unsure } from './unsure.ts'

type Maker = (paper: Paper, stage: Stage, scene: Scene) => Expression | undefined

const homeOf = (stage: Stage, { crew }: Scene) => ({ stage, ship: crew.ship })

function fuel(paper: Paper, stage: Stage, scene: Scene): Expression {
  const all = fuelAt(paper, stage, scene, stage.nowMs).fuel
  return paper.line('fuel', 'mass', add(all), undefined, totalKg(scene.crew.ship.sheet, scene.tanks))
}

/** What limits count on, of all aboard. */
function leastFuel(paper: Paper, stage: Stage, scene: Scene): Expression {
  const all = fuel(paper, stage, scene)
  return paper.line('least fuel', 'mass', subtract(all, unsure(paper, scene.crew)))
}

function age(paper: Paper, stage: Stage, { crew }: Scene): Expression | undefined {
  const call = crew.record.findLast(
    (fact): fact is FactOf<'fuelCalled'> => fact.kind === 'fuelCalled' && fact.atMs <= stage.nowMs
  )
  if (!call) return undefined
  const at = paper.input('fuel called at', 'instant', call.atMs, called(call, call.fuel))
  return paper.line('age of the call', 'span', subtract(now(paper, stage), at))
}

/** The track whose abort base counts: of the slot at hand, else of the visit ahead. */
export function trackOf(stage: Stage, scene: Scene): string | undefined {
  const { current } = scene.crew
  const slot = slotNow(scene)
  return slot?.placed.visit.id === current?.id
    ? slot?.placed.tanker.trackId
    : stage.plan.tankers.get(current?.tankerId ?? '')?.trackId
}

function rank(paper: Paper, stage: Stage, scene: Scene): Expression | undefined {
  const ships = stage.view()?.ships
  const place = ships && ranked(ships).findIndex((ship) => ship.shipId === scene.crew.ship.id)
  if (place === undefined || place < 0) return undefined
  const ahead = paper.input('ships whose limit comes sooner', 'count', place, COMPUTED)
  return paper.line('rank', 'count', add(ahead, paper.input('this ship', 'count', 1, COMPUTED)))
}

/** The instant the nearest limit is reached, by the limit it is. */
const REACHED: Record<Limit, (paper: Paper, stage: Stage, scene: Scene, atMs: number) => Expression | undefined> = {
  'latest contact': (paper, stage, scene, atMs) => {
    const slot = currentSlots(scene).find(({ out }) => out.state === 'planned' || out.state === 'missed')
    const judged = slot?.out.latestContactAtMs === undefined ? undefined : slotScene(stage, slot.placed.id)
    if (judged) return SLOT_MAKERS['latest contact'](paper, judged)
    return unslotted(paper, stage, scene, atMs)
  },
  'latest push': (paper, stage, scene, atMs) => {
    const { crew, tanks } = scene
    const { ship, flight, current } = crew
    if (!current) return undefined
    const needKg = requiredKg(stage.plan, flight, ship, current)
    const burnKgPerS = burnAt(crew, current)
    const flow = paper.input('flow waiting and in contact', 'flow', burnKgPerS, COMPUTED)
    const level = paper.input('required', 'mass', needKg, COMPUTED)
    const dry = starvedAt(scene.way, stage.nowMs)
    const held = dry ? paper.line('usable fuel', 'mass', NONE) : usable(paper, crew, fuel(paper, stage, scene), tanks)
    const spare =
      dry || usableKg(ship.sheet, tanks) < needKg
        ? divide(subtract(held, level), flow)
        : fall(paper, ship.sheet, { kg: held, tanks, flow, burnKgPerS, measure: 'usable', level, levelKg: needKg })
    return spare && paper.line('latest push', 'instant', add(now(paper, stage), spare), undefined, atMs)
  },
  'leave for the tanker': (paper, stage, scene, atMs) => {
    const { crew, legs, leg } = scene
    const { flight, current } = crew
    const readyLeg = current && legs.find((one) => one.visit?.id === current.id)
    if (!readyLeg) return undefined
    const task = legs.findLast(
      (one) => one.phaseIndex >= leg.phaseIndex && one.phaseIndex < readyLeg.phaseIndex && isTask(one)
    )
    const placed = currentSlots(scene)[0]?.placed
    const tanker = placed?.tanker ?? stage.plan.tankers.get(current.tankerId)
    if (!task || !tanker) return undefined
    const hookUpMs =
      placed?.station.hookUpMs ?? tanker.stations.find((one) => one.method === flight.method)?.hookUpMs ?? 0
    const held = ahead(paper, stage, scene, readyLeg.fromAtMs)
    const dry = starvedAt(scene.way, readyLeg.fromAtMs)
    const counted = dry ? paper.line('counted fuel', 'mass', NONE) : countedOf(paper, crew, held.fuel, held.tanks)
    const asked = abort(paper, homeOf(stage, scene), tanker.trackId)
    if (!asked) return undefined
    const level = aboveUnsure(paper, crew, asked, crew.unsureKg)
    const hookUp = paper.input('hook-up', 'span', hookUpMs / 1000, minutes(hookUpMs / 60_000))
    const flow = paper.input('flow waiting and in contact', 'flow', burnAt(crew, current), COMPUTED)
    const spare = paper.line('spare at the tanker', 'mass', subtract(counted, level, multiply(hookUp, flow)))
    const end = paper.input('planned end of the task', 'instant', task.toAtMs, COMPUTED, task.phaseId)
    const taskFlow = paper.input('flow in the phase', 'flow', task.burnKgPerS, COMPUTED, task.phaseId)
    return paper.line('leave for the tanker', 'instant', add(end, divide(spare, taskFlow)), undefined, atMs)
  },
  bingo: (paper, stage, scene, atMs) =>
    met(paper, stage, scene, atMs, 'bingo', (leg) => {
      const kg = bingoFrom(stage.plan, scene.crew.ship, leg.phaseIndex)
      return kg === undefined ? undefined : paper.input('bingo', 'mass', kg, COMPUTED)
    }),
  'recovery fuel': (paper, stage, scene, atMs) =>
    (staysHere(scene) ? recoveryHere : recoveryAhead)(paper, stage, scene, atMs)
}

/** Recovery fuel from a point of a leg, to the base it recovers to from there. */
const homeFrom = (paper: Paper, stage: Stage, scene: Scene, leg: Leg, thenMs: number): Expression | undefined =>
  recovery(paper, homeOf(stage, scene), positionOn(leg, thenMs), homeBaseOf(stage.plan, scene.crew.flight, leg.visit))

const recoveryAhead = (paper: Paper, stage: Stage, scene: Scene, atMs: number): Expression | undefined =>
  met(paper, stage, scene, atMs, 'recovery fuel', (leg, thenMs) => homeFrom(paper, stage, scene, leg, thenMs))

function countedNow(paper: Paper, stage: Stage, scene: Scene): Expression {
  const dry = starvedAt(scene.way, stage.nowMs)
  if (dry) return paper.line('counted fuel', 'mass', NONE)
  return countedOf(paper, scene.crew, fuel(paper, stage, scene), scene.tanks)
}

/** Where it stays it burns down to recovery fuel at the flow of now. */
function recoveryHere(paper: Paper, stage: Stage, scene: Scene, atMs: number): Expression | undefined {
  const { crew, leg, tanks } = scene
  const { sheet } = crew.ship
  const limit = homeFrom(paper, stage, scene, leg, stage.nowMs)
  if (!limit) return undefined
  const level = aboveUnsure(paper, crew, limit, crew.unsureKg)
  const levelKg = paper.value(level)
  const flow = paper.input('flow in the phase', 'flow', leg.burnKgPerS, COMPUTED, leg.phaseId)
  const kg = countedNow(paper, stage, scene)
  const dry = starvedAt(scene.way, stage.nowMs)
  const { burnKgPerS } = leg
  const spare =
    dry || countedKg(sheet, tanks) < levelKg
      ? divide(subtract(kg, level), flow)
      : fall(paper, sheet, { kg, tanks, flow, burnKgPerS, measure: 'counted', level, levelKg })
  return spare && paper.line('recovery fuel', 'instant', add(now(paper, stage), spare), undefined, atMs)
}

/** Fuel at an instant ahead, along the legs, without a contact. */
function ahead(paper: Paper, stage: Stage, scene: Scene, atMs: number) {
  const { crew, legs } = scene
  const { anchor } = crew.folded
  const start = fuelAt(paper, stage, { crew, legs }, anchor.atMs)
  const there = burn(paper, stage, crew, legs, { fuel: start.fuel, tanks: anchor.state, atMs: anchor.atMs }, atMs)
  return { fuel: there.fuel, tanks: advance(crew.ship, legs, { ...anchor, contact: undefined }, atMs).state }
}

/** A ship without a slot: its latest contact at the track it is bound for. */
function unslotted(paper: Paper, stage: Stage, scene: Scene, atMs: number): Expression | undefined {
  const { crew, legs } = scene
  const { ship, current } = crew
  if (!current) return undefined
  const slot = currentSlots(scene).find(({ out }) => out.state === 'planned' || out.state === 'missed')
  const trackId = slot?.placed.tanker.trackId ?? stage.plan.tankers.get(current.tankerId)?.trackId ?? ''
  const readyLeg = legs.find((one) => one.visit?.id === current.id)
  const readyAtMs = Math.max(stage.nowMs, readyLeg?.fromAtMs ?? stage.nowMs)
  const held = ahead(paper, stage, scene, readyAtMs)
  const dry = starvedAt(scene.way, readyAtMs)
  const counted = dry ? paper.line('counted fuel', 'mass', NONE) : countedOf(paper, crew, held.fuel, held.tanks)
  const asked = abort(paper, homeOf(stage, scene), trackId)
  if (!asked) return undefined
  const level = aboveUnsure(paper, crew, asked, crew.unsureKg)
  const burnKgPerS = burnAt(crew, current)
  const levelKg = abortKg(stage.plan, ship, trackId) + crew.unsureKg
  const flow = paper.input('flow waiting and in contact', 'flow', burnKgPerS, COMPUTED)
  const spare =
    dry || countedKg(ship.sheet, held.tanks) < levelKg
      ? divide(subtract(counted, level), flow)
      : fall(paper, ship.sheet, {
          kg: counted,
          tanks: held.tanks,
          flow,
          burnKgPerS,
          measure: 'counted',
          level,
          levelKg
        })
  const from = paper.input('ready', 'instant', readyAtMs, COMPUTED)
  return spare && paper.line('latest contact', 'instant', add(from, spare), undefined, atMs)
}

/** A limit that moves with the ship: below it already, by what is lacking; else met on the way. */
function met(
  paper: Paper,
  stage: Stage,
  scene: Scene,
  atMs: number,
  name: string,
  levelAt: (leg: Leg, thenMs: number) => Expression | undefined
): Expression | undefined {
  const { crew, leg } = scene
  if (atMs >= stage.nowMs) return metOnTheWay(paper, scene, atMs, name, (at) => levelAt(at, atMs))
  const held = countedNow(paper, stage, scene)
  const limit = levelAt(leg, stage.nowMs)
  if (!limit) return undefined
  const flow = paper.input('flow in the phase', 'flow', leg.burnKgPerS, COMPUTED, leg.phaseId)
  const spare = divide(subtract(held, aboveUnsure(paper, crew, limit, crew.unsureKg)), flow)
  return paper.line(name, 'instant', add(now(paper, stage), spare), undefined, atMs)
}

/** A limit that moves with the ship is met where both were found equal, to a millisecond: fuel and limit there. */
function metOnTheWay(
  paper: Paper,
  scene: Scene,
  atMs: number,
  name: string,
  levelAt: (leg: Leg) => Expression | undefined
): Expression {
  const { way, legs } = scene
  const after = way.bends.findIndex(
    (bend, index) => index > 0 && bend.atMs >= atMs && way.bends[index - 1]?.leg === bend.leg
  )
  const [a, b] = [way.bends[after - 1], way.bends[after]]
  const leg = a?.leg ?? legAt(legs, atMs)
  const limit = levelAt(leg)
  const level = limit && aboveUnsure(paper, scene.crew, limit, scene.crew.unsureKg)
  if (a && b && level) {
    const share = b.atMs > a.atMs ? (atMs - a.atMs) / (b.atMs - a.atMs) : 0
    const from = paper.input('counted fuel at the bend before', 'mass', a.countedKg, COMPUTED, leg.phaseId)
    const since = paper.input('time from that bend', 'span', (atMs - a.atMs) / 1000, COMPUTED)
    const rate = paper.input(
      'it falls by',
      'flow',
      b.atMs > a.atMs ? (a.countedKg - b.countedKg) / ((b.atMs - a.atMs) / 1000) : 0,
      COMPUTED
    )
    const kg = a.countedKg + share * (b.countedKg - a.countedKg)
    const then = paper.line('counted fuel then', 'mass', subtract(from, multiply(since, rate)), undefined, kg)
    paper.line('above the limit then', 'mass', subtract(then, level))
  }
  const met = paper.input('met first at, found to a millisecond', 'instant', atMs, COMPUTED)
  return paper.line(name, 'instant', add(met), undefined, atMs)
}

function margin(paper: Paper, stage: Stage, scene: Scene): Expression | undefined {
  const ship = stage.view()?.ships.find((one) => one.shipId === scene.crew.ship.id)
  if (!ship?.margin) return undefined
  const { limit, atMs, marginS } = ship.margin
  const at = REACHED[limit](paper, stage, scene, atMs)
  return at && paper.line('margin', 'span', subtract(at, now(paper, stage)), limit, marginS)
}

/** When nothing is left, by how usable fuel falls from the bend before. */
function runsOutAt(paper: Paper, stage: Stage, { way }: Scene): Expression | undefined {
  const span = way.empty.find(({ toMs }) => toMs > stage.nowMs)
  if (!span) return undefined
  const before = way.bends.findLast(({ atMs }) => atMs < span.fromMs)
  if (!before || before.usableKg <= 0) {
    const since = paper.input('nothing left since', 'instant', span.fromMs, COMPUTED)
    return paper.line('runs out at', 'instant', add(since), undefined, span.fromMs)
  }
  const about = before.leg.phaseId ?? before.leg.kind
  const fallKgPerS = before.usableKg / ((span.fromMs - before.atMs) / 1000)
  const from = paper.input('the bend before', 'instant', before.atMs, COMPUTED, about)
  const left = paper.input('usable fuel then', 'mass', before.usableKg, COMPUTED, about)
  const rate = paper.input('it falls by', 'flow', fallKgPerS, COMPUTED, about)
  return paper.line('runs out at', 'instant', add(from, divide(left, rate)), undefined, span.fromMs)
}

export const SHIP_MAKERS: Record<ShipFigure, Maker> = {
  rank,
  fuel,
  'least fuel': leastFuel,
  'age of the call': age,
  margin,
  abort: (paper, stage, scene) => {
    const trackId = trackOf(stage, scene)
    return trackId === undefined ? undefined : abort(paper, homeOf(stage, scene), trackId)
  },
  bingo: (paper, stage, scene) => bingo(paper, homeOf(stage, scene), scene.leg.phaseIndex),
  joker: (paper, stage, scene) => joker(paper, homeOf(stage, scene), scene.leg.phaseIndex),
  'stale for': (paper, stage, scene) => {
    const since = age(paper, stage, scene)
    const allowed = stage.plan.staleAfterMs
    const after = paper.input('a call is old after', 'span', allowed / 1000, minutes(allowed / 60_000))
    return since && paper.line('stale for', 'span', subtract(since, after))
  },
  'no flow for': (paper, stage, { crew }) => {
    const contact = crew.its.inContact
    const fact = crew.record.findLast((one) => one.kind === 'contactMade' && one.slotId === contact?.slotId)
    if (!contact || !fact) return undefined
    const made = paper.input('contact called', 'instant', contact.contactAtMs, called(fact))
    return paper.line('no flow for', 'span', subtract(now(paper, stage), made))
  },
  'below by': (paper, stage, scene) => {
    const left = margin(paper, stage, scene)
    return left && paper.line('below by', 'span', subtract(NONE, left))
  },
  'below recovery by': (paper, stage, scene) => {
    const limit = homeFrom(paper, stage, scene, scene.leg, stage.nowMs)
    const level = limit && aboveUnsure(paper, scene.crew, limit, scene.crew.unsureKg)
    return level && paper.line('below recovery by', 'mass', subtract(level, countedNow(paper, stage, scene)))
  },
  'too little by': (paper, stage, { crew }) => {
    const least = FLIGHT_MAKERS['weakest margin'](paper, stage, crew.flight)
    return least && paper.line('too little by', 'mass', subtract(NONE, least))
  },
  'too little at': (paper, stage, { crew }) => FLIGHT_MAKERS['weakest at'](paper, stage, crew.flight),
  'starves at': (paper, stage, { way }) => {
    const span = way.starved.find(({ toMs }) => toMs > stage.nowMs)
    const dry = span && paper.input('feed group at its unusable rest', 'instant', span.fromMs, COMPUTED)
    return dry && paper.line('starves at', 'instant', add(dry))
  },
  'runs out at': runsOutAt,
  'bingo gauge': (paper, stage, scene) => limitOnGauge(paper, stage, scene, 'bingo'),
  'joker gauge': (paper, stage, scene) => limitOnGauge(paper, stage, scene, 'joker'),
  'overruled by': overruledBy,
  'feed low at': (paper, stage, scene) => {
    const { ship, folded } = scene.crew
    const atMs = shipIn(stage, scene)?.feedLowAtMs
    if (atMs === undefined || atMs === null) return undefined
    const mark = receiverTypeOf(stage.plan.plan, ship)?.feedLowMark
    paper.input('low mark of the feed group', 'mass', ship.sheet.feedLowMarkKg ?? 0, onSheet(mark))
    const since = paper.input('last known', 'instant', folded.anchor.atMs, COMPUTED)
    const lasts = paper.input('time until it is down to that', 'span', (atMs - folded.anchor.atMs) / 1000, COMPUTED)
    return paper.line('feed low at', 'instant', add(since, lasts), undefined, atMs)
  },
  'band low': (paper, stage, scene) => bandEnd(paper, stage, scene, 'low'),
  'band high': (paper, stage, scene) => bandEnd(paper, stage, scene, 'high')
}

const shipIn = (stage: Stage, { crew }: Scene) => stage.view()?.ships.find((one) => one.shipId === crew.ship.id)

function limitOnGauge(paper: Paper, stage: Stage, scene: Scene, name: 'bingo' | 'joker'): Expression | undefined {
  const limit = shipIn(stage, scene)?.limits[name]
  if (!limit || limit.gaugeKg === null) return undefined
  return besideLevel(paper, 'own gauge', paper.input(name, 'mass', limit.fuelKg, COMPUTED), limit.gaugeKg)
}

/** By how much the computed limit lies above the one set by hand, where most. */
function overruledBy(paper: Paper, stage: Stage, scene: Scene): Expression | undefined {
  const limits = shipIn(stage, scene)?.limits
  const names = HAND_LIMITS.filter((name) => (limits?.[name]?.byHandKg ?? Infinity) < (limits?.[name]?.computedKg ?? 0))
  const lacks = names.flatMap((name) => {
    const limit = limits?.[name]
    if (!limit || limit.byHandKg === null) return []
    const computed = paper.input('computed', 'mass', limit.computedKg, COMPUTED, name)
    const byHand = paper.input(
      'set by hand',
      'mass',
      limit.byHandKg,
      handLimitOf(stage.state, scene.crew.ship, name),
      name
    )
    return [subtract(computed, byHand)]
  })
  return lacks.length === 0 ? undefined : paper.line('overruled by', 'mass', greatest(...lacks))
}

/** Where its internal gauge stands while externals give. */
function bandEnd(paper: Paper, stage: Stage, { crew: { ship } }: Scene, end: 'low' | 'high'): Expression | undefined {
  const band = ship.sheet.gaugeBandKg
  if (!band) return undefined
  const typed = receiverTypeOf(stage.plan.plan, ship)?.gaugeBand?.[end]
  const kg = end === 'low' ? band.lowKg : band.highKg
  return paper.line(`band ${end}`, 'mass', add(paper.input('gauge while externals give', 'mass', kg, onSheet(typed))))
}
