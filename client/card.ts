/**
 * What stands on the cards: the figures of the view, cut to paper. A card has a column a ship, and continues on another page with more ships than stand beside each other.
 */
import type { Base, Flight, Join, Plan } from '../shared/contracts/plan.ts'
import type { SlotView, View } from '../shared/contracts/view.ts'
import {
  abortGaugeText,
  atPushText,
  clockText,
  contactText,
  dayMark,
  fuelText,
  holdFromText,
  holdGaugeText,
  holdOf,
  latestContactText,
  leastOnLoadText,
  onLoadText,
  pushText,
  releaseGaugeText,
  releaseText,
  requiredGaugeText,
  requiredText,
  shortageText,
  type Side
} from './figures.ts'
import type { Labels } from './labels.ts'
import { isServed, isShortAtPush } from '../shared/live/served.ts'
import { ABORT_WHY } from './words/abort.ts'
import { CARD, type CardRowName } from './words/card.ts'
import { saidWords } from './words/said.ts'
import { NO_HOLD } from './words/slot.ts'

/** Ships beside each other on a card. */
export const COLUMNS = 6

export interface CardCell {
  readonly text: string
  /** Below it, smaller. */
  readonly more: string
}
export interface CardRow {
  readonly name: CardRowName
  /** One cell for all ships where they have it in common. */
  readonly cells: readonly CardCell[]
}
export interface CardBlock {
  readonly key: string
  readonly title: string
  readonly joins: readonly { readonly tanker: string; readonly track: string; readonly join: Join | undefined }[]
  readonly rows: readonly CardRow[]
}
export interface CardShip {
  readonly shipId: string
  readonly callSign: string
  readonly spare: boolean
}
export interface CardPart {
  readonly ships: readonly CardShip[]
  readonly blocks: readonly CardBlock[]
}
export interface FlightCard {
  readonly flightId: string
  readonly callSign: string
  readonly typeName: string
  readonly shipCount: number
  /** The opening: times of another day say so. */
  readonly dayMs: number
  readonly parts: readonly CardPart[]
  readonly recovery: Base | undefined
  readonly diverts: readonly Base[]
}

export interface Sources {
  readonly view: View
  readonly plan: Plan
  readonly labels: Labels
}

/** The cards of an event, one a flight. */
export const flightCards = (of: Sources): FlightCard[] => of.plan.flights.map((flight) => cardOf(of, flight))

function cardOf(of: Sources, flight: Flight): FlightCard {
  const { plan } = of
  const baseOf = (baseId: string) => plan.bases.find(({ id }) => id === baseId)
  return {
    flightId: flight.id,
    callSign: flight.callSign,
    typeName: plan.receiverTypes.find(({ id }) => id === flight.receiverTypeId)?.name ?? '',
    shipCount: flight.ships.length,
    dayMs: plan.opensAtMs,
    parts: partsOf(flight.ships).map((ships) => ({
      ships: ships.map(({ id, callSign, airSpare }) => ({ shipId: id, callSign, spare: airSpare === true })),
      blocks: joinedOnce(blocksOf(of, flight, ships))
    })),
    recovery: baseOf(flight.recoveryBaseId),
    diverts: flight.divertBaseIds.flatMap((baseId) => baseOf(baseId) ?? [])
  }
}

/** Ships in as few parts as there must be, each as wide as the others. */
function partsOf<Ship>(ships: readonly Ship[]): Ship[][] {
  const wide = Math.ceil(ships.length / Math.ceil(ships.length / COLUMNS))
  const parts: Ship[][] = []
  for (let from = 0; from < ships.length; from += wide) parts.push(ships.slice(from, from + wide))
  return parts
}

/** One block a visit, and one more for each further contact in it. */
function blocksOf(of: Sources, flight: Flight, ships: Flight['ships']): CardBlock[] {
  const { view, plan, labels } = of
  const visits = flight.route.flatMap((phase) => (phase.kind === 'refuelling' ? [phase] : []))
  return visits.flatMap((visit, place) => {
    const theirs = ships.map(({ id }) =>
      view.slots
        .filter((slot) => slot.shipId === id && slot.visitId === visit.id)
        .toSorted((a, b) => a.contactAtMs - b.contactAtMs)
    )
    const contacts = Math.max(1, ...theirs.map((slots) => slots.length))
    return Array.from({ length: contacts }, (_, contact): CardBlock => {
      const slots = theirs.map((own) => own[contact])
      const tankerIds = [...new Set(slots.map((slot) => slot?.tankerId ?? visit.tankerId))]
      const again = contact === 0 ? [] : [CARD.again]
      return {
        key: `${visit.id} ${contact}`,
        title: [
          CARD.visit(place + 1, visits.length),
          ...again,
          `${CARD.pushes} ${labels.pushGroup(visit.pushGroupId)}`
        ].join(', '),
        joins: tankerIds.map((tankerId) => joinOf(plan, tankerId, labels)),
        rows: rowsOf(of, slots, tankerIds.length === 1)
      }
    })
  })
}

/** How to join a tanker is said once on a page. */
function joinedOnce(blocks: readonly CardBlock[]): CardBlock[] {
  const said = new Set<string>()
  return blocks.map((block) => ({
    ...block,
    joins: block.joins.map((one) => {
      if (said.has(one.tanker)) return { ...one, join: undefined }
      said.add(one.tanker)
      return one
    })
  }))
}

function joinOf(plan: Plan, tankerId: string, labels: Labels): CardBlock['joins'][number] {
  const tanker = plan.tankers.find(({ id }) => id === tankerId)
  return { tanker: labels.tanker(tankerId), track: tanker ? labels.track(tanker.trackId) : '', join: tanker?.join }
}

const cell = (text: string, more = ''): CardCell => ({ text, more })
const EMPTY = cell('')

function rowsOf(of: Sources, slots: readonly (SlotView | undefined)[], oneTanker: boolean): CardRow[] {
  const row = (name: CardRowName, make: (slot: SlotView) => CardCell): CardRow => {
    const cells = slots.map((slot) => (slot === undefined || !isServed(slot) ? EMPTY : make(slot)))
    return { name, cells: MERGED.has(name) ? merged(cells) : cells }
  }
  const { labels } = of
  const unit = labels.massUnit
  const mark = (atMs: number | null, side?: Side) => markOf(of, atMs, side)
  const rows: CardRow[] = [
    row('station', (slot) => cell(oneTanker ? stationName(slot, of) : labels.station(slot.tankerId, slot.stationId))),
    row('after', ({ aheadShipId }) => cell(aheadShipId === null ? CARD.first : labels.ship(aheadShipId))),
    row('start', (slot) => cell(clockText(slot.startAtMs, 'up') + mark(slot.startAtMs, 'up'))),
    {
      name: 'contact',
      cells: slots.map((slot) => {
        if (slot === undefined) return cell(CARD.noSlot)
        if (!isServed(slot)) return cell(CARD.noContact)
        return cell(
          contactText(slot) + mark(slot.contactAtMs, 'up'),
          slot.state === 'done' ? CARD.done : saidWords(slot)
        )
      })
    },
    row('latest', (slot) => cell(latestContactText(slot) + mark(slot.latestContactAtMs))),
    row('onLoad', (slot) => cell(onLoadText(slot, unit), leastMore(slot, of))),
    row('atContact', (slot) =>
      gauged(fuelText(slot.fuelAtContactKg, unit, 'down'), fuelText(slot.gaugeAtContactKg, unit, 'down'))
    ),
    row('abort', (slot) => abortCell(slot, of)),
    row('abortBase', (slot) => abortBaseCell(slot, of)),
    row('hold', (slot) => holdCell(slot, of)),
    row('release', (slot) => releaseCell(slot, of)),
    row('required', (slot) =>
      gauged(requiredText(slot, unit), slot.requiredGaugeKg === null ? '' : requiredGaugeText(slot, unit))
    ),
    row('atPush', (slot) => atPushCell(slot, of)),
    row('push', (slot) => cell(pushText(slot) + mark(slot.pushAtMs, 'up')))
  ]
  // What nobody on the card has is no row.
  return rows.filter(({ name, cells }) => !OPTIONAL.has(name) || cells.some(({ text }) => text !== ''))
}

const markOf = ({ plan }: Sources, atMs: number | null, side?: Side): string =>
  atMs === null ? '' : dayMark(atMs, plan.opensAtMs, side)

const stationName = ({ tankerId, stationId }: SlotView, { view }: Sources): string =>
  view.tankers.find((one) => one.tankerId === tankerId)?.stations.find((one) => one.stationId === stationId)?.name ??
  stationId

/** Often the same for the whole flight. */
const MERGED: ReadonlySet<CardRowName> = new Set(['abortBase', 'hold', 'push'])
const OPTIONAL: ReadonlySet<CardRowName> = new Set(['hold', 'release'])

function merged(cells: readonly CardCell[]): readonly CardCell[] {
  const [first, ...others] = cells
  return first && others.every(({ text, more }) => text === first.text && more === first.more) ? [first] : cells
}

/** The own gauge below a figure, where it shows another one. */
const gauged = (text: string, gauge: string): CardCell =>
  cell(text, gauge === '' ? CARD.notOnGauge : gauge === text ? '' : CARD.gauge(gauge))

const leastMore = (slot: SlotView, { labels }: Sources): string =>
  slot.leastOnLoadKg < slot.onLoadKg - 5 ? CARD.least(leastOnLoadText(slot, labels.massUnit)) : ''

function atPushCell(slot: SlotView, { labels }: Sources): CardCell {
  const text = slot.fuelAtPushKg < 0 ? CARD.runsOut : atPushText(slot, labels.massUnit)
  return cell(text, isShortAtPush(slot) ? CARD.short(shortageText(slot, labels.massUnit)) : '')
}

function abortCell(slot: SlotView, { labels }: Sources): CardCell {
  if (slot.abortKg === null) return cell(CARD.none)
  const text = fuelText(slot.abortKg, labels.massUnit, 'up')
  // Behind whoever has had the contact it needs no reading.
  if (slot.state === 'done') return cell(text)
  return gauged(text, slot.abortGaugeKg === null ? '' : abortGaugeText(slot, labels.massUnit))
}

/** The base that rules; below it why not the first one, else the one that stands in. */
function abortBaseCell({ tankerId, abortBaseId, abortWhy }: SlotView, { plan, labels }: Sources): CardCell {
  const trackId = plan.tankers.find(({ id }) => id === tankerId)?.trackId
  const track = plan.tracks.find(({ id }) => id === trackId)
  const first = track ? labels.base(track.abortBaseId) : ''
  if (abortBaseId === null) return cell(CARD.none, abortWhy === null ? '' : `${first} ${ABORT_WHY[abortWhy]}`)
  if (abortWhy !== null) return cell(labels.base(abortBaseId), `${first} ${ABORT_WHY[abortWhy]}`)
  const second = track?.secondAbortBaseId
  return cell(labels.base(abortBaseId), second === undefined ? '' : CARD.second(labels.base(second)))
}

function holdCell(slot: SlotView, of: Sources): CardCell {
  const { labels } = of
  const hold = holdOf(slot)
  if (hold)
    return cell(
      CARD.from(holdFromText(hold) + markOf(of, hold.fromMs)),
      CARD.gauge(holdGaugeText(hold, labels.massUnit))
    )
  const why = slot.hold?.kind === 'none' ? NO_HOLD[slot.hold.why] : ''
  return why === '' ? EMPTY : cell(`${CARD.noHold}: ${why}`)
}

function releaseCell(slot: SlotView, of: Sources): CardCell {
  const { labels } = of
  const hold = holdOf(slot)
  if (!hold || hold.releaseAtMs === null) return EMPTY
  return cell(
    releaseText(hold) + markOf(of, hold.releaseAtMs),
    hold.gaugeReleaseKg === null ? '' : CARD.gauge(releaseGaugeText(hold, labels.massUnit))
  )
}
