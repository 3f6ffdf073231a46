import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { copyOut } from '../../../shared/tables/copy.ts'
import { blankDraft, draftOf } from '../../../shared/tables/draft.ts'
import { setCell } from '../../../shared/tables/edit.ts'
import { figureText } from '../../../shared/tables/figure.ts'
import { planOf } from '../../../shared/tables/judge.ts'
import { applyPaste, readPaste } from '../../../shared/tables/paste.ts'
import { TABLE_NAMES, type Draft, type PastePreview, type TableName } from '../../../shared/tables/table.ts'
import { anyCharacter } from '../../make/strange.ts'
import { cellsOf, chance, demo, demoDraft, OPENS_AT_MS, pick } from './made.ts'
import { strangePlan } from './strange-plan.ts'

function pasted(
  draft: Draft,
  table: TableName,
  text: string,
  replace = false
): { preview: PastePreview; draft: Draft } {
  const preview = readPaste(text, table, draft, replace)
  expect(preview.refused).toEqual([])
  return { preview, draft: applyPaste(draft, preview) }
}
const lines = (...all: readonly (readonly string[])[]): string => all.map((cells) => cells.join('\t')).join('\n')

describe('a copy pasted back', () => {
  it.each(TABLE_NAMES)('changes nothing in the demo: %s', (table) => {
    const draft = demoDraft()
    const { preview, draft: after } = pasted(draft, table, copyOut(draft, table))
    expect(after).toBe(draft)
    expect(preview.rows).toHaveLength(draft.tables[table].length)
    expect(preview.rows.every(({ rowId, changed }) => rowId !== undefined && changed.length === 0)).toBe(true)
    expect(preview.missing).toEqual([])
    expect(preview.unknown).toEqual([])
  })

  it('changes nothing in forty strange plans, whatever separators and quotes are in their names', () => {
    let rows = 0
    for (let seed = 1; seed <= 40; seed++) {
      const draft = draftOf(strangePlan(seed))
      for (const table of TABLE_NAMES) {
        const preview = readPaste(copyOut(draft, table), table, draft)
        const where = `seed ${String(seed)}, ${table}`
        expect(preview.refused, where).toEqual([])
        expect(
          preview.rows.filter(({ changed }) => changed.length > 0),
          where
        ).toEqual([])
        expect(applyPaste(draft, preview), where).toBe(draft)
        rows += preview.rows.length
      }
    }
    expect(rows).toBeGreaterThan(5_000)
  }, 120_000)

  it('changes none of 10,000 random figures in lb, kg and US gal', () => {
    const random = chance(11)
    const units = ['lb', 'kg', 'US gal'] as const
    const figures = Array.from({ length: 10_000 }, () => {
      const digits = pick(random, [0, 1, 2, 3, 7, 15])
      const number = Number((random() * 10 ** (1 + random() * 5)).toFixed(digits))
      return figureText({ value: number, unit: pick(random, units) })
    })
    const counts = new Map(units.map((unit) => [unit, figures.filter((figure) => figure.endsWith(` ${unit}`)).length]))
    expect([...counts.values()].every((count) => count > 3_000)).toBe(true)
    let read = 0
    for (let from = 0; from < figures.length; from += 200) {
      const some = figures.slice(from, from + 200)
      const rows = some.map((figure, at) => ({
        id: `ship-${String(at)}`,
        cells: { callSign: `Alder ${String(at)}`, startFuel: figure }
      }))
      const blank = blankDraft(OPENS_AT_MS)
      const draft = { tables: { ...blank.tables, ships: rows } }
      const { preview, draft: after } = pasted(draft, 'ships', copyOut(draft, 'ships'))
      expect(after).toBe(draft)
      read += preview.rows.filter(({ cells, rowNumber }) => cells['startFuel'] === some[rowNumber - 2]).length
    }
    expect(read).toBe(10_000)
  }, 120_000)
})

describe('a table pasted again', () => {
  it('with one row of the flights changed keeps every id and slot', () => {
    const draft = demoDraft()
    const text = copyOut(draft, 'flights').replace(/^(Kelp\t[^\t]*\t)2\t/m, '$13\t')
    const { preview, draft: after } = pasted(draft, 'flights', text)
    expect(
      preview.rows.filter(({ changed }) => changed.length > 0).map(({ label, changed }) => [label, changed])
    ).toEqual([['Kelp', ['priority']]])
    const plan = planOf(after)
    const expected = structuredClone(demo())
    for (const flight of expected.flights) if (flight.id === 'kelp') flight.priority = 3
    expect('plan' in plan && plan.plan).toEqual(expected)
  })

  it('in another order of columns and rows, with fewer of both, leaves the rest as it is', () => {
    const draft = demoDraft()
    const text = lines(['Starts', 'Call sign'], ['1211', 'KELP'], ['1209', 'alder'])
    const { preview, draft: after } = pasted(draft, 'flights', text)
    expect(preview.rows.map(({ rowId, changed }) => [rowId, changed])).toEqual([
      ['kelp', ['startsAtMs']],
      ['alder', []]
    ])
    expect(preview.missing.map(({ rowId }) => rowId)).toEqual(['chisel', 'rasp', 'thistle', 'sleet', 'squall'])
    // The two rows of the paste change places, since it has them so.
    expect(after.tables.flights.map(({ id }) => id).slice(0, 3)).toEqual(['kelp', 'alder', 'chisel'])
    expect(cellsOf(after, 'flights', 'kelp')).toEqual({ ...cellsOf(draft, 'flights', 'kelp'), startsAtMs: '12:11Z' })
  })

  it('replaces the table where that is asked for', () => {
    const draft = demoDraft()
    const kept = copyOut(draft, 'clearances').split('\n').slice(0, 12).join('\n')
    const { preview, draft: after } = pasted(draft, 'clearances', kept, true)
    expect(preview.missing).toHaveLength(2)
    expect(after.tables.clearances).toEqual(draft.tables.clearances.slice(0, 11))
    expect(pasted(draft, 'clearances', kept).draft).toBe(draft)
  })

  it('puts new rows behind the row before them, with new ids', () => {
    const draft = demoDraft()
    const rows = copyOut(draft, 'ships').split('\n')
    rows.splice(2, 0, lines(['Alder 5', 'Alder', 'Wing tank', '10100']))
    const { preview, draft: after } = pasted(draft, 'ships', rows.join('\n'))
    expect(preview.rows.filter(({ rowId }) => rowId === undefined).map(({ label }) => label)).toEqual(['Alder 5'])
    expect(after.tables.ships.map(({ id }) => id).slice(0, 3)).toEqual(['alder-1', 'alder-5', 'alder-2'])
    expect(cellsOf(after, 'ships', 'alder-5')).toEqual({
      callSign: 'Alder 5',
      flight: 'Alder',
      fitted: 'Wing tank',
      startFuel: '10100 lb'
    })
    expect('plan' in planOf(after)).toBe(true)
  })

  it('gives no id that is in use', () => {
    const draft = setCell(demoDraft(), 'bases', 'adze', 'name', 'Hammer Field')
    const rue = lines(['Base', 'Lat', 'Lon'], ['Adze', '45 21.0N', '155 36.0W'], ['adze!', '45.35N', '155.6W'])
    const { draft: after } = pasted(draft, 'bases', rue)
    expect(after.tables.bases.map(({ id }) => id).slice(-2)).toEqual(['adze-2', 'adze-3'])
    expect(cellsOf(after, 'bases', 'adze-2')['position']).toBe('45.35N 155.6W')
  })

  it('moves a slot to another station and keeps its id', () => {
    const draft = demoDraft()
    const { preview, draft: after } = pasted(
      draft,
      'order',
      lines(['Tanker', 'Station', 'Turn', 'Ship', 'Visit'], ['Auger', 'Right pod', '7', 'Kelp 1', '2'])
    )
    expect(preview.rows.map(({ rowId, changed }) => [rowId, changed])).toEqual([
      ['kelp-visit-2.kelp-1', ['station', 'turn']]
    ])
    expect(cellsOf(after, 'order', 'kelp-visit-2.kelp-1')).toMatchObject({ station: 'Right pod', turn: '7' })
  })
})

describe('a slot of a ship that has one in the visit', () => {
  const head = ['Tanker', 'Station', 'Turn', 'Ship', 'Visit']
  const contacts = ({ rows }: PastePreview) => rows.map(({ rowId, contact }) => [rowId, contact])

  it('is told as one more contact, in the paste and beside the draft', () => {
    const turn = cellsOf(demoDraft(), 'order', 'alder-visit-1.alder-1')['turn'] ?? ''
    const first = ['Mallet', 'Boom', turn, 'Alder 1', '1']
    const more = lines(head, first, ['Mallet', 'Boom', '19', 'Alder 1', '1'], ['Mallet', 'Boom', '20', 'Alder 1', '1'])
    const { preview, draft } = pasted(demoDraft(), 'order', more)
    expect(contacts(preview)).toEqual([
      ['alder-visit-1.alder-1', undefined],
      [undefined, 2],
      [undefined, 3]
    ])
    const again = readPaste(lines(head, first), 'order', draft)
    expect(contacts(again)).toEqual([['alder-visit-1.alder-1', undefined]])
    // Where the rows that are missing go, it is the only one.
    const alone = readPaste(lines(head, ['Mallet', 'Boom', '19', 'Alder 1', '1']), 'order', blankOrder(demoDraft()))
    expect(contacts(alone)).toEqual([[undefined, undefined]])
  })
  const blankOrder = (draft: Draft): Draft => ({ tables: { ...draft.tables, order: [] } })

  it('is refused where it is the very same row of the paste again', () => {
    const twice = 'the very same row stands in row 2 of the paste already'
    const row = ['Mallet', 'Boom', '', 'Alder 1', '1']
    const { refused } = readPaste(lines(head, row, row), 'order', blankOrder(demoDraft()))
    expect(refused.map(({ rowNumber, message }) => [rowNumber, message])).toEqual([[3, twice]])
    const larch = 'Larch, one engine, receptacle'
    const cleared = lines(
      ['Receiver type', 'Tanker type', 'Station'],
      ...Array<string[]>(2).fill([larch, 'Gimlet, two pods', 'Left pod'])
    )
    expect(readPaste(cleared, 'clearances', demoDraft()).refused.map(({ message }) => message)).toContain(twice)
  })
})

describe('what a paste looks like', () => {
  const ship = (draft: Draft) => cellsOf(draft, 'ships', 'alder-1')['startFuel']

  it.each([
    ['tabs', 'Ship\tStart fuel (kg)\nAlder 1\t4,500\n'],
    ['commas and quotes', 'Ship,Start fuel (kg)\r\n"Alder 1","4,500"\r\n'],
    ['semicolons', 'Ship;Start fuel [kg]\r\nAlder 1;4500\r\n'],
    ['a mark of its encoding in front', '\uFEFFShip\tStart fuel (kg)\nAlder 1\t4500'],
    ['trailing blank columns and rows', 'Ship\tStart fuel (kg)\t\t\nAlder 1\t4500\t\t\n\t\t\t\n\n'],
    ['blank lines between', '\nShip\tStart fuel (kg)\n\nAlder 1\t4500'],
    ['no headings', 'Alder 1\tAlder\tWing tank\t4500 kg'],
    ['other headings', 'call-sign\tFUEL (kgs)\nAlder 1\t4 500'],
    ['old line ends', 'Ship\tStart fuel (kg)\rAlder 1\t4500\r']
  ])('with %s it is understood', (_, text) => {
    expect(ship(pasted(demoDraft(), 'ships', text).draft)).toBe('4500 kg')
  })

  it('shows the date of a time, the unit of a figure, and which columns nothing is taken from', () => {
    const { preview } = pasted(
      demoDraft(),
      'tankers',
      lines(['Tanker', 'Leaves', 'Keeps', 'Remarks'], ['Mallet', '1410', '22,600', 'x'])
    )
    expect(preview.rows[0]?.resolved).toEqual({ leavesAtMs: '2030-03-04 14:10Z', keeps: '22600 lb' })
    expect(preview.commas).toEqual([{ as: 'thousands', text: '22,600', value: '22600' }])
    expect(preview.unknown).toEqual([{ index: 3, heading: 'Remarks', column: undefined }])
    expect(preview.columns.map(({ column, heading }) => [column, heading])).toEqual([
      ['callSign', 'Tanker'],
      ['leavesAtMs', 'Leaves'],
      ['keeps', 'Keeps']
    ])
  })

  it('shows the day of a base that opens before the event does, and takes it from when it closes', () => {
    const table = lines(['Base', 'Opens', 'Closes'], ['Adze Field', '0600Z', '2200Z'])
    const { preview, draft } = pasted(demoDraft(), 'bases', table)
    expect(preview.rows[0]?.resolved).toMatchObject({
      opensAtMs: '2030-03-04 06:00Z',
      closesAtMs: '2030-03-04 22:00Z'
    })
    const alone = lines(['Base', 'Opens'], ['Adze Field', '0700Z'])
    expect(readPaste(alone, 'bases', demoDraft()).refused).toMatchObject([{ column: 'opensAtMs', value: '0700Z' }])
    const again = pasted(draft, 'bases', alone)
    expect(again.preview.rows[0]?.resolved).toEqual({ opensAtMs: '2030-03-04 07:00Z' })
    expect(cellsOf(again.draft, 'bases', 'adze')['opensAtMs']).toBe('07:00Z')
    expect(pasted(again.draft, 'bases', copyOut(again.draft, 'bases')).draft).toBe(again.draft)
  })

  it('reads decimal commas where they can be nothing else', () => {
    const text = 'Ship;Start fuel\nAlder 1;10200,5\nAlder 2;9900\n'
    expect(ship(pasted(demoDraft(), 'ships', text).draft)).toBe('10200.5 lb')
  })

  it('takes the unit and the opening of the event from the very paste', () => {
    const { draft } = pasted(
      blankDraft(),
      'event',
      lines(['Event', 'Opens', 'Unit', 'Joker allowance'], ['Rue', '2030-03-04 12:00Z', 'kg', '400'])
    )
    expect(draft.tables.event[0]?.cells).toMatchObject({
      name: 'Rue',
      massUnit: 'kg',
      'rules.jokerAllowance': '400 kg'
    })
  })

  it('takes the event as headings with their values beside them', () => {
    const upright = ['Event\tRue', 'Opens\t2030-03-04 12:00Z', 'Unit\tkg', 'Wind from (°)\t285', 'Reform (min)\t2.5']
    const { preview, draft } = pasted(blankDraft(), 'event', upright.join('\n'))
    expect(preview.rows).toHaveLength(1)
    expect(draft.tables.event[0]?.cells).toMatchObject({
      name: 'Rue',
      'rules.windFromDeg': '285',
      'rules.reformMin': '2.5'
    })
    const wrong = readPaste('Event\tRue\nUnit\tstone', 'event', blankDraft())
    expect(wrong.refused.map(({ column, value }) => [column, value])).toEqual([['massUnit', 'stone']])
  })

  it('clears a cell that is blank in a pasted column', () => {
    const { draft } = pasted(
      demoDraft(),
      'flights',
      lines(['Flight', 'Bingo by hand', 'Joker by hand'], ['Rasp', '', '4700 lb'])
    )
    expect(cellsOf(draft, 'flights', 'rasp')['limits.bingo']).toBeUndefined()
    expect(cellsOf(draft, 'flights', 'rasp')['limits.joker']).toBe('4700 lb')
  })

  it('may leave things to fill in, and says which', () => {
    const { preview } = pasted(blankDraft(OPENS_AT_MS), 'pushGroups', lines(['Push group', 'Push'], ['Sweep', '1305']))
    expect(preview.left).toEqual([])
    const first = pasted(
      blankDraft(OPENS_AT_MS),
      'tankerTypes',
      lines(['Tanker type', 'Slowest', 'Fastest'], ['Ladle', '255', '325'])
    )
    expect(first.preview.left.map(({ table, message }) => [table, message])).toEqual([
      ['tankerTypes', 'it has no row among the stations yet']
    ])
  })

  it('is not applied to a draft that has lost its rows', () => {
    const draft = demoDraft()
    const preview = readPaste(lines(['Ship', 'Start fuel'], ['Alder 1', '9000']), 'ships', draft)
    expect(() => applyPaste(blankDraft(), preview)).toThrow(/alder-1/)
  })
})

/** Processor time since then, ms: how busy the machine is decides nothing. */
function spentMs(before: NodeJS.CpuUsage): number {
  const { user, system } = process.cpuUsage(before)
  return (user + system) / 1000
}

describe('anything at all', () => {
  const separators = ['\t', '\n', ';', ',', '"', '\r', ' ', '.', '-', "'", ':', '#', '°']
  const bytes = fc.oneof(
    fc.string({ maxLength: 400, unit: anyCharacter }),
    fc
      .array(fc.constantFrom(...separators, 'Ship', 'Flight', 'Alder 1', '12,5', '1200', '%', 'kg', 'none', '5 lb'), {
        maxLength: 300
      })
      .map((parts) => parts.join('')),
    fc.uint8Array({ maxLength: 2_000 }).map((all) => String.fromCharCode(...all))
  )

  it('pasted never throws, changes nothing by itself, and takes less than a second', () => {
    const draft = demoDraft()
    const text = JSON.stringify(draft)
    let longestMs = 0
    fc.assert(
      fc.property(bytes, fc.constantFrom(...TABLE_NAMES), (paste, table) => {
        const before = process.cpuUsage()
        const preview = readPaste(paste, table, draft)
        longestMs = Math.max(longestMs, spentMs(before))
        if (preview.refused.length > 0) expect(() => applyPaste(draft, preview)).toThrow(RangeError)
      }),
      { numRuns: 300, seed: 5 }
    )
    expect(JSON.stringify(draft)).toBe(text)
    expect(longestMs).toBeLessThan(1_000)
  }, 120_000)

  it.each([
    ['quotes that never end', '"'.repeat(200_000)],
    ['a line of tabs', '\t'.repeat(200_000)],
    ['as many lines as are read', 'Alder;x\n'.repeat(200)],
    ['more lines than are read', 'Alder;x\n'.repeat(100_000)],
    ['digits', '1'.repeat(300_000)],
    ['one quote a line', '"a\n'.repeat(5_000)],
    ['semicolons and quotes in a cell', 'Alder 1\tAlder\t' + '";'.repeat(900)],
    ['spaces', ' '.repeat(400_000)],
    ['too many letters', 'a\n'.repeat(600_000)]
  ])('of the worst kind is refused within a second: %s', (_, text) => {
    const draft = demoDraft()
    const before = process.cpuUsage()
    const preview = readPaste(text, 'ships', draft)
    expect(spentMs(before)).toBeLessThan(1_000)
    expect(preview.refused.length).toBeGreaterThan(0)
  })
})
