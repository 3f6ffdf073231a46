import { describe, expect, it } from 'vitest'
import { addRow, setCell } from '../../../shared/tables/edit.ts'
import { faultsOf } from '../../../shared/tables/judge.ts'
import { applyPaste, readPaste } from '../../../shared/tables/paste.ts'
import { TABLE_NAMES, type Draft } from '../../../shared/tables/table.ts'
import { BROKEN } from './broken.ts'
import { demoDraft } from './made.ts'

describe('broken pastes', () => {
  it('are at least fifty', () => {
    expect(new Set(BROKEN.map(({ why }) => why)).size).toBeGreaterThanOrEqual(50)
  })

  it.each(BROKEN)(
    'is refused with row, column, value and what would be right: $why',
    ({ table, lines, at, mend, before }) => {
      const draft = before?.(demoDraft()) ?? demoDraft()
      const text = JSON.stringify(draft)
      const preview = readPaste(lines.join('\n'), table, draft)
      const found = preview.refused.find((fault) => fault.rowNumber === at[0] && fault.column === at[1])
      expect(preview.refused.map((fault) => [fault.rowNumber, fault.column, fault.value])).toContainEqual([...at])
      expect(found?.mend).toMatch(mend)
      expect(found?.message).not.toBe('')
      expect(() => applyPaste(draft, preview)).toThrow(RangeError)
      expect(JSON.stringify(draft)).toBe(text)
    }
  )
})

/* Drafts as they are while a plan is built: constructed. What cannot be known there is listed with each. */
const NEEDS_THE_BASE = [
  'a push before its flight is ready',
  'a leg slower than the wind',
  'a limit by hand below the computed one'
]
const HALF_FILLED: readonly { state: string; make: (draft: Draft) => Draft; unknown?: readonly string[] }[] = [
  { state: 'one ship overfull', make: (draft) => setCell(draft, 'ships', 'thistle-1', 'startFuel', '30000 lb') },
  { state: 'the event without a name', make: (draft) => setCell(draft, 'event', 'event', 'name', '') },
  {
    state: 'a blank row behind every table',
    make: (draft) =>
      TABLE_NAMES.filter((table) => table !== 'event').reduce((made, table) => addRow(made, table).draft, draft)
  },
  {
    state: 'a base without its position',
    make: (draft) => setCell(draft, 'bases', 'adze', 'position', ''),
    unknown: NEEDS_THE_BASE
  },
  {
    state: 'a flight without its start',
    make: (draft) => setCell(draft, 'flights', 'thistle', 'startsAtMs', '')
  }
]

describe.each(HALF_FILLED)('broken pastes into a plan that is not whole: $state', ({ make, unknown = [] }) => {
  const halfFilled = make(demoDraft())

  it('leaves that state told', () => {
    expect(faultsOf(halfFilled).length).toBeGreaterThan(0)
  })

  it.each(BROKEN.filter(({ why }) => !unknown.includes(why)))('$why', ({ table, lines, at, before }) => {
    const draft = before ? make(before(demoDraft())) : halfFilled
    const { refused } = readPaste(lines.join('\n'), table, draft)
    expect(refused.map((fault) => [fault.rowNumber, fault.column, fault.value])).toContainEqual([...at])
  })
})
