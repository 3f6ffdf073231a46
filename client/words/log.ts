import type { Fact, FactOf } from '../../shared/contracts/facts.ts'
import type { FactKind } from '../../shared/contracts/kinds.ts'
import type { Reported } from '../../shared/units.ts'
import type { MassUnit, VolumeUnit } from '../../shared/contracts/kinds.ts'
import { clockText, minuteText } from '../figures.ts'
import type { Labels } from '../labels.ts'

export const LOG = {
  title: 'What was recorded, newest first',
  observed: 'observed',
  recorded: 'recorded',
  said: 'what',
  by: 'by',
  withdrawn: 'withdrawn',
  withdraw: 'Withdraw',
  withdrawOf: (said: string) => `Withdraw: ${said}`,
  done: (said: string) => `Withdrawn: ${said}`,
  more: (count: number) => `${String(count)} earlier entries are not shown.`,
  none: 'Nothing is recorded yet.',
  close: 'Close'
} as const

const fuel = ({ value, unit }: Reported<MassUnit | VolumeUnit>): string =>
  `${String(Math.round(value * 10) / 10).replace(/\B(?=(\d{3})+(?!\d))(?<!\.\d*)/g, ',')} ${unit}`
const atTime = (atMs: number | undefined, before: string): string =>
  atMs === undefined ? '' : ` ${before} ${minuteText(atMs)}`
const tankOf = ({ shipId, groupId, tankNumber }: FactOf<'troubleSet'>, { tank }: Labels): string =>
  tank(shipId, groupId) + (tankNumber === undefined ? '' : ` ${String(tankNumber)}`)

/** A fact as one would tell it; total over the kinds. */
const SAID: { [Kind in FactKind]: (fact: FactOf<Kind>, labels: Labels) => string } = {
  planAdopted: ({ revision }) => `Revision ${String(revision)} of the plan published`,
  eventOpened: () => 'Event opened',
  eventClosed: () => 'Event closed',
  clockSet: ({ eventAtMs, rateFactor }) =>
    `Clock set to ${clockText(eventAtMs)}${rateFactor === 1 ? '' : `, running at ${String(rateFactor)} times`}`,
  shipJoined: ({ shipId }, { ship }) => `${ship(shipId)} joined`,
  fuelCalled: (fact, { ship }) => `${ship(fact.shipId)} fuel ${fuel(fact.fuel)} ${fact.covers}`,
  tankerFuelCalled: (fact, { tanker }) => `${tanker(fact.tankerId)} fuel ${fuel(fact.fuel)}`,
  contactMade: ({ shipId, tankerId, stationId }, { ship, station }) =>
    `${ship(shipId)} contact at ${station(tankerId, stationId)}`,
  fuelFlowing: ({ shipId }, { ship }) => `${ship(shipId)} fuel flowing`,
  disconnected: ({ shipId, how, offLoad }, { ship }) =>
    `${ship(shipId)} disconnected${how === 'partial' ? ' early' : ''}${offLoad ? `, took ${fuel(offLoad)}` : ''}`,
  pushed: ({ shipId }, { ship }) => `${ship(shipId)} pushed`,
  shipLeft: ({ shipId, baseId }, { ship, base }) => `${ship(shipId)} left for ${base(baseId)}`,
  landed: ({ shipId, baseId }, { ship, base }) => `${ship(shipId)} landed at ${base(baseId)}`,
  stationStatus: ({ tankerId, stationId, status }, { station }) => `${station(tankerId, stationId)} ${status}`,
  externalsSet: ({ shipId, externals }, { ship }) => `${ship(shipId)} externals ${externals}`,
  troubleSet: (fact, labels) => `${labels.ship(fact.shipId)} ${tankOf(fact, labels)} ${fact.trouble ?? 'well again'}`,
  jettisoned: ({ shipId, groupIds }, { ship, tank }) =>
    `${ship(shipId)} threw off ${groupIds.map((groupId) => tank(shipId, groupId)).join(', ')}`,
  limitSet: ({ shipId, limit, fuel: set }, { ship }) =>
    `${ship(shipId)} ${limit} ${set ? `by hand ${fuel(set)}` : 'as computed'}`,
  pinSet: ({ slotId, pinned, serveAnyway }) =>
    `Slot ${slotId} ${serveAnyway ? 'served anyway' : pinned ? 'pinned' : 'unpinned'}`,
  orderSet: ({ tankerId }, { tanker }) => `Order of ${tanker(tankerId)} set`,
  readySet: ({ shipId, readyAtMs }, { ship }) =>
    `${ship(shipId)} ready${readyAtMs === undefined ? ' as planned' : atTime(readyAtMs, 'at')}`,
  noShowSet: ({ shipId, noShow }, { ship }) => `${ship(shipId)} ${noShow ? 'does not come' : 'comes after all'}`,
  prioritySet: ({ flightId, priority }, { flight }) =>
    `${flight(flightId)} priority ${priority === undefined ? 'as planned' : String(priority)}`,
  onLoadSet: ({ shipId, onLoad }, { ship }) =>
    `${ship(shipId)} on-load ${onLoad === undefined ? 'as planned' : onLoad.kind === 'fixed' ? fuel(onLoad.fuel) : onLoad.kind}`,
  tankerTimesSet: ({ tankerId, onStationAtMs, leavesAtMs }, { tanker }) => {
    const times = [atTime(onStationAtMs, 'on station'), atTime(leavesAtMs, 'leaves')].join('')
    return `${tanker(tankerId)}${times === '' ? ' times as planned' : times}`
  },
  giveSet: ({ tankerId, keeps, mostTransferable }, { tanker }) => {
    const figures = [keeps && `keeps ${fuel(keeps)}`, mostTransferable && `gives ${fuel(mostTransferable)} at most`]
    const told = figures.filter(Boolean).join(', ')
    return `${tanker(tankerId)} ${told === '' ? 'gives as planned' : told}`
  },
  baseSet: ({ baseId, open }, { base }) => `${base(baseId)} ${open ? 'open' : 'closed'}`,
  receiverAdded: ({ flight }) => `${flight.callSign} taken in`,
  slotSeen: ({ shipId }, { ship }) => `${ship(shipId)} has read its slot`,
  tankerHeld: ({ tankerId, holder }, { tanker }) =>
    holder === undefined ? `${tanker(tankerId)} let go` : `${tanker(tankerId)} held`,
  factWithdrawn: ({ withdrawnSeq }) => `Entry ${String(withdrawnSeq)} withdrawn`
}

/** What a fact says; a kind of a later service by its own name. */
export function factWords(fact: Fact, labels: Labels): string {
  const said = SAID[fact.kind] as ((fact: Fact, labels: Labels) => string) | undefined
  return said?.(fact, labels) ?? fact.kind
}
