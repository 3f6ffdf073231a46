import { describe, expect, it } from 'vitest'
import { differences } from '../../../shared/tables/differences.ts'
import { setCell } from '../../../shared/tables/edit.ts'
import { movedBy } from '../../../shared/tables/moved.ts'
import { applyPaste, readPaste } from '../../../shared/tables/paste.ts'
import { shiftTimes } from '../../../shared/tables/shift.ts'
import type { Draft } from '../../../shared/tables/table.ts'
import { demoDraft } from './made.ts'

const opening = (draft: Draft, text: string): Draft => setCell(draft, 'event', 'event', 'opensAtMs', text)
/* Constructed: an event from 22:00Z on whose first flight starts five minutes later. */
const late = (): Draft => setCell(opening(demoDraft(), '2030-03-04 22:00Z'), 'flights', 'alder', 'startsAtMs', '2205')
const MOVED = {
  table: 'flights',
  rowId: 'alder',
  column: 'startsAtMs',
  fromMs: Date.UTC(2030, 2, 4, 22, 5),
  toMs: Date.UTC(2030, 2, 5, 22, 5)
}

describe('an opening moved past a time of day', () => {
  it('answers which times mean another day, typed and pasted', () => {
    const before = late()
    const after = opening(before, '2030-03-04 22:06Z')
    expect(after.tables.flights).toBe(before.tables.flights)
    expect(movedBy(before, after)).toEqual([MOVED])
    const preview = readPaste('Opens\n2030-03-04 22:06Z', 'event', before)
    expect(movedBy(before, applyPaste(before, preview))).toEqual([MOVED])
  })

  it('is told among the differences with both dates', () => {
    const before = late()
    expect(differences(before, opening(before, '2030-03-04 22:06Z'))).toEqual([
      expect.objectContaining({ table: 'event', column: 'opensAtMs', from: '2030-03-04 22:00Z' }),
      {
        table: 'flights',
        rowId: 'alder',
        label: 'Alder',
        kind: 'changed',
        column: 'startsAtMs',
        from: '2030-03-04 22:05Z',
        to: '2030-03-05 22:05Z'
      }
    ])
  })

  it('moves nothing where no time lies between, and nothing that says its date', () => {
    const before = late()
    expect(movedBy(before, opening(before, '2030-03-04 22:05Z'))).toEqual([])
    expect(movedBy(before, opening(before, 'soon'))).toEqual([])
    const dated = setCell(before, 'flights', 'alder', 'startsAtMs', '2030-03-04 22:05:00.500Z')
    expect(movedBy(dated, opening(dated, '2030-03-04 22:06Z'))).toEqual([])
  })

  it('by a whole day moves all times of day along, which is one difference', () => {
    const before = demoDraft()
    const after = opening(before, '2030-03-05 12:00Z')
    expect(movedBy(before, after).length).toBeGreaterThan(20)
    expect(movedBy(before, after).every(({ fromMs, toMs }) => toMs - fromMs === 86_400_000)).toBe(true)
    expect(differences(before, after).map(({ column }) => column)).toEqual(['opensAtMs'])
    expect(differences(before, shiftTimes(before, 86_400_000)).map(({ column }) => column)).toEqual(['opensAtMs'])
  })

  it('is no difference of a time that is only spelled otherwise', () => {
    const before = late()
    const kept = setCell(before, 'flights', 'alder', 'startsAtMs', '2030-03-04 22:05Z')
    expect(differences(before, kept)).toEqual([])
    const after = opening(before, '2030-03-04 22:06Z')
    const dated = setCell(after, 'flights', 'alder', 'startsAtMs', '2030-03-04 22:05Z')
    expect(differences(before, dated).map(({ column }) => column)).toEqual(['opensAtMs'])
  })
})
