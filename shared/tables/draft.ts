/** Drafts to begin with: a blank one, and the tables of a plan. */
import type { Flight, Phase, Plan } from '../contracts/plan.ts'
import type { Position } from '../contracts/quantities.ts'
import { fullText } from './instant.ts'
import { one, pageOf, placeNamer, type Page } from './page.ts'
import { TABLE_NAMES, type Cells, type Draft, type Row, type TableName } from './table.ts'

const emptyTables = (): Record<TableName, Row[]> =>
  Object.fromEntries(TABLE_NAMES.map((table) => [table, []])) as unknown as Record<TableName, Row[]>

/** Assumed and editable: hook-up, changeover, margin and old calls as the model has them; the rest common practice. */
const BEGINNING: Cells = {
  massUnit: 'lb',
  fuelGrade: 'JP-8',
  fuelDensity: '0.804 kg/L',
  'rules.windFromDeg': '0',
  'rules.windSpeed': '0 kt',
  'rules.landingReserve': '20 min',
  'rules.jokerAllowance': '1000 lb',
  'rules.hookUpBoomMin': '1.5',
  'rules.hookUpDrogueMin': '2',
  'rules.changeoverWithinFlightMin': '0.5',
  'rules.changeoverBoomMin': '2',
  'rules.changeoverDrogueMin': '3',
  'rules.reformMin': '2',
  'rules.lateMarginMin': '5',
  'rules.staleAfterMin': '10'
}

/** A draft with nothing in it but the rules to begin with; it opens when it is told to, or has no opening yet. */
export function blankDraft(opensAtMs?: number): Draft {
  const opens = opensAtMs === undefined ? {} : { opensAtMs: fullText(opensAtMs) }
  return { tables: { ...emptyTables(), event: [{ id: EVENT_ID, cells: { ...BEGINNING, ...opens } }] } }
}

/** The one row of the event. */
export const EVENT_ID = 'event'

/**
 * The tables of a plan, every figure as it was typed; `planOf` makes the same plan of them. A list or a group of fields
 * that is there and has nothing in it (windows, limits, join, fall-out) is left out, as it says nothing.
 */
export function draftOf(plan: Plan): Draft {
  const tables = emptyTables()
  const page = pageOf(plan, tables)
  page.add('event', EVENT_ID, plan)
  addReceiverTypes(page)
  addTankerTypes(page)
  addClearances(page)
  addPlaces(page)
  addTankers(page)
  for (const group of plan.pushGroups) page.add('pushGroups', group.id, group)
  const placeName = placeNamer(plan)
  for (const flight of plan.flights) addFlight(page, flight, placeName)
  addOrder(page)
  return { tables }
}

function addReceiverTypes({ plan, names, add }: Page): void {
  for (const type of plan.receiverTypes) {
    add('receiverTypes', type.id, type)
    for (const group of type.groups) {
      add('tankGroups', `${type.id}/${group.id}`, group, {
        ...one('receiverType', type.id, names.receiverType),
        ...one('fillsAfter', group.fillsAfter, names.group(type.id)),
        dumpTurn: turnIn(type.dump?.groupIds, group.id)
      })
    }
  }
}

/** From 1; blank for what is not in the list. */
function turnIn(ids: readonly string[] = [], id: string): string {
  const at = ids.indexOf(id)
  return at < 0 ? '' : String(at + 1)
}

function addTankerTypes({ plan, names, add, list }: Page): void {
  for (const type of plan.tankerTypes) {
    add('tankerTypes', type.id, type)
    for (const station of type.stations) {
      add('stations', `${type.id}/${station.id}`, station, {
        ...one('tankerType', type.id, names.tankerType),
        ...list('stations', 'excludes', station.excludes, names.station(type.id))
      })
    }
  }
}

function addClearances({ plan, names, add }: Page): void {
  const turns = new Map<string, number>()
  for (const entry of plan.clearances) {
    const id = `${entry.receiverTypeId}/${entry.tankerTypeId}/${entry.stationId}`
    const turn = (turns.get(id) ?? 0) + 1
    turns.set(id, turn)
    add('clearances', turn === 1 ? id : `${id}/${String(turn)}`, entry, {
      ...one('receiverTypeId', entry.receiverTypeId, names.receiverType),
      ...one('tankerTypeId', entry.tankerTypeId, names.tankerType),
      ...one('stationId', entry.stationId, names.station(entry.tankerTypeId))
    })
  }
}

function addPlaces({ plan, names, add, list }: Page): void {
  for (const base of plan.bases) add('bases', base.id, base, list('bases', 'fitFor', base.fitFor, names.receiverType))
  for (const track of plan.tracks) {
    add('tracks', track.id, track, {
      ...one('abortBaseId', track.abortBaseId, names.base),
      ...one('secondAbortBaseId', track.secondAbortBaseId, names.base)
    })
  }
}

function addTankers({ plan, names, add }: Page): void {
  for (const tanker of plan.tankers) {
    add('tankers', tanker.id, tanker, {
      ...one('tankerTypeId', tanker.tankerTypeId, names.tankerType),
      ...one('trackId', tanker.trackId, names.track)
    })
    for (const window of tanker.windows ?? []) {
      add('windows', `${tanker.id}/${window.stationId}`, window, {
        ...one('tanker', tanker.id, names.tanker),
        ...one('stationId', window.stationId, names.stationOf(tanker.id))
      })
    }
  }
}

type PlaceName = (position: Position) => string | undefined

function addFlight(page: Page, flight: Flight, placeName: PlaceName): void {
  const { names, add, list } = page
  add('flights', flight.id, flight, {
    ...one('receiverTypeId', flight.receiverTypeId, names.receiverType),
    ...one('departureBaseId', flight.departureBaseId, names.base),
    ...one('recoveryBaseId', flight.recoveryBaseId, names.base),
    ...list('flights', 'divertBaseIds', flight.divertBaseIds, names.base)
  })
  addShips(page, flight)
  for (const phase of flight.route) addPhase(page, flight, phase, placeName)
}

function addShips({ plan, names, add, list }: Page, flight: Flight): void {
  const visits = flight.route.filter((phase) => phase.kind === 'refuelling').map((phase) => phase.id as string)
  for (const ship of flight.ships) {
    const onLoads = ship.onLoads?.map(({ visitId, onLoad }) => ({ visit: turnIn(visits, visitId), onLoad }))
    add(
      'ships',
      ship.id,
      { ...ship, onLoads },
      {
        ...one('flight', flight.id, names.flight),
        ...list('ships', 'fitted', ship.fitted, names.group(flight.receiverTypeId)),
        fallOutTurn: turnIn(plan.fallOut, ship.id)
      }
    )
  }
}

function addPhase({ names, add, list }: Page, flight: Flight, phase: Phase, placeName: PlaceName): void {
  const flown = one('flight', flight.id, names.flight)
  if (phase.kind === 'refuelling') {
    const tanker = one('tankerId', phase.tankerId, names.tanker)
    add('route', phase.id, phase, { ...flown, ...tanker, ...one('pushGroupId', phase.pushGroupId, names.push) })
    return
  }
  const to = phase.span.by === 'duration' ? undefined : phase.span.to
  const place = to && placeName(to)
  add('route', phase.id, phase, {
    ...flown,
    ...(place !== undefined && { 'span.to': place }),
    ...list('route', 'jettisons', phase.jettisons, names.group(flight.receiverTypeId))
  })
}

function addOrder({ plan, names, add }: Page): void {
  const visitTurns = new Map(
    plan.flights.flatMap((flight) =>
      flight.route.filter((phase) => phase.kind === 'refuelling').map((phase, turn) => [phase.id as string, turn + 1])
    )
  )
  for (const order of plan.orders) {
    const tanker = one('tanker', order.tankerId, names.tanker)
    // A station that nobody comes to, and a tanker without a station, are rows without a ship.
    if (order.sequences.length === 0) add('order', `${order.tankerId}/`, {}, tanker)
    for (const { stationId, slots } of order.sequences) {
      const beside = { ...tanker, ...one('station', stationId, names.stationOf(order.tankerId)) }
      if (slots.length === 0) add('order', `${order.tankerId}/${stationId}`, {}, beside)
      slots.forEach((slot, at) => {
        add('order', slot.id, slot, {
          ...beside,
          turn: String(at + 1),
          ...one('shipId', slot.shipId, names.ship),
          visitId: String(visitTurns.get(slot.visitId) ?? '')
        })
      })
    }
  }
}
