/** Figures of one slot: its instants, its fuel, its push. */
import { isServed } from '../live/served.ts'
import { burnAt, unsureAt } from '../live/slots.ts'
import { abortKg } from '../plan/limits.ts'
import { isDry } from '../tanks/service.ts'
import { gaugeKg, totalKg, usableKg } from '../tanks/sheet.ts'
import { quantityKg } from '../units.ts'
import { countedOf, gauge } from './course.ts'
import { fall } from './fall.ts'
import type { PushFigure, SlotFigure } from './figure.ts'
import { fuelAtContact, heldWhenReady, taken, waitFlow } from './held.ts'
import {
  abortGauge,
  gaugeAtDisconnect,
  holdFrom,
  holdGauge,
  holdSaves,
  leastOnLoad,
  releaseAt,
  releaseGauge,
  requiredGauge
} from './hold.ts'
import { contact, instant, now, ready } from './instants.ts'
import { abort, required } from './limits.ts'
import {
  add,
  ASSUMED,
  COMPUTED,
  divide,
  greatest,
  least,
  multiply,
  NONE,
  PLAN,
  subtract,
  type Expression,
  type Paper
} from './paper.ts'
import type { SlotScene } from './stage.ts'
import { lost } from './stops.ts'
import { giveLeft } from './tanker.ts'
import { aboveUnsure } from './unsure.ts'
import { called, minutes } from './typed.ts'
import { fuelAlong } from './way.ts'

type Maker = (paper: Paper, slot: SlotScene) => Expression | undefined

const homeOf = ({ stage, crew }: SlotScene) => ({ stage, ship: crew.ship })

/** Another figure of the same slot, opened by itself. */
const contactIn = (paper: Paper, { out }: SlotScene): Expression =>
  paper.input('contact', 'instant', out.contactAtMs, COMPUTED)
const disconnectIn = (paper: Paper, { out }: SlotScene): Expression =>
  paper.input('disconnect', 'instant', out.disconnectAtMs, COMPUTED)
const pushIn = (paper: Paper, { out }: SlotScene): Expression => paper.input('push', 'instant', out.pushAtMs, COMPUTED)

/** When fuel flows: as called, else a while after the contact. */
function flowBegins(paper: Paper, slot: SlotScene): Expression {
  const { crew, out } = slot
  const flowing = crew.its.inContact
  const call = crew.record.find((fact) => fact.kind === 'fuelFlowing' && fact.slotId === slot.placed.id)
  if (!flowing) return contactIn(paper, slot)
  if (call && flowing.flowCalled) return paper.input('flow called', 'instant', flowing.flowAtMs, called(call))
  const after = paper.input('flow assumed after', 'span', (flowing.flowAtMs - out.contactAtMs) / 1000, ASSUMED)
  return add(contactIn(paper, slot), after)
}

function disconnect(paper: Paper, slot: SlotScene): Expression | undefined {
  const { out, crew, placed } = slot
  if (out.state === 'done') {
    const its = crew.its.contacts.find((one) => one.slotId === placed.id)
    const fact = crew.record.findLast((one) => one.atMs === its?.disconnectAtMs)
    const source = fact ? called(fact) : COMPUTED
    return paper.line(
      'disconnect',
      'instant',
      add(paper.input('disconnect called', 'instant', out.disconnectAtMs, source))
    )
  }
  if (out.state === 'gone') return instant(paper, 'disconnect', undefined, out.disconnectAtMs)
  const from = out.state === 'in contact' ? flowBegins(paper, slot) : contact(paper, slot)
  const time = taken(paper, slot)?.time
  return time && paper.line('disconnect', 'instant', add(from, time), undefined, out.disconnectAtMs)
}

function onLoad(paper: Paper, slot: SlotScene): Expression | undefined {
  const { out, crew, placed } = slot
  if (!isServed(out)) return paper.line('on-load', 'mass', NONE, undefined, out.onLoadKg)
  if (out.state !== 'done') {
    const filled = taken(paper, slot)
    return filled && paper.line('on-load', 'mass', add(filled.onLoad), undefined, out.onLoadKg)
  }
  const its = crew.its.contacts.find((one) => one.slotId === placed.id)
  const fact = crew.record.find((one) => one.kind === 'disconnected' && one.slotId === placed.id)
  if (its?.offLoad && fact) {
    const figure = paper.input(
      'off-load called',
      'mass',
      quantityKg(its.offLoad, placed.tanker.fuelKgPerM3),
      called(fact, its.offLoad)
    )
    // One that cannot have flowed counts for no more than the fill could bring.
    const isCapped = paper.value(figure) - out.onLoadKg > 1e-6
    const counted = isCapped
      ? least(figure, paper.input('most that can have flowed', 'mass', out.onLoadKg, COMPUTED))
      : add(figure)
    return paper.line('on-load', 'mass', counted, undefined, out.onLoadKg)
  }
  const passed = paper.input('gain and burn in contact', 'mass', out.onLoadKg, COMPUTED)
  return paper.line('on-load', 'mass', add(passed), undefined, out.onLoadKg)
}

function latestContact(paper: Paper, slot: SlotScene): Expression | undefined {
  const { stage, placed, out, crew } = slot
  if (out.latestContactAtMs === undefined) return undefined
  const held = heldWhenReady(paper, slot)
  if (!held) return undefined
  const { trackId } = placed.tanker
  const unsureKg = unsureAt(placed)
  const levelKg = abortKg(stage.plan, crew.ship, trackId) + unsureKg
  const isPast = out.latestContactAtMs < held.atMs
  // A dry feed group: nothing of what is aboard counts.
  const dry = isPast && isDry(crew.ship.sheet, held.tanks, burnAt(crew, placed.visit))
  const counted = dry ? paper.line('counted fuel', 'mass', NONE) : countedOf(paper, crew, held.fuel, held.tanks)
  const asked = abort(paper, homeOf(slot), trackId)
  if (!asked) return undefined
  const level = aboveUnsure(paper, crew, asked, unsureKg)
  const flow = waitFlow(paper, slot)
  const spare = isPast
    ? divide(subtract(counted, level), flow)
    : fall(paper, crew.ship.sheet, {
        kg: counted,
        tanks: held.tanks,
        flow,
        burnKgPerS: burnAt(crew, placed.visit),
        measure: 'counted',
        level,
        levelKg
      })
  const from = paper.input('ready', 'instant', held.atMs, COMPUTED)
  return spare && paper.line('latest contact', 'instant', add(from, spare), undefined, out.latestContactAtMs)
}

const latestIn = (paper: Paper, { out }: SlotScene): Expression | undefined =>
  out.latestContactAtMs === undefined
    ? undefined
    : paper.input('latest contact', 'instant', out.latestContactAtMs, COMPUTED)

/** Usable fuel when it disconnects. */
function fuelAtDisconnect(paper: Paper, slot: SlotScene): Expression {
  const { out } = slot
  const atContact = paper.input('fuel at contact', 'mass', out.fuelAtContactKg, COMPUTED)
  const onto = paper.input('on-load', 'mass', out.onLoadKg, COMPUTED)
  if (out.state !== 'planned') return paper.input('fuel at disconnect', 'mass', out.fuelAtDisconnectKg, COMPUTED)
  const time = paper.line('time in contact', 'span', subtract(disconnectIn(paper, slot), contactIn(paper, slot)))
  const expected = subtract(add(atContact, onto), multiply(time, waitFlow(paper, slot)))
  const lost = paper.value(expected) - out.fuelAtDisconnectKg
  const other = Math.abs(lost) > 1e-6 ? [paper.input('taken by tanks that do not give', 'mass', lost, COMPUTED)] : []
  const left = other.length > 0 ? subtract(expected, ...other) : expected
  return paper.line('fuel at disconnect', 'mass', left, undefined, out.fuelAtDisconnectKg)
}

function fuelAtPush(paper: Paper, slot: SlotScene): Expression {
  const { out } = slot
  if (!isServed(out)) return paper.line('fuel at push', 'mass', NONE, undefined, out.fuelAtPushKg)
  const { held, since } = heldSince(paper, slot)
  const wait = paper.line('time until the push', 'span', greatest(NONE, subtract(pushIn(paper, slot), since)))
  const burned = multiply(wait, waitFlow(paper, slot))
  return paper.line('fuel at push', 'mass', subtract(held, burned), undefined, out.fuelAtPushKg)
}

/** What it holds at its disconnect, or since by a later call. */
function heldSince(paper: Paper, slot: SlotScene): { held: Expression; since: Expression } {
  const called = slot.judged.fixed?.since
  if (called === undefined) return { held: fuelAtDisconnect(paper, slot), since: disconnectIn(paper, slot) }
  return {
    held: paper.input('fuel as called', 'mass', called.usableKg, COMPUTED),
    since: paper.input('since', 'instant', called.atMs, COMPUTED)
  }
}

const requiredIn = (paper: Paper, { out }: SlotScene): Expression =>
  paper.input('required', 'mass', out.requiredAtPushKg, COMPUTED)

function latestPush(paper: Paper, slot: SlotScene): Expression | undefined {
  const { out } = slot
  if (out.latestPushAtMs === undefined) return undefined
  const { held, since } = heldSince(paper, slot)
  const spare = paper.line('above what is required', 'mass', subtract(held, requiredIn(paper, slot)))
  const lasts = divide(spare, waitFlow(paper, slot))
  return paper.line('latest push', 'instant', add(since, lasts), undefined, out.latestPushAtMs)
}

/** The push of a group: as called, else as planned, or once its last ship is off and has re-formed. */
export function push(paper: Paper, { stage }: Pick<SlotScene, 'stage'>, pushGroupId: string): Expression | undefined {
  const { plan, input, order, crews, outs } = stage
  const group = input.pushGroups.find((one) => one.id === pushGroupId)
  const judged = order.judged.pushes.find((one) => one.pushGroupId === pushGroupId)
  if (!group || !judged) return undefined
  if (group.pushedAtMs !== undefined) {
    const visits = new Set(
      [...crews.values()]
        .flatMap(({ flight }) => flight.visits)
        .filter((visit) => visit.pushGroupId === pushGroupId)
        .map((visit) => visit.id)
    )
    const fact = [...crews.values()]
      .flatMap(({ record }) => record)
      .find((one) => one.kind === 'pushed' && visits.has(one.visitId) && one.atMs === group.pushedAtMs)
    const at = paper.input('push called', 'instant', group.pushedAtMs, fact ? called(fact) : COMPUTED, pushGroupId)
    return paper.line('push', 'instant', add(at), pushGroupId, judged.pushAtMs)
  }
  const terms = [paper.input('planned push', 'instant', judged.plannedAtMs, PLAN, pushGroupId), now(paper, stage)]
  const members = [...outs.values()].filter(
    (out) => isServed(out) && order.slots.get(out.slotId)?.visit.pushGroupId === pushGroupId
  )
  if (members.length > 0) {
    const offs = members.map((out) =>
      paper.input('disconnect', 'instant', out.disconnectAtMs, COMPUTED, order.slots.get(out.slotId)?.shipId)
    )
    const last = paper.line('last disconnect of the group', 'instant', greatest(...offs), pushGroupId)
    terms.push(add(last, paper.input('re-form', 'span', plan.reformMs / 1000, minutes(plan.reformMs / 60_000))))
  }
  return paper.line('push', 'instant', greatest(...terms), pushGroupId, judged.pushAtMs)
}

/** How late a group pushes, never below 0. */
export function pushLate(paper: Paper, stage: SlotScene['stage'], pushGroupId: string): Expression | undefined {
  const judged = stage.order.judged.pushes.find((one) => one.pushGroupId === pushGroupId)
  const at = push(paper, { stage }, pushGroupId)
  if (!judged || !at) return undefined
  const planned = paper.input('planned push', 'instant', judged.plannedAtMs, PLAN, pushGroupId)
  return paper.line('push late', 'span', greatest(NONE, subtract(at, planned)), pushGroupId, judged.lateMs / 1000)
}

/** How long before its planned push a group could go; below 0 where it is late. */
function pushSpare(paper: Paper, stage: SlotScene['stage'], pushGroupId: string): Expression | undefined {
  const judged = stage.order.judged.pushes.find((one) => one.pushGroupId === pushGroupId)
  const offs = [...stage.outs.values()].flatMap((out) => {
    const placed = stage.order.slots.get(out.slotId)
    if (placed?.visit.pushGroupId !== pushGroupId || !isServed(out)) return []
    return [paper.input('disconnect', 'instant', out.disconnectAtMs, COMPUTED, placed.shipId)]
  })
  if (!judged || offs.length === 0) return undefined
  const planned = paper.input('planned push', 'instant', judged.plannedAtMs, PLAN, pushGroupId)
  const reform = paper.input('reform', 'span', stage.plan.reformMs / 1000, PLAN)
  return paper.line('push spare', 'span', subtract(planned, add(greatest(...offs), reform)), pushGroupId)
}

export const PUSH_MAKERS: Record<PushFigure, typeof pushLate> = { 'push late': pushLate, 'push spare': pushSpare }

export const SLOT_MAKERS: Record<SlotFigure, Maker> = {
  ready,
  contact: (paper, slot) =>
    slot.out.state === 'gone' ? instant(paper, 'contact', undefined, slot.out.contactAtMs) : contact(paper, slot),
  'until contact': (paper, slot) =>
    paper.line('until contact', 'span', subtract(contactIn(paper, slot), now(paper, slot.stage))),
  disconnect,
  'until disconnect': (paper, slot) => {
    const off = disconnect(paper, slot)
    return off && paper.line('until disconnect', 'span', subtract(off, now(paper, slot.stage)))
  },
  'latest contact': latestContact,
  'latest push': latestPush,
  slack: (paper, slot) => {
    const latest = latestIn(paper, slot)
    const slackS = (slot.out.slackMs ?? 0) / 1000
    return latest && paper.line('slack', 'span', subtract(latest, contactIn(paper, slot)), undefined, slackS)
  },
  past: (paper, slot) => {
    const latest = latestIn(paper, slot)
    const over = latest && greatest(NONE, subtract(contactIn(paper, slot), latest))
    return over && paper.line('past', 'span', over, undefined, slot.out.pastMs / 1000)
  },
  'on-load': onLoad,
  'fuel at contact': fuelAtContact,
  'gauge at contact': (paper, slot) => {
    const { stage, crew, placed, out } = slot
    const scene = stage.scene(crew.ship.id)
    const state = scene?.way.atContact.get(placed.id)
    if (!scene || !state) {
      const kg = fuelAtContact(paper, slot)
      return kg && paper.line('own gauge', 'mass', add(kg), undefined, out.fuelAtContactKg)
    }
    if (out.state === 'in contact') {
      const usableThen = fuelAtContact(paper, slot)
      const restKg = totalKg(crew.ship.sheet, state) - usableKg(crew.ship.sheet, state)
      const rest = paper.input('unusable or not giving', 'mass', restKg, COMPUTED)
      return usableThen && gauge(paper, crew, add(usableThen, rest), state, gaugeKg(crew.ship.sheet, state))
    }
    const all = fuelAlong(paper, stage, scene, (bend) => bend.state === state)
    return gauge(paper, crew, all, state, gaugeKg(crew.ship.sheet, state))
  },
  'fuel at push': fuelAtPush,
  required: (paper, slot) => required(paper, homeOf(slot), slot.placed.visit),
  shortage: (paper, slot) => {
    const { out } = slot
    if (!isServed(out)) return paper.line('shortage', 'mass', NONE, undefined, out.shortageKg)
    const lack = greatest(NONE, subtract(requiredIn(paper, slot), fuelAtPush(paper, slot)))
    return paper.line('shortage', 'mass', lack, undefined, out.shortageKg)
  },
  push: (paper, slot) => push(paper, slot, slot.placed.visit.pushGroupId),
  'hold from': holdFrom,
  'hold gauge': holdGauge,
  'hold saves': holdSaves,
  'release at': releaseAt,
  'release gauge': releaseGauge,
  'abort gauge': abortGauge,
  'required gauge': requiredGauge,
  'least on-load': leastOnLoad,
  'gauge at disconnect': gaugeAtDisconnect,
  lost,
  'give left': giveLeft
}
