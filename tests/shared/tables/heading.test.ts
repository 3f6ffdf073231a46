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
    ['pushGroups', 'Push,Time', ['name', 'pushAtMs']],
    ['pushGroups', 'Time\tPush', ['pushAtMs', 'name']],
    ['pushGroups', 'Push group\tPush', ['name', 'pushAtMs']]
  ])('is understood in %s: %j', (table, line, columns) => {
    expect(columnsOf(table, line)).toEqual(columns)
    expect(headed(line, table).faults).toEqual([])
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
