/** Drafts to begin with: a blank one, and the tables of a plan. */
import type { Phase, Plan } from '../contracts/plan.ts'
import type { Position } from '../contracts/quantities.ts'
import { cellText } from './cell.ts'
import { COLUMNS } from './columns.ts'
import { fullText } from './instant.ts'
import { readPosition } from './position.ts'
import { looksLikeTurn, nameKey, toldApart } from './refer.ts'
import { TABLE_NAMES, type Cells, type Column, type Draft, type Row, type TableName } from './table.ts'

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

/** The value at a dotted path of a document; undefined where there is none. */
function at(document: unknown, path: string): unknown {
  let here: unknown = document
  for (const key of path.split('.')) {
    if (typeof here !== 'object' || here === null || !Object.hasOwn(here, key)) return undefined
    here = (here as Record<string, unknown>)[key]
  }
  return here
}

/** Names of things by their ids, told apart where two share one. */
function namer(things: readonly { id: string; name: string }[]): (id: string) => string {
  const labels = toldApart(things.map(({ name }) => name))
  const names = new Map(things.map(({ id }, at) => [id, labels[at] ?? id]))
  return (id) => names.get(id) ?? id
}
const called = (things: readonly { id: string; callSign: string }[]) =>
  namer(things.map(({ id, callSign }) => ({ id, name: callSign })))

/** The names of everything that is referred to. */
function namesOf(plan: Plan) {
  const groups = new Map(plan.receiverTypes.map((type) => [type.id as string, namer(type.groups)]))
  const stations = new Map(plan.tankerTypes.map((type) => [type.id as string, namer(type.stations)]))
  const typeOf = new Map(plan.tankers.map((tanker) => [tanker.id as string, tanker.tankerTypeId as string]))
  return {
    receiverType: namer(plan.receiverTypes),
    tankerType: namer(plan.tankerTypes),
    base: namer(plan.bases),
    track: namer(plan.tracks),
    tanker: called(plan.tankers),
    push: namer(plan.pushGroups),
    flight: called(plan.flights),
    ship: called(plan.flights.flatMap((flight) => flight.ships)),
    group: (typeId: string) => groups.get(typeId) ?? ((id: string) => id),
    station: (typeId: string) => stations.get(typeId) ?? ((id: string) => id),
    stationOf: (tankerId: string) => stations.get(typeOf.get(tankerId) ?? '') ?? ((id: string) => id)
  }
}

/** A row of a thing of the plan: every column whose name leads somewhere in it, then what is said beside. */
function rowOf(columns: readonly Column[], id: string, thing: object, opensAtMs: number, beside: Cells): Row {
  const cells: Record<string, string> = {}
  for (const column of columns) {
    const said = beside[column.name]
    const value = said === undefined ? at(thing, column.name) : undefined
    const text = said ?? (value === undefined ? '' : cellText(value, column, { opensAtMs }))
    if (text !== '') cells[column.name] = text
  }
  return { id, cells }
}

/** The tables of a plan, every figure as it was typed; `planOf` makes the same plan of them. */
export function draftOf(plan: Plan): Draft {
  const names = namesOf(plan)
  const tables = emptyTables()
  const add = (table: TableName, id: string, thing: object, beside: Cells = {}): void => {
    tables[table].push(rowOf(COLUMNS[table], id, thing, plan.opensAtMs, beside))
  }
  const list = (table: TableName, column: string, ids: readonly string[] | undefined, name: (id: string) => string) => {
    const its = COLUMNS[table].find((one) => one.name === column)
    const text = ids && its ? cellText(ids.map(name), its, plan) : ''
    return { [column]: text }
  }
  const one = (column: string, id: string | undefined, name: (id: string) => string): Cells => ({
    [column]: id === undefined ? '' : name(id)
  })

  add('event', EVENT_ID, plan)
  for (const type of plan.receiverTypes) {
    add('receiverTypes', type.id, type)
    for (const group of type.groups) {
      const turn = (type.dump?.groupIds ?? []).indexOf(group.id) + 1
      add('tankGroups', `${type.id}/${group.id}`, group, {
        ...one('receiverType', type.id, names.receiverType),
        ...one('fillsAfter', group.fillsAfter, names.group(type.id)),
        dumpTurn: turn === 0 ? '' : String(turn)
      })
    }
  }
  for (const type of plan.tankerTypes) {
    add('tankerTypes', type.id, type)
    for (const station of type.stations) {
      add('stations', `${type.id}/${station.id}`, station, {
        ...one('tankerType', type.id, names.tankerType),
        ...list('stations', 'excludes', station.excludes, names.station(type.id))
      })
    }
  }
  const clearances = new Map<string, number>()
  for (const entry of plan.clearances) {
    const id = `${entry.receiverTypeId}/${entry.tankerTypeId}/${entry.stationId}`
    const turn = (clearances.get(id) ?? 0) + 1
    clearances.set(id, turn)
    add('clearances', turn === 1 ? id : `${id}/${String(turn)}`, entry, {
      ...one('receiverTypeId', entry.receiverTypeId, names.receiverType),
      ...one('tankerTypeId', entry.tankerTypeId, names.tankerType),
      ...one('stationId', entry.stationId, names.station(entry.tankerTypeId))
    })
  }
  for (const base of plan.bases) add('bases', base.id, base, list('bases', 'fitFor', base.fitFor, names.receiverType))
  for (const track of plan.tracks) {
    add('tracks', track.id, track, {
      ...one('abortBaseId', track.abortBaseId, names.base),
      ...one('secondAbortBaseId', track.secondAbortBaseId, names.base)
    })
  }
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
  for (const group of plan.pushGroups) add('pushGroups', group.id, group)
  const placeName = placeNamer(plan)
  for (const flight of plan.flights) {
    const flightCell = one('flight', flight.id, names.flight)
    const group = names.group(flight.receiverTypeId)
    const visits = flight.route.filter((phase) => phase.kind === 'refuelling').map((phase) => phase.id as string)
    const visitName = (id: string): string => String(visits.indexOf(id) + 1)
    add('flights', flight.id, flight, {
      ...one('receiverTypeId', flight.receiverTypeId, names.receiverType),
      ...one('departureBaseId', flight.departureBaseId, names.base),
      ...one('recoveryBaseId', flight.recoveryBaseId, names.base),
      ...list('flights', 'divertBaseIds', flight.divertBaseIds, names.base)
    })
    for (const ship of flight.ships) {
      const turn = (plan.fallOut ?? []).indexOf(ship.id) + 1
      const own = ship.onLoads?.map(({ visitId, onLoad }) => ({ visit: visitName(visitId), onLoad }))
      add(
        'ships',
        ship.id,
        { ...ship, onLoads: own },
        {
          ...flightCell,
          ...list('ships', 'fitted', ship.fitted, group),
          fallOutTurn: turn === 0 ? '' : String(turn)
        }
      )
    }
    for (const phase of flight.route) {
      add('route', phase.id, phase, {
        ...flightCell,
        ...placeCell(phase, placeName),
        ...(phase.kind === 'refuelling'
          ? { ...one('tankerId', phase.tankerId, names.tanker), ...one('pushGroupId', phase.pushGroupId, names.push) }
          : list('route', 'jettisons', phase.jettisons, group))
      })
    }
  }
  addOrder(plan, names, add, one)
  return { tables }
}

function addOrder(
  plan: Plan,
  names: ReturnType<typeof namesOf>,
  add: (table: TableName, id: string, thing: object, beside: Cells) => void,
  one: (column: string, id: string, name: (id: string) => string) => Cells
): void {
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

/** The base or track that lies at a position, where its name means nothing else. */
function placeNamer(plan: Plan): (position: Position) => string | undefined {
  const places = [
    ...plan.bases.map((base) => ({ name: base.name, position: base.position })),
    ...plan.tracks.map((track) => ({ name: track.name, position: track.controlPoint }))
  ]
  const key = ({ latitudeDeg, longitudeDeg }: Position): string =>
    `${Object.is(latitudeDeg, -0) ? '-0' : String(latitudeDeg)} ${Object.is(longitudeDeg, -0) ? '-0' : String(longitudeDeg)}`
  const counts = new Map<string, number>()
  for (const { name } of places) counts.set(nameKey(name), (counts.get(nameKey(name)) ?? 0) + 1)
  const names = new Map<string, string>()
  for (const { name, position } of places) {
    const isClear =
      counts.get(nameKey(name)) === 1 && !looksLikeTurn(name) && 'wrong' in readPosition(name) && !looksLikeTurn(name)
    if (isClear && !names.has(key(position))) names.set(key(position), name)
  }
  return (position) => names.get(key(position))
}

function placeCell(phase: Phase, placeName: (position: Position) => string | undefined): Cells {
  const to = phase.kind !== 'refuelling' && phase.span.by !== 'duration' ? phase.span.to : undefined
  const name = to && placeName(to)
  return name === undefined ? {} : { 'span.to': name }
}
