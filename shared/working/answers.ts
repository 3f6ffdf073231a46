/** What a plan asks for, how a short give is shared, what is left when one thing is lost. */
import { demandOf, type AskedContact, type MethodDemand } from '../live/demand.ts'
import { lossesOf, stateWithout, type Outcome } from '../live/lost.ts'
import { sharingOf } from '../live/share.ts'
import type { SlotOut } from '../order/times.ts'
import { abortLegOf } from '../plan/abort-leg.ts'
import type { ShipBrief } from '../plan/brief.ts'
import { abortWithinReach } from '../plan/limits.ts'
import type { AnswerFigure } from './figure.ts'
import { abort } from './limits.ts'
import {
  add,
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
import { pushLate, SLOT_MAKERS } from './slot.ts'
import { slotScene, stageOf, type SlotScene, type Stage } from './stage.ts'

/** The id the figure is of, and the place of its loss in the table: 0 with nothing lost. */
interface Of {
  readonly about: string
  readonly index: number
}
type Maker = (paper: Paper, stage: Stage, of: Of) => Expression | undefined
type MethodMaker = (paper: Paper, stage: Stage, one: MethodDemand) => Expression | undefined

const sum = (parts: readonly Expression[]): Expression => (parts.length > 0 ? add(...parts) : NONE)

const ofMethod =
  (make: MethodMaker): Maker =>
  (paper, stage, { about }) => {
    const one = demandOf(stage.plan.plan).methods.find(({ method }) => method === about)
    return one && make(paper, stage, one)
  }

/** How many of the ships or contacts each flight has. */
function perFlight(paper: Paper, stage: Stage, name: string, shipIds: readonly string[]): Expression {
  const counts = [...stage.plan.flights.values()].flatMap((flight) => {
    const many = shipIds.filter((id) => flight.ships.some((ship) => ship.id === id)).length
    return many === 0 ? [] : [paper.input('counts', 'count', many, COMPUTED, flight.id)]
  })
  return paper.line(name, 'count', sum(counts))
}

const shipIdsOf = (contacts: readonly AskedContact[]): string[] => contacts.map((contact) => contact.shipId)

const tankersOf = (stage: Stage, { method }: MethodDemand) =>
  [...stage.plan.tankers.values()].flatMap((tanker) => {
    const stationCount = tanker.stations.filter((station) => station.method === method).length
    const giver = stage.input.tankers.find((one) => one.id === tanker.id)
    return stationCount === 0 ? [] : [{ tanker, stationCount, giveKg: giver?.giveKg(tanker.leavesAtMs) ?? 0 }]
  })

/** Hook-up, fill and changeover of a contact, by its parts. */
function onStation(paper: Paper, contact: AskedContact, fill: 'fill' | 'least fill'): Expression {
  const about = `${contact.shipId} ${contact.visitId}`
  const fillS = fill === 'fill' ? contact.fillS : contact.leastFillS
  const parts = [
    paper.input('hook-up', 'span', contact.hookUpS, PLAN),
    paper.input(fill, 'span', fillS, COMPUTED, about),
    paper.input('changeover', 'span', contact.changeoverS, PLAN)
  ]
  return paper.line('time on the station', 'span', add(...parts), about)
}

function timeThere(paper: Paper, stage: Stage, one: MethodDemand): Expression {
  const from = paper.input('first ready', 'instant', Math.min(...one.contacts.map((it) => it.readyAtMs)), COMPUTED)
  const until = paper.input(
    'last push, less reform',
    'instant',
    Math.max(...one.contacts.map((it) => it.dueAtMs)),
    PLAN
  )
  const spans = tankersOf(stage, one).map(({ tanker, stationCount }) => {
    const opens = paper.input('on station', 'instant', tanker.onStationAtMs, PLAN, tanker.id)
    const leaves = paper.input('leaves', 'instant', tanker.leavesAtMs, PLAN, tanker.id)
    const span = greatest(NONE, subtract(least(until, leaves), greatest(from, opens)))
    const count = paper.input('stations', 'count', stationCount, PLAN, tanker.id)
    return paper.line('station time', 'span', multiply(span, count), tanker.id)
  })
  return paper.line('station time there', 'span', sum(spans))
}

function stationsNeeded(paper: Paper, _: Stage, { contacts, crowd }: MethodDemand): Expression {
  if (!crowd) return paper.line('stations needed', 'count', NONE)
  const { fromMs, toMs, stations } = crowd
  const inside = contacts.filter((it) => it.fits && it.readyAtMs >= fromMs && it.dueAtMs <= toMs)
  const times = inside.map((contact) => onStation(paper, contact, 'least fill'))
  const work = paper.line('station time in the span', 'span', sum(times))
  const first = paper.input('changeover', 'span', Math.max(...inside.map((it) => it.changeoverS)), PLAN)
  const from = paper.input('ready', 'instant', fromMs, COMPUTED)
  const to = paper.input('push, less reform', 'instant', toMs, PLAN)
  const span = paper.line('span, no changeover before the first', 'span', add(subtract(to, from), first))
  paper.line('stations that it fills', 'factor', divide(work, span))
  const most = paper.input(
    'whole contacts one after the other, or whole stations, the more',
    'count',
    stations,
    COMPUTED
  )
  return paper.line('stations needed', 'count', add(most))
}

/** The greatest first until they reach it: one for each. */
function fewest(
  paper: Paper,
  name: string,
  count: number | undefined,
  sizes: readonly { id: string; of: Expression; size: number }[]
): Expression | undefined {
  if (count === undefined) return undefined
  const taken = sizes.toSorted((a, b) => b.size - a.size).slice(0, count)
  paper.line('what they have', name === 'tankers by give' ? 'mass' : 'count', sum(taken.map((one) => one.of)))
  const ones = taken.map(({ id }) => paper.input('counts', 'count', 1, PLAN, id))
  const more = count - taken.length
  if (more > 0) ones.push(paper.input('more of the greatest', 'count', more, COMPUTED))
  return paper.line(name, 'count', sum(ones))
}

function groupOf(stage: Stage, pushGroupId: string) {
  return demandOf(stage.plan.plan).groups.find((one) => one.pushGroupId === pushGroupId)
}

/** How the give of a tanker is shared, with what each contact asks. */
function sharingAt(stage: Stage, tankerId: string | undefined) {
  const view = stage.view()
  const tanker = view?.tankers.find((one) => one.tankerId === tankerId)
  const flightOf = (shipId: string) => stage.plan.plan.flights.find((one) => one.ships.some(({ id }) => id === shipId))
  const priorityOf = (shipId: string) => flightOf(shipId)?.priority ?? 5
  const sharing = view && tanker && sharingOf(tanker, view.slots, priorityOf)
  if (!sharing) return undefined
  const here = view.slots.filter((slot) => slot.tankerId === tanker.tankerId)
  const shared = sharing.shared.flatMap((portion) => {
    const slot = here.find((one) => one.slotId === portion.slotId)
    return slot ? [{ ...portion, shipId: slot.shipId, priority: priorityOf(slot.shipId) }] : []
  })
  return { tanker, shared, inContact: here.filter((slot) => slot.state === 'in contact') }
}
type SharingAt = NonNullable<ReturnType<typeof sharingAt>>

const needOf = (paper: Paper, { neededKg, shipId, slotId }: SharingAt['shared'][number]): Expression =>
  paper.input('needs', 'mass', neededKg, COMPUTED, `${shipId} ${slotId}`)

/** What the tanker can give, less what contacts under way take. */
function leftToShare(paper: Paper, { tanker, inContact }: SharingAt): Expression {
  const give = paper.input('give', 'mass', tanker.giveKg, COMPUTED, tanker.tankerId)
  const taken = inContact.map((slot) => paper.input('on-load', 'mass', slot.onLoadKg, COMPUTED, slot.shipId))
  const flowed =
    tanker.flowedKg === 0 ? [] : [paper.input('given in contacts under way', 'mass', tanker.flowedKg, COMPUTED)]
  const whole = flowed.length > 0 ? add(give, ...flowed) : give
  return paper.line('give to share', 'mass', greatest(NONE, subtract(whole, ...taken)))
}

function share(paper: Paper, stage: Stage, { about }: Of): Expression | undefined {
  const sharing = sharingAt(stage, stage.order.slots.get(about)?.tanker.id)
  const own = sharing?.shared.find((one) => one.slotId === about)
  if (!sharing || !own) return undefined
  const before = sharing.shared.filter((one) => one.priority < own.priority).map((one) => needOf(paper, one))
  const alike = sharing.shared.filter((one) => one.priority === own.priority)
  const left = paper.line(
    'left for its priority',
    'mass',
    greatest(NONE, subtract(leftToShare(paper, sharing), ...before))
  )
  const needs = paper.line('needs of its priority', 'mass', sum(alike.map((one) => needOf(paper, one))))
  const part = paper.line(
    'part that each gets',
    'factor',
    paper.value(needs) > 0 ? least({ number: 1 }, divide(left, needs)) : NONE
  )
  return paper.line('share', 'mass', multiply(part, needOf(paper, own)), own.shipId, own.givenKg)
}

function lacking(paper: Paper, stage: Stage, { about }: Of): Expression | undefined {
  const sharing = sharingAt(stage, about)
  if (!sharing) return undefined
  const needs = paper.line('needs of all', 'mass', sum(sharing.shared.map((one) => needOf(paper, one))))
  return paper.line('give lacking', 'mass', greatest(NONE, subtract(needs, leftToShare(paper, sharing))))
}

/** The event without the thing at that place of the table. */
function without(stage: Stage, index: number): { outcome: Outcome; stage: Stage } | undefined {
  const losses = lossesOf(stage.state, stage.nowMs, stage.orders)
  const loss = losses?.losses[index - 1]
  if (!losses || index === 0) return losses && { outcome: losses.asIs, stage }
  const other = loss && stageOf(stateWithout(stage, loss), stage.nowMs, stage.orders)
  return other && { outcome: loss, stage: other }
}

/** A figure of the slot of a ship for which it is greatest, with the thing lost. */
const worst =
  (value: (out: SlotOut) => number, make: (paper: Paper, slot: SlotScene) => Expression | undefined): Maker =>
  (paper, stage, { about, index }) => {
    const there = without(stage, index)?.stage
    const outs = [...(there?.outs.values() ?? [])].filter((out) => {
      const placed = there?.order.slots.get(out.slotId)
      return placed?.shipId === about && out.state !== 'gone' && !placed.crew.its.pushed.has(placed.visit.id)
    })
    const [first] = outs.sort((a, b) => value(b) - value(a))
    const slot = there && first && slotScene(there, first.slotId)
    return slot && make(paper, slot)
  }

/** What the rules of all contacts ask for whose push is planned by then, at one tanker or at all. */
function askedByPush(paper: Paper, stage: Stage, { about, index }: Of): Expression | undefined {
  const dueMs = stage.plan.pushGroups.get(about)?.pushAtMs
  const tanker = [...stage.plan.tankers.values()][index - 1]
  if (dueMs === undefined) return undefined
  const asked = (stage.view()?.slots ?? []).flatMap((slot) =>
    slot.plannedPushAtMs <= dueMs && (index === 0 || slot.tankerId === tanker?.id)
      ? [paper.input('needed', 'mass', slot.neededKg, COMPUTED, slot.shipId)]
      : []
  )
  return paper.line('asked by push', 'mass', sum(asked), about)
}

/** A ship on a track: `ship track`. */
const onTrack =
  (make: (paper: Paper, stage: Stage, ship: ShipBrief, trackId: string) => Expression | undefined): Maker =>
  (paper, stage, { about }) => {
    const [shipId = '', trackId = ''] = about.split(' ')
    const ship = stage.plan.ships.get(shipId)
    return ship && stage.plan.tracks.has(trackId) ? make(paper, stage, ship, trackId) : undefined
  }

/** From the turn point that asks for most: the one that lies furthest in time from the abort base. */
function abortDistance(paper: Paper, stage: Stage, ship: ShipBrief, trackId: string): Expression | undefined {
  const flight = stage.plan.flights.get(ship.flightId)
  const leg = flight && abortLegOf(stage.plan, flight, trackId)
  return (
    leg &&
    paper.line(
      'abort distance',
      'distance',
      add(paper.input('distance', 'distance', leg.distanceM, COMPUTED, leg.baseId))
    )
  )
}

export const ANSWER_MAKERS: Record<AnswerFigure, Maker> = {
  'contacts asked': ofMethod((paper, stage, one) => perFlight(paper, stage, 'contacts asked', shipIdsOf(one.contacts))),
  'station time asked': ofMethod((paper, _, { contacts }) =>
    paper.line('station time asked', 'span', sum(contacts.map((contact) => onStation(paper, contact, 'fill'))))
  ),
  'station time there': ofMethod(timeThere),
  'stations needed': ofMethod(stationsNeeded),
  'on-load asked': ofMethod((paper, _, { contacts }) => {
    const loads = contacts.map(({ onLoadKg, shipId, visitId }) =>
      paper.input('on-load', 'mass', onLoadKg, COMPUTED, `${shipId} ${visitId}`)
    )
    return paper.line('on-load asked', 'mass', sum(loads))
  }),
  'give there': ofMethod((paper, stage, one) => {
    const gives = tankersOf(stage, one).map(({ tanker, giveKg }) =>
      paper.input('give', 'mass', giveKg, COMPUTED, tanker.id)
    )
    return paper.line('give there', 'mass', sum(gives))
  }),
  'tankers by time': ofMethod((paper, stage, one) => {
    paper.line(
      'stations needed',
      'count',
      add(paper.input('stations needed', 'count', one.crowd?.stations ?? 0, COMPUTED))
    )
    const sizes = tankersOf(stage, one).map(({ tanker, stationCount }) => ({
      id: tanker.id,
      size: stationCount,
      of: paper.input('stations', 'count', stationCount, PLAN, tanker.id)
    }))
    return fewest(paper, 'tankers by time', one.tankersByTime, sizes)
  }),
  'tankers by give': ofMethod((paper, stage, one) => {
    paper.line('on-load asked', 'mass', add(paper.input('on-load asked', 'mass', one.askedKg, COMPUTED)))
    const sizes = tankersOf(stage, one).map(({ tanker, giveKg }) => ({
      id: tanker.id,
      size: giveKg,
      of: paper.input('give', 'mass', giveKg, COMPUTED, tanker.id)
    }))
    return fewest(paper, 'tankers by give', one.tankersByGive, sizes)
  }),
  'tankers needed': ofMethod((paper, _, { tankersByTime, tankersByGive }) => {
    if (tankersByGive === undefined) return undefined
    const byTime = paper.input('tankers by time', 'count', tankersByTime, COMPUTED)
    const byGive = paper.input('tankers by give', 'count', tankersByGive, COMPUTED)
    return paper.line('tankers needed', 'count', greatest(byTime, byGive))
  }),
  'tankers there': ofMethod((paper, stage, one) => {
    const ones = tankersOf(stage, one).map(({ tanker }) => paper.input('counts', 'count', 1, PLAN, tanker.id))
    return paper.line('tankers there', 'count', sum(ones))
  }),
  'cycle contacts': (paper, stage, { about }) => {
    const contacts = demandOf(stage.plan.plan).methods.flatMap((one) => one.contacts)
    const its = contacts.filter((contact) => contact.pushGroupId === about)
    return perFlight(paper, stage, 'cycle contacts', shipIdsOf(its))
  },
  'cycle time': (paper, stage, { about }) => {
    const group = groupOf(stage, about)
    if (!group) return undefined
    const last = paper.input('last disconnect', 'instant', group.fromMs + group.cycleS * 1000, COMPUTED)
    const first = paper.input('first ready', 'instant', group.fromMs, COMPUTED)
    return paper.line('cycle time', 'span', subtract(last, first), undefined, group.cycleS)
  },
  'cycle window': (paper, stage, { about }) => {
    const group = groupOf(stage, about)
    if (!group) return undefined
    const push = paper.input('planned push', 'instant', group.dueAtMs + stage.plan.reformMs, PLAN, about)
    const reform = paper.input('reform', 'span', stage.plan.reformMs / 1000, PLAN)
    const first = paper.input('first ready', 'instant', group.fromMs, COMPUTED)
    return paper.line('cycle window', 'span', subtract(push, reform, first), undefined, group.windowS)
  },
  share,
  'give lacking': lacking,
  'asked by push': askedByPush,
  'abort distance': onTrack(abortDistance),
  'abort on track': onTrack((paper, stage, ship, trackId) =>
    abortWithinReach(stage.plan, ship, trackId) ? abort(paper, { stage, ship }, trackId) : undefined
  ),
  'on time': (paper, stage, { index }) => {
    const onTime = without(stage, index)?.outcome.onTime
    return onTime && perFlight(paper, stage, 'on time', onTime)
  },
  'late without': worst(
    (out) => out.pushAtMs - out.plannedPushAtMs,
    (paper, slot) => pushLate(paper, slot.stage, slot.placed.visit.pushGroupId)
  ),
  'short without': worst((out) => out.shortageKg, SLOT_MAKERS.shortage),
  'past without': worst((out) => out.pastMs, SLOT_MAKERS.past)
}
