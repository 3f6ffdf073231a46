/** A tanker's ledger: what it can give, what it has promised, when it leaves. */
import type { FactOf } from '../contracts/facts.ts'
import { isServed } from '../live/served.ts'
import { flowedNowKg, givenKg, tankerFuelKg } from '../live/slots.ts'
import type { SlotOut } from '../order/times.ts'
import type { TankerBrief } from '../plan/brief.ts'
import { quantityKg } from '../units.ts'
import type { TankerFigure } from './figure.ts'
import {
  add,
  CLOCK,
  COMPUTED,
  greatest,
  least,
  multiply,
  NONE,
  PLAN,
  subtract,
  type Expression,
  type Paper
} from './paper.ts'
import { readyOf, slotScene, type SlotScene, type Stage } from './stage.ts'
import { called, inPlan } from './typed.ts'

type Maker = (paper: Paper, stage: Stage, tanker: TankerBrief) => Expression | undefined

const typedOf = (stage: Stage, tanker: TankerBrief) => stage.plan.plan.tankers.find((one) => one.id === tanker.id)
const ledgerOf = (stage: Stage, tanker: TankerBrief) =>
  stage.order.judged.ledger.find((one) => one.tankerId === tanker.id)

/** Slots at a tanker that take station time, by contact. */
const slotsAt = (stage: Stage, tanker: TankerBrief): SlotOut[] =>
  [...stage.outs.values()]
    .filter((out) => isServed(out) && stage.plan.stations.get(out.stationId)?.tankerId === tanker.id)
    .sort((a, b) => a.contactAtMs - b.contactAtMs)

const shipOf = (stage: Stage, out: SlotOut): string | undefined => stage.order.slots.get(out.slotId)?.shipId

/** Given in contacts that are over, since an instant. */
function doneKg({ crews }: Stage, tanker: TankerBrief, sinceMs = -Infinity): number {
  let kg = 0
  for (const { its, folded } of crews.values())
    for (const contact of its.contacts)
      if (contact.tankerId === tanker.id && (contact.disconnectAtMs ?? Infinity) > sinceMs)
        kg += folded.flown.get(contact.slotId)?.onLoadKg ?? 0
  return kg
}

function aboard(paper: Paper, stage: Stage, tanker: TankerBrief): Expression {
  const { state, nowMs, crews } = stage
  const typed = typedOf(stage, tanker)
  const call = state.tankerCalls
    .get(tanker.id)
    ?.findLast((fact): fact is FactOf<'tankerFuelCalled'> => fact.atMs <= nowMs)
  const sinceMs = call?.atMs ?? tanker.onStationAtMs
  const then = call
    ? paper.input('fuel called', 'mass', quantityKg(call.fuel, tanker.fuelKgPerM3), called(call, call.fuel))
    : paper.input('fuel on station', 'mass', tanker.fuelOnStationKg, inPlan(typed?.fuelOnStation))
  const since = paper.input('since', 'instant', sinceMs, call ? called(call) : PLAN)
  const passed = paper.line(
    'time since',
    'span',
    greatest(NONE, subtract(paper.input('now', 'instant', nowMs, CLOCK), since))
  )
  const burn = paper.input('burn of the tanker', 'flow', tanker.burnKgPerS, inPlan(typed?.burn))
  const given = paper.input('given since', 'mass', givenKg(tanker.id, crews, nowMs, call?.atMs), COMPUTED)
  const kg = tankerFuelKg(state, tanker, crews, nowMs)
  return paper.line('fuel aboard the tanker', 'mass', subtract(then, multiply(passed, burn), given), undefined, kg)
}

function give(paper: Paper, stage: Stage, tanker: TankerBrief): Expression | undefined {
  const ledger = ledgerOf(stage, tanker)
  if (!ledger) return undefined
  const typed = typedOf(stage, tanker)
  const held = aboard(paper, stage, tanker)
  const fromMs = Math.max(stage.nowMs, tanker.onStationAtMs)
  const from = paper.input('from', 'instant', fromMs, fromMs === stage.nowMs ? CLOCK : PLAN)
  const leaves = paper.input('leaves', 'instant', ledger.leavesAtMs, COMPUTED)
  const until = paper.line('time until it leaves', 'span', greatest(NONE, subtract(leaves, from)))
  const burn = paper.input('burn of the tanker', 'flow', tanker.burnKgPerS, inPlan(typed?.burn))
  const keeps = paper.input('keeps', 'mass', tanker.keepsKg, inPlan(typed?.keeps))
  const spare = paper.line('above what it keeps', 'mass', subtract(held, multiply(until, burn), keeps))
  const most = paper.input('most it can transfer', 'mass', tanker.mostTransferableKg, inPlan(typed?.mostTransferable))
  const parts = [most, paper.input('given in contacts that are over', 'mass', doneKg(stage, tanker), COMPUTED)]
  const inContact = underWay(paper, stage, tanker)
  const left = paper.line('left of the most it can transfer', 'mass', subtract(...parts, ...inContact))
  const kg = ledger.giveKg - flowedNowKg(tanker.id, stage.crews, stage.nowMs)
  return paper.line('give', 'mass', greatest(NONE, least(left, spare)), undefined, kg)
}

/** What has flowed in contacts under way, where anything has. */
function underWay(paper: Paper, { crews, nowMs }: Stage, tanker: TankerBrief): Expression[] {
  const kg = flowedNowKg(tanker.id, crews, nowMs)
  return kg === 0 ? [] : [paper.input('given in contacts under way', 'mass', kg, COMPUTED)]
}

function promised(paper: Paper, stage: Stage, tanker: TankerBrief): Expression | undefined {
  const ledger = ledgerOf(stage, tanker)
  const loads = slotsAt(stage, tanker)
    .filter((out) => out.state !== 'done')
    .map((out) => paper.input('on-load', 'mass', out.onLoadKg, COMPUTED, shipOf(stage, out)))
  if (!ledger) return undefined
  const all = loads.length > 0 ? add(...loads) : NONE
  const flowed = underWay(paper, stage, tanker)
  const kg = Math.max(0, ledger.promisedKg - flowedNowKg(tanker.id, stage.crews, stage.nowMs))
  return paper.line(
    'promised',
    'mass',
    flowed.length > 0 ? greatest(NONE, subtract(all, ...flowed)) : all,
    undefined,
    kg
  )
}

/** What contacts that its give ends lack of what they would take. */
function short(paper: Paper, stage: Stage, tanker: TankerBrief): Expression | undefined {
  const ledger = ledgerOf(stage, tanker)
  if (!ledger) return undefined
  const lacks = slotsAt(stage, tanker).flatMap((out) => {
    const slot = out.endedBy === 'give' ? slotScene(stage, out.slotId) : undefined
    const station = stage.input.stations.find((one) => one.id === out.stationId)
    if (!slot || !station) return []
    const wantedKg = slot.judged.serve(station, readyOf(slot), out.contactAtMs).onLoadKg
    const wanted = paper.input('would take', 'mass', wantedKg, COMPUTED, shipOf(stage, out))
    const gets = paper.input('on-load', 'mass', out.onLoadKg, COMPUTED, shipOf(stage, out))
    return [paper.line('lacks', 'mass', subtract(wanted, gets), shipOf(stage, out))]
  })
  const rest = ledger.shortKg - lacks.reduce((sum, lack) => sum + paper.value(lack), 0)
  if (Math.abs(rest) > 1e-5) lacks.push(paper.input('more flows than it can give', 'mass', rest, COMPUTED))
  return paper.line('short', 'mass', lacks.length > 0 ? add(...lacks) : NONE, undefined, ledger.shortKg)
}

function lastDisconnect(paper: Paper, stage: Stage, tanker: TankerBrief): Expression | undefined {
  const ledger = ledgerOf(stage, tanker)
  const offs = slotsAt(stage, tanker).map((out) =>
    paper.input('disconnect', 'instant', out.disconnectAtMs, COMPUTED, shipOf(stage, out))
  )
  if (!ledger || offs.length === 0) return undefined
  return paper.line('last disconnect', 'instant', greatest(...offs), undefined, ledger.lastDisconnectAtMs)
}

function leaves(paper: Paper, stage: Stage, tanker: TankerBrief): Expression | undefined {
  const ledger = ledgerOf(stage, tanker)
  if (!ledger) return undefined
  const planned = paper.input('planned leaving', 'instant', tanker.leavesAtMs, PLAN)
  const offs = slotsAt(stage, tanker)
    .filter((out) => out.state === 'in contact' || (out.state === 'planned' && out.onLoadKg > 0))
    .map((out) => paper.input('disconnect', 'instant', out.disconnectAtMs, COMPUTED, shipOf(stage, out)))
  return paper.line('leaves', 'instant', greatest(planned, ...offs), undefined, ledger.leavesAtMs)
}

/** What a tanker can still give once a contact is off: contacts count whole, in order of disconnect. */
export function giveLeft(paper: Paper, { stage, placed, out }: SlotScene): Expression | undefined {
  const ledger = ledgerOf(stage, placed.tanker)
  if (!ledger || !isServed(out) || out.state === 'done') return undefined
  const loads = slotsAt(stage, placed.tanker)
    .filter((one) => one.state !== 'done' && one.disconnectAtMs <= out.disconnectAtMs)
    .map((one) => paper.input('on-load', 'mass', one.onLoadKg, COMPUTED, shipOf(stage, one)))
  const flowed = underWay(paper, stage, placed.tanker)
  const giveKg = ledger.giveKg - flowedNowKg(placed.tanker.id, stage.crews, stage.nowMs)
  const can = paper.input('give', 'mass', giveKg, COMPUTED, placed.tanker.id)
  const whole = flowed.length > 0 ? add(can, ...flowed) : can
  return paper.line('give left', 'mass', subtract(whole, ...loads), placed.tanker.id)
}

export const TANKER_MAKERS: Record<TankerFigure, Maker> = {
  give,
  promised,
  short,
  'last disconnect': lastDisconnect,
  leaves,
  'held late': (paper, stage, tanker) => {
    const at = leaves(paper, stage, tanker)
    const planned = paper.input('planned leaving', 'instant', tanker.leavesAtMs, PLAN)
    return at && paper.line('held late', 'span', subtract(at, planned))
  }
}
