import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { columnOf } from '../../../shared/tables/columns.ts'
import { draftOf } from '../../../shared/tables/draft.ts'
import { setCell } from '../../../shared/tables/edit.ts'
import { faultsOf, planOf } from '../../../shared/tables/judge.ts'
import type { Draft, TableName } from '../../../shared/tables/table.ts'
import { paperPlan } from '../../make/plan.ts'
import { demoDraft } from './made.ts'
import { edited } from './random.ts'

const densityOfDemo = (): number => Number.parseFloat(demoDraft().tables.event[0]?.cells['fuelDensity'] ?? '')

const told = (draft: Draft) => faultsOf(draft).map(({ table, rowId, column, value }) => [table, rowId, column, value])

describe('the faults of a draft', () => {
  /* One cell of the demo is changed; where the rule lies is constructed. */
  it.each<[TableName, string, string, string, (readonly unknown[])?]>([
    ['event', 'event', 'fuelDensity', '0.9 kg/L'],
    ['event', 'event', 'rules.reformMin', '90'],
    ['event', 'event', 'rules.landingReserve', '60 % at control points'],
    ['receiverTypes', 'osier', 'gaugeBand.high', '9000 lb'],
    ['receiverTypes', 'osier', 'notGivingBelow', '3900 lb'],
    ['receiverTypes', 'larch', 'refuellingLow', '340 kt'],
    ['receiverTypes', 'osier', 'weighing.reference', '9000 lb'],
    ['tankGroups', 'nettle/nettle-aft', 'role.releasedBelow', '900 kg'],
    ['tankGroups', 'larch/larch-wing', 'dragFactor', '1.2'],
    ['tankGroups', 'larch/larch-sump', 'transferRate', '50 lb/min'],
    ['tankGroups', 'maple/maple-feed', 'dumpTurn', '3'],
    ['bases', 'adze', 'position', '91 0'],
    ['tankers', 'mallet', 'leavesAtMs', '12:08Z'],
    ['route', 'alder-visit-1', 'pushGroupId', 'Nowhere'],
    ['route', 'squall-home', 'jettisons', 'Body'],
    ['ships', 'rasp-1', 'startFuel', '20000 lb'],
    ['ships', 'rasp-1', 'startFuel', '10.2 lb'],
    ['ships', 'rasp-1', 'startFuel', '0 lb'],
    ['event', 'event', 'rules.landingReserve', '30'],
    ['flights', 'rasp', 'limits.joker', '10 lb'],
    ['order', 'sleet-visit.sleet-1', 'station', 'Left pod'],
    // What is missing is told at the cell that lacks it.
    ['receiverTypes', 'larch', 'flows.combat', ''],
    ['tankGroups', 'larch/larch-body', 'transferRate', ''],
    ['receiverTypes', 'osier', 'gaugeBand.low', '']
  ])('are told at the cell they come from: %s %s %s "%s"', (table, id, column, text) => {
    const faults = told(setCell(demoDraft(), table, id, column, text))
    expect(faults).toContainEqual([table, id, column, text])
  })

  it('speak the units and the names of the event', () => {
    const pounds = faultsOf(setCell(demoDraft(), 'ships', 'rasp-1', 'startFuel', '20000'))
    // Its sheet: 1,120 and 3,900 and twice 1,050 lb.
    expect(pounds.map(({ limit }) => limit)).toEqual(['at most 7,120 lb, what its tanks hold'])
    const kilograms = faultsOf(setCell(draftOf(paperPlan()), 'ships', 'alder-21', 'startFuel', '20000'))
    expect(kilograms.map(({ limit }) => limit)).toEqual(['at most 4,000 kg, what its tanks hold'])
    const twice = faultsOf(setCell(demoDraft(), 'ships', 'alder-2', 'callSign', 'alder 1'))
    expect(twice.map(({ message }) => message)).toContain('this call sign stands at Ships, row 1 already')
    const cleared = faultsOf(setCell(demoDraft(), 'clearances', 'nettle/gimlet/left', 'stationId', 'Right pod'))
    expect(cleared.map(({ message }) => message)).toContain(
      'no clearance for Nettle, attack, probe on Gimlet, two pods'
    )
  })

  /* Its tanks hold 7,120 lb, which is 3,229.58 kg, and 4,026.9 L at the density of the demo; 1 lb = 0.453 592 37 kg. */
  it('tell a limit in the unit that was typed', () => {
    const limitOf = (text: string) => faultsOf(setCell(demoDraft(), 'ships', 'rasp-1', 'startFuel', text))[0]?.limit
    expect(Math.floor((7120 * 0.45359237) / densityOfDemo())).toBe(4026)
    expect(limitOf('9000 kg')).toBe('at most 3,229 kg, what its tanks hold')
    expect(limitOf('9000 L')).toBe('at most 4,026 L, what its tanks hold')
    expect(limitOf('9000')).toBe('at most 7,120 lb, what its tanks hold')
  })

  /* 650 to 900 kg/m3 in other units: 1 lb = 0.453 592 37 kg, 1 US gal = 3.785 411 784 L. */
  it('tell a density in the unit that was typed, and the one that its number is of', () => {
    const faultOf = (text: string) => faultsOf(setCell(demoDraft(), 'event', 'event', 'fuelDensity', text))[0]
    expect(faultOf('6.7 kg/L')).toMatchObject({
      limit: '0.65 to 0.9 kg/L',
      message: 'outside 0.65 to 0.9 kg/L',
      mend: 'Make it 0.65 to 0.9 kg/L. Or write 6.7 lb/US gal.'
    })
    const perGallon = (kgPerM3: number) => (kgPerM3 * 0.003785411784) / 0.45359237
    expect(perGallon(650).toFixed(3)).toBe('5.425')
    expect(perGallon(900).toFixed(3)).toBe('7.511')
    expect(faultOf('9 lb/US gal')?.limit).toBe('5.43 to 7.51 lb/US gal')
    expect(faultOf('804 kg/L')?.mend).toBe('Make it 0.65 to 0.9 kg/L. Or write 804 kg/m³.')
  })

  it('are told in plain words, whatever the schemas call them', () => {
    const short = faultsOf(
      setCell(demoDraft(), 'tracks', demoDraft().tables.tracks[0]?.id ?? '', 'orbit', '44 09N 155 24W')
    )
    expect(short).toMatchObject([
      { message: 'too few', mend: 'Make it at least 2 positions, with semicolons between them.' }
    ])
    const abort = faultsOf(setCell(demoDraft(), 'flights', 'rasp', 'limits.abort', '500 lb'))
    expect(abort[0]?.message).toBe('abort fuel set by hand can only be higher')
    const flow = faultsOf(setCell(demoDraft(), 'tankers', 'mallet', 'burn', '0 lb/h'))
    expect(flow[0]?.limit).toMatch(/^[\d.]+ to [\d,]+ lb\/h$/)
  })

  /* Its tanks hold 7,120 lb: 1 % of them is 71.2 lb, or 32.3 kg. */
  it('say that a start with next to nothing may be meant in thousands', () => {
    const faultOf = (text: string) => faultsOf(setCell(demoDraft(), 'ships', 'rasp-1', 'startFuel', text))[0]
    expect(faultOf('4.9 lb')).toMatchObject({
      limit: 'at least 72 lb, 1 % of what its tanks hold',
      message: 'less than 1 % of what its tanks hold',
      mend: 'Write 4,900 lb, if thousands are meant.'
    })
    expect(faultOf('20 kg')?.limit).toBe('at least 33 kg, 1 % of what its tanks hold')
    expect(faultOf('72 lb')).toBeUndefined()
  })

  it('tell a closing before its opening with the dates of both', () => {
    const opens = setCell(demoDraft(), 'bases', 'adze', 'opensAtMs', '051130')
    const [fault] = faultsOf(setCell(opens, 'bases', 'adze', 'closesAtMs', '1830'))
    expect([fault?.limit, fault?.message]).toEqual([
      'after 2030-03-05 11:30Z',
      'it closes before it opens: 2030-03-04 18:30Z'
    ])
  })

  /* The event opens at 12:00Z. */
  it('are none of a base that has been open since before the event', () => {
    const base = (opens: string, closes: string) =>
      setCell(setCell(demoDraft(), 'bases', 'adze', 'opensAtMs', opens), 'bases', 'adze', 'closesAtMs', closes)
    const openedAt = (draft: Draft) => {
      const planned = planOf(draft)
      return 'plan' in planned && planned.plan.bases.find(({ id }) => id === 'adze')?.opensAtMs
    }
    expect(openedAt(base('1130', '1830'))).toBe(Date.UTC(2030, 2, 4, 11, 30))
    expect(openedAt(base('0600Z', '2200Z'))).toBe(Date.UTC(2030, 2, 4, 6))
    expect(openedAt(base('040600Z', '2200Z'))).toBe(Date.UTC(2030, 2, 4, 6))
    // The one day is told from the other cell, whichever is typed first.
    const closing = setCell(demoDraft(), 'bases', 'adze', 'closesAtMs', '2200Z')
    expect(openedAt(setCell(closing, 'bases', 'adze', 'opensAtMs', '0600Z'))).toBe(Date.UTC(2030, 2, 4, 6))
    expect(faultsOf(setCell(demoDraft(), 'bases', 'adze', 'opensAtMs', '0600Z'))).toMatchObject([
      { column: 'opensAtMs', lacking: true }
    ])
  })

  it('name the line that the clearances lack', () => {
    const { tables } = demoDraft()
    const without = (type: string): Draft => ({
      tables: { ...tables, clearances: tables.clearances.filter(({ id }) => !id.startsWith(`${type}/`)) }
    })
    const mends = faultsOf(without('larch')).map(({ mend }) => mend)
    expect(new Set(mends)).toEqual(
      new Set(['Add a line to the Clearances table: "Larch, one engine, receptacle", "Ladle, one boom", Boom.'])
    )
  })

  it('of one row hide no fault of another', () => {
    const both = setCell(
      setCell(demoDraft(), 'ships', 'rasp-1', 'startFuel', '20000'),
      'pushGroups',
      'late',
      'pushAtMs',
      'x'
    )
    expect(told(both)).toEqual([
      ['pushGroups', 'late', 'pushAtMs', 'x'],
      ['ships', 'rasp-1', 'startFuel', '20000 lb']
    ])
  })

  it('are told of any draft, each with what would be right, and never throw', () => {
    let faulty = 0
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1_000_000 }), fc.integer({ min: 1, max: 40 }), (seed, count) => {
        const draft = edited(demoDraft(), seed, count)
        const planned = planOf(draft)
        if ('plan' in planned) return
        faulty += 1
        expect(planned.faults.length).toBeGreaterThan(0)
        for (const { table, rowId, rowNumber, column, mend, message } of planned.faults) {
          expect(mend).not.toBe('')
          expect(message).not.toBe('')
          if (column !== undefined) expect(columnOf(table, column).name).toBe(column)
          expect(draft.tables[table][rowNumber - 1]?.id).toBe(rowId)
        }
      }),
      { numRuns: 120, seed: 4 }
    )
    expect(faulty).toBeGreaterThan(100)
  }, 60_000)

  it('are none for lists and groups of fields with nothing in them, which are left out', () => {
    const plan = structuredClone(paperPlan())
    for (const tanker of plan.tankers) Object.assign(tanker, { windows: [], join: {} })
    for (const flight of plan.flights) flight.limits = {}
    plan.fallOut = []
    const planned = planOf(draftOf(plan))
    expect('plan' in planned && planned.plan).toEqual(paperPlan())
  })
})
