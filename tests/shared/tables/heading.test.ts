import { describe, expect, it } from 'vitest'
import { headed } from '../../../shared/tables/heading.ts'
import { readPaste } from '../../../shared/tables/paste.ts'
import type { TableName } from '../../../shared/tables/table.ts'
import { demoDraft } from './made.ts'

/* Headings as sheets have them: common practice, no source. */
const columnsOf = (table: TableName, line: string) =>
  headed(`${line}\n`, table).sources.map(({ column, unit }) => (unit === undefined ? column : `${column} in ${unit}`))

describe('a heading', () => {
  it.each<[TableName, string, readonly string[]]>([
    ['ships', 'Ship\tFuel kg', ['callSign', 'startFuel in kg']],
    ['ships', 'Ship\tFuel/kg', ['callSign', 'startFuel in kg']],
    ['ships', 'Ship\tStart fuel US gal', ['callSign', 'startFuel in USgal']],
    ['ships', 'Ship\tFuel [lb]', ['callSign', 'startFuel in lb']],
    ['tankers', 'Tanker\tBurn lb/h', ['callSign', 'burn in lb/h']],
    ['tankers', 'Tanker\tBurn/lb/min', ['callSign', 'burn in lb/min']],
    ['tankers', 'Tanker\tFuel on station kg', ['callSign', 'fuelOnStation in kg']],
    ['flights', 'Flight\tAircraft type\tMin ships', ['callSign', 'receiverTypeId', 'leastShipCount']],
    ['bases', 'Airfield,Lat/Long,Open,Close,Fuel', ['name', 'position', 'opensAtMs', 'closesAtMs', 'fuelThere']],
    [
      'flights',
      'C/S\tA/C\tPri\tDep\tRec',
      ['callSign', 'receiverTypeId', 'priority', 'departureBaseId', 'recoveryBaseId']
    ],
    [
      'tankers',
      'C/S\tOn stn\tOff stn\tFuel on stn (lb)\tHome fuel\tOffload',
      ['callSign', 'onStationAtMs', 'leavesAtMs', 'fuelOnStation in lb', 'keeps', 'mostTransferable']
    ],
    ['flights', 'Flight\tFrom\tTo', ['callSign', 'departureBaseId', 'recoveryBaseId']],
    ['pushGroups', 'Push,Time', ['name', 'pushAtMs']],
    ['pushGroups', 'Time\tPush', ['pushAtMs', 'name']],
    ['pushGroups', 'Push group\tPush', ['name', 'pushAtMs']]
  ])('is understood in %s: %j', (table, line, columns) => {
    expect(columnsOf(table, line)).toEqual(columns)
    expect(headed(line, table).faults).toEqual([])
  })

  it('is a line of words over lines with figures, though most of it is not understood', () => {
    const paste = headed('Callsign\tJet\tImportance\tT/O\nAlder\tLarch\t1\t1209', 'flights')
    expect(paste.sources.map(({ column }) => column)).toEqual(['callSign'])
    expect(paste.unknown).toEqual([
      { index: 1, heading: 'Jet', column: undefined },
      { index: 2, heading: 'Importance', column: undefined },
      { index: 3, heading: 'T/O', column: undefined }
    ])
    expect(paste.lines).toHaveLength(1)
    // None of them understood, and nothing taken for data.
    expect(headed('Place;Where\nAdze;44 09N 155 24W', 'bases').sources).toEqual([])
  })

  it('is no line of data: of figures, of words that a column takes, of names of the draft', () => {
    const hasNone = (text: string, table: TableName) =>
      headed(text, table, { draft: demoDraft() }).sources.every(({ heading }) => heading === undefined) &&
      headed(text, table, { draft: demoDraft() }).unknown.length === 0
    expect(hasNone('Alder 7\tAlder\nAlder 8\tAlder 2', 'ships')).toBe(true)
    expect(hasNone('full\tnone\n2700 lb\t4', 'route')).toBe(true)
    expect(hasNone('Mallet\tBoom\nAuger\tPod 2', 'order')).toBe(true)
    expect(hasNone('Adze\nElder\n1200', 'bases')).toBe(true)
  })

  it('that is not understood takes the column that is chosen for it, with its unit, and the paste is read again', () => {
    const text = 'Tail\tFlight\tJuice (kg)\tNotes\nAlder 1\tAlder\t4500\tx'
    const first = readPaste(text, 'ships', demoDraft())
    expect(first.unknown.map(({ heading }) => heading)).toEqual(['Tail', 'Juice (kg)', 'Notes'])
    expect(first.refused.length).toBeGreaterThan(0)
    const again = readPaste(text, 'ships', demoDraft(), false, { 0: 'callSign', 2: 'startFuel' })
    expect(again.refused).toEqual([])
    expect(again.unknown.map(({ column }) => column)).toEqual(['callSign', 'startFuel', undefined])
    expect(again.rows.map(({ rowId, cells }) => [rowId, cells['startFuel']])).toEqual([['alder-1', '4500 kg']])
    const none = readPaste('Place\tWhere\nAdze\t44 09N 155 24W', 'bases', demoDraft())
    expect(none.refused.map(({ mend }) => mend)).toEqual(['Choose the columns for them.'])
    expect(none.unknown).toHaveLength(2)
  })

  it('with a unit that does not fit its column is refused', () => {
    const { refused } = readPaste('Ship\tStart fuel kt\nAlder 1\t10200', 'ships', demoDraft())
    expect(refused.map(({ value, mend }) => [value, mend])).toEqual([['Start fuel kt', 'Write Start fuel (lb).']])
  })

  it('counts the columns that a block has gone past', () => {
    const { refused } = readPaste('Push group\tPush\nSweep\t1305\tlate\nEscort\t1310', 'pushGroups', demoDraft())
    expect(refused.map(({ limit, message }) => [limit, message])).toEqual([
      ['at most 2 columns', 'a line of 3 cells under 2 headings']
    ])
  })
})

describe('a name with commas', () => {
  it('is quoted among others that might be meant', () => {
    const { refused } = readPaste('Flight\tReceiver type\nAlder\tLarch', 'flights', demoDraft())
    expect(refused[0]?.mend).toMatch(/^Write one of: "Larch, one engine, receptacle", "/)
  })
})
