/** Holding externals before a contact, and limits as the ship's own gauge shows them. */
import type { SlotView } from '../contracts/view.ts'
import { burnAt } from '../live/slots.ts'
import { holdBegins, holdCase, holdsNow, RELEASE_S } from '../live/view/hold.ts'
import { flowsAtMs } from '../live/view/slot.ts'
import { abortKg } from '../plan/limits.ts'
import { feed } from '../tanks/feed.ts'
import { fillCurve, stopAt } from '../tanks/fill.ts'
import { gaugeKg, totalKg, type TankState } from '../tanks/sheet.ts'
import { gauge } from './course.ts'
import { fill } from './fill.ts'
import { waitFlow } from './held.ts'
import {
  add,
  ASSUMED,
  COMPUTED,
  divide,
  greatest,
  multiply,
  NONE,
  subtract,
  type Expression,
  type Paper
} from './paper.ts'
import type { SlotScene } from './stage.ts'
import { minutes, stationRateOf } from './typed.ts'

/** Rounding of sums: what differs by less is the same, kg or s. */
const SAME = 1e-6

const seen = ({ stage, placed }: SlotScene): SlotView | undefined =>
  stage.view()?.slots.find((slot) => slot.slotId === placed.id)

type Advised = Extract<NonNullable<SlotView['hold']>, { kind: 'hold' }>
const advised = (slot: SlotScene): Advised | undefined => {
  const hold = seen(slot)?.hold
  return hold?.kind === 'hold' ? hold : undefined
}

const contactIn = (paper: Paper, { out }: SlotScene): Expression =>
  paper.input('contact', 'instant', out.contactAtMs, COMPUTED)

/** The ship on its way to contact at an instant, externals held from the hold on where one is flown. */
function onTheWay(slot: SlotScene, untilMs: number, holdFromMs = Infinity): TankState | undefined {
  const { stage, crew, placed, out } = slot
  const scene = stage.scene(crew.ship.id)
  if (!scene) return undefined
  const from = holdBegins(scene, out)
  const passed = holdFromMs !== Infinity && holdFromMs >= stage.nowMs && stage.nowMs > from.atMs
  const begins =
    holdsNow(scene, out, from) || (passed && scene.tanks.externals === 'selected')
      ? { atMs: stage.nowMs, state: scene.tanks }
      : from
  const asked = holdCase(scene, placed, out, abortKg(stage.plan, crew.ship, placed.tanker.trackId), begins)
  if (!asked) return undefined
  // A ship that holds already is judged as if it released now.
  let state = asked.state.externals === 'held' ? { ...asked.state, externals: 'selected' as const } : asked.state
  let atMs = asked.beginMs
  for (const { durationS, burnKgPerS } of asked.question.legs) {
    const endMs = Math.min(untilMs, atMs + durationS * 1000)
    const turnMs = Math.max(atMs, Math.min(endMs, holdFromMs))
    state = feed(crew.ship.sheet, state, burnKgPerS, (turnMs - atMs) / 1000).state
    if (endMs > turnMs) {
      if (state.externals === 'selected') state = { ...state, externals: 'held' }
      state = feed(crew.ship.sheet, state, burnKgPerS, (endMs - turnMs) / 1000).state
    }
    atMs = endMs
    if (endMs >= untilMs) break
  }
  return state
}

/** Abort fuel and the late margin: what counted fuel may not fall below at contact. */
function floor(paper: Paper, slot: SlotScene): Expression {
  const { stage, crew, placed } = slot
  const { lateMarginS } = stage.plan
  const abort = paper.input('abort', 'mass', abortKg(stage.plan, crew.ship, placed.tanker.trackId), COMPUTED)
  const margin = paper.input('late margin', 'span', lateMarginS, minutes(lateMarginS / 60))
  return paper.line('least counted at contact', 'mass', add(abort, multiply(margin, waitFlow(paper, slot))))
}

export function holdFrom(paper: Paper, slot: SlotScene): Expression | undefined {
  const hold = advised(slot)
  if (!hold) return undefined
  paper.input('external fuel used before the contact', 'mass', hold.externalUsedKg, COMPUTED)
  const counted = paper.input('counted at contact, held', 'mass', hold.countedAtContactKg, COMPUTED)
  paper.line('above the least', 'mass', subtract(counted, floor(paper, slot)), undefined, hold.aboveFloorKg)
  const held = paper.input('held until contact', 'span', (slot.out.contactAtMs - hold.fromMs) / 1000, COMPUTED)
  return paper.line('hold from', 'instant', subtract(contactIn(paper, slot), held), undefined, hold.fromMs)
}

/** A contact by the pieces of its fill, until usable fuel is what it is without a hold. */
function contactOf(paper: Paper, slot: SlotScene, atContact: TankState, usableKg: number, name: string): Expression {
  const { stage, crew, placed } = slot
  const flow = {
    stationRateKgPerS: placed.station.rateKgPerS,
    burnKgPerS: burnAt(crew, placed.visit)
  }
  const curve = fillCurve(crew.ship.sheet, atContact, flow)
  const { durationS } = stopAt(curve, { kind: 'usable', usableKg })
  const rate = stationRateOf(stage.plan.plan, placed.tanker.id, placed.station.stationId)
  const { time } = fill(paper, { stage, ship: crew.ship, curve, flow, rate }, durationS)
  return paper.line(name, 'span', time, undefined, durationS)
}

export function holdSaves(paper: Paper, slot: SlotScene): Expression | undefined {
  const hold = advised(slot)
  const plain = onTheWay(slot, slot.out.contactAtMs)
  const held = hold && onTheWay(slot, slot.out.contactAtMs, hold.fromMs)
  if (!hold || !plain || !held) return undefined
  const without = contactOf(paper, slot, plain, hold.fuelAtDisconnectKg, 'contact without a hold')
  const shorter = contactOf(paper, slot, held, hold.fuelAtDisconnectKg, 'contact with the hold')
  return paper.line('hold saves', 'span', subtract(without, shorter), undefined, hold.savedS)
}

export function holdGauge(paper: Paper, slot: SlotScene): Expression | undefined {
  const hold = advised(slot)
  const state = hold && onTheWay(slot, hold.fromMs)
  return hold && state && gaugeOf(paper, slot, state, hold.gaugeFromKg)
}

function gaugeOf(paper: Paper, { crew }: SlotScene, state: TankState, shownKg: number): Expression {
  const fuel = paper.input('fuel aboard', 'mass', totalKg(crew.ship.sheet, state), COMPUTED)
  if (Math.abs(gaugeKg(crew.ship.sheet, state) - shownKg) > SAME)
    return paper.line('own gauge', 'mass', add(paper.input('own gauge', 'mass', shownKg, COMPUTED)))
  return gauge(paper, crew, fuel, state, shownKg)
}

/** Counted fuel at which a hold is given up: abort fuel and two minutes of burn. */
function releaseLevel(paper: Paper, slot: SlotScene): Expression {
  const { stage, crew, placed } = slot
  const abort = paper.input('abort', 'mass', abortKg(stage.plan, crew.ship, placed.tanker.trackId), COMPUTED)
  const span = paper.input('kept above abort fuel', 'span', RELEASE_S, ASSUMED)
  return paper.line('release at counted', 'mass', add(abort, multiply(span, waitFlow(paper, slot))))
}

export function releaseAt(paper: Paper, slot: SlotScene): Expression | undefined {
  const hold = advised(slot)
  if (!hold || hold.releaseAtMs === null) return undefined
  const counted = paper.input('counted at contact, held', 'mass', hold.countedAtContactKg, COMPUTED)
  const level = releaseLevel(paper, slot)
  const lasts = divide(subtract(counted, level), waitFlow(paper, slot))
  const at = add(contactIn(paper, slot), lasts)
  // Before contact other phases burn at other flows: there the course tells the instant.
  if (Math.abs(paper.value(at) - hold.releaseAtMs / 1000) > SAME)
    return paper.line(
      'release at',
      'instant',
      add(paper.input('counted fuel is there', 'instant', hold.releaseAtMs, COMPUTED))
    )
  return paper.line('release at', 'instant', at, undefined, hold.releaseAtMs)
}

export function releaseGauge(paper: Paper, slot: SlotScene): Expression | undefined {
  const hold = advised(slot)
  if (!hold || hold.gaugeReleaseKg === null) return undefined
  return besideLevel(paper, 'own gauge', releaseLevel(paper, slot), hold.gaugeReleaseKg)
}

/** A level as the gauge shows it: with what is aboard beside it, unusable or not counted, or without what it cannot see. */
export function besideLevel(paper: Paper, name: string, level: Expression, shownKg: number): Expression {
  const apart = shownKg - paper.value(level)
  if (Math.abs(apart) < SAME) return paper.line(name, 'mass', add(level), undefined, shownKg)
  const more = paper.input(
    apart > 0 ? 'shown beside it: unusable or not counted' : 'not shown: in external tanks',
    'mass',
    Math.abs(apart),
    COMPUTED
  )
  return paper.line(name, 'mass', apart > 0 ? add(level, more) : subtract(level, more), undefined, shownKg)
}

export function abortGauge(paper: Paper, slot: SlotScene): Expression | undefined {
  const view = seen(slot)
  if (!view || view.abortGaugeKg === null || view.abortKg === null) return undefined
  return besideLevel(paper, 'own gauge', paper.input('abort', 'mass', view.abortKg, COMPUTED), view.abortGaugeKg)
}

export function requiredGauge(paper: Paper, slot: SlotScene): Expression | undefined {
  const view = seen(slot)
  if (!view || view.requiredGaugeKg === null) return undefined
  const level = paper.input('required', 'mass', view.requiredAtPushKg, COMPUTED)
  return besideLevel(paper, 'own gauge', level, view.requiredGaugeKg)
}

export function leastOnLoad(paper: Paper, slot: SlotScene): Expression | undefined {
  const view = seen(slot)
  if (!view || slot.out.state !== 'planned') return undefined
  const required = paper.input('required', 'mass', view.requiredAtPushKg, COMPUTED)
  const atContact = paper.input('fuel at contact', 'mass', view.fuelAtContactKg, COMPUTED)
  const push = paper.input('push', 'instant', view.pushAtMs, COMPUTED)
  const burned = multiply(subtract(push, contactIn(paper, slot)), waitFlow(paper, slot))
  const asked = greatest(NONE, subtract(add(required, burned), atContact))
  // Tanks that are full, or do not give, or a push that comes before it is off, end it elsewhere.
  if (Math.abs(paper.value(asked) - view.leastOnLoadKg) > SAME)
    return paper.line(
      'least on-load',
      'mass',
      add(paper.input('taken until it may go on', 'mass', view.leastOnLoadKg, COMPUTED))
    )
  return paper.line('least on-load', 'mass', asked, undefined, view.leastOnLoadKg)
}

export function gaugeAtDisconnect(paper: Paper, slot: SlotScene): Expression | undefined {
  const view = seen(slot)
  if (!view) return undefined
  const scene = slot.stage.scene(slot.crew.ship.id)
  const atContact = scene?.way.atContact.get(slot.placed.id)
  const { ship } = slot.crew
  const after = slot.crew.folded.flown.get(slot.placed.id)?.after ?? (atContact && endOf(slot, atContact))
  if (!after)
    return paper.line(
      'own gauge',
      'mass',
      add(paper.input('fuel at disconnect', 'mass', view.gaugeAtDisconnectKg, COMPUTED))
    )
  const aboard = paper.input('fuel aboard', 'mass', totalKg(ship.sheet, after), COMPUTED)
  if (Math.abs(gaugeKg(ship.sheet, after) - view.gaugeAtDisconnectKg) > SAME)
    return paper.line(
      'own gauge',
      'mass',
      add(paper.input('fuel at disconnect', 'mass', view.gaugeAtDisconnectKg, COMPUTED))
    )
  return gauge(paper, slot.crew, aboard, after, view.gaugeAtDisconnectKg)
}

function endOf({ crew, placed, out }: SlotScene, atContact: TankState): TankState {
  const flow = {
    stationRateKgPerS: placed.station.rateKgPerS,
    burnKgPerS: burnAt(crew, placed.visit)
  }
  const curve = fillCurve(crew.ship.sheet, atContact, flow)
  return stopAt(curve, { kind: 'called', atS: Math.max(0, (out.disconnectAtMs - flowsAtMs(crew, out)) / 1000) }).state
}
