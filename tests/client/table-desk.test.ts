import { afterEach, describe, expect, it } from 'vitest'
import { demoPlan } from '../../server/demo/plan.ts'
import { pictureOf } from '../../client/picture.ts'
import { rangeOf, START } from '../../client/plan/cursor.ts'
import { DraftDesk, type FromDraftDesk } from '../../client/plan/desk.ts'
import { browserShelf, keptDrafts, type KeptDraft } from '../../client/plan/shelf.ts'
import { draftState, differenceText, faultText, pastedColumn, shiftText } from '../../client/words/tables.ts'
import { computeOrder } from '../../shared/plan/order.ts'
import { copyOut } from '../../shared/tables/copy.ts'
import { differences } from '../../shared/tables/differences.ts'
import { blankDraft, draftOf } from '../../shared/tables/draft.ts'
import { setCell } from '../../shared/tables/edit.ts'
import { TABLE_NAMES } from '../../shared/tables/table.ts'

const plan = demoPlan(Date.UTC(2031, 4, 17, 13))
const draft = draftOf(plan)
const ship = draft.tables.ships[0]?.id ?? ''

function planned(answer: FromDraftDesk | undefined) {
  if (answer === undefined || !('plan' in answer)) throw new Error(JSON.stringify(answer))
  return answer
}

describe('the desk beside the page', () => {
  it('makes of a draft the plan it came from, and the very view the service gives of it', () => {
    const desk = new DraftDesk()
    expect(desk.hear({ tables: draft.tables })).toBeUndefined()
    const answer = planned(desk.hear({ judge: 1 }))
    expect(answer.plan).toEqual(plan)
    expect(pictureOf(undefined, answer.news)).toEqual(computeOrder({ plan }))
  })

  it('takes only the tables that changed, and sends only what is new of the picture', () => {
    const desk = new DraftDesk()
    desk.hear({ tables: draft.tables })
    const first = pictureOf(undefined, planned(desk.hear({ judge: 1 })).news)
    const edited = setCell(draft, 'ships', ship, 'startFuel', '9000')
    desk.hear({ tables: { ships: edited.tables.ships } })
    const second = planned(desk.hear({ judge: 2 }))
    expect(second.news.slots.some((slot) => typeof slot === 'number')).toBe(true)
    expect(pictureOf(first, second.news)).toEqual(computeOrder({ plan: second.plan }))
  })

  it('names the faulty cells of a draft, and works out the next one as ever', () => {
    const desk = new DraftDesk()
    desk.hear({ tables: setCell(draft, 'ships', ship, 'startFuel', '99000').tables })
    const answer = desk.hear({ judge: 1 })
    if (answer === undefined || !('faults' in answer)) throw new Error('no fault')
    expect(answer.faults.map(({ table, rowId, column }) => [table, rowId, column])).toEqual([
      ['ships', ship, 'startFuel']
    ])
    desk.hear({ tables: draft.tables })
    expect(planned(desk.hear({ judge: 2 })).plan).toEqual(plan)
  })

  it('builds a plan from pastes alone', () => {
    const desk = new DraftDesk()
    desk.hear({ tables: blankDraft().tables })
    for (const [ask, table] of TABLE_NAMES.entries()) {
      if (draft.tables[table].length === 0) continue
      const read = desk.hear({
        ask,
        read: { table, text: copyOut(draft, table), replace: false, range: rangeOf(START), chosen: {} }
      })
      if (read === undefined || !('preview' in read)) throw new Error(`no preview of ${table}`)
      const { preview } = read
      expect(preview.refused, table).toEqual([])
      const taken = desk.hear({ ask, apply: preview })
      if (taken === undefined || !('tables' in taken)) throw new Error(`nothing taken of ${table}`)
      desk.hear({ tables: taken.tables })
    }
    const made = computeOrder({ plan: planned(desk.hear({ judge: 1 })).plan })
    const wanted = computeOrder({ plan })
    if ('faults' in made || 'faults' in wanted) throw new Error('a plan with faults')
    expect(made.slots.map(({ contactAtMs, onLoadKg }) => [contactAtMs, onLoadKg])).toEqual(
      wanted.slots.map(({ contactAtMs, onLoadKg }) => [contactAtMs, onLoadKg])
    )
  })
})

describe('the shelf of a draft', () => {
  afterEach(() => {
    localStorage.clear()
  })
  const kept = (keptAtMs: number): KeptDraft => ({ v: 1, revision: 3, draft, keptAtMs })

  it('gives back what was put, for its own link and event alone, until it is dropped', async () => {
    const shelf = browserShelf('link-1', 'basin', 'a')
    expect(await shelf.read()).toBeUndefined()
    expect(await shelf.put(kept(1))).toBe(true)
    expect(shelf.putAtOnce(kept(2))).toBe(true)
    expect(await browserShelf('link-1', 'basin', 'a').read()).toEqual(kept(2))
    expect(await browserShelf('link-2', 'basin', 'a').read()).toBeUndefined()
    expect(await browserShelf('link-1', 'bay', 'a').read()).toBeUndefined()
    await shelf.drop()
    expect(await shelf.read()).toBeUndefined()
  })

  it.each(['', 'no JSON', 'null', '{}', '{"v":2,"revision":1,"keptAtMs":1,"draft":{"tables":{}}}'])(
    'takes %j for nothing kept',
    async (text) => {
      localStorage.setItem('ullage draft link-1 basin a', text)
      expect(await browserShelf('link-1', 'basin', 'a').read()).toBeUndefined()
      expect(await keptDrafts('link-1', 'basin')).toEqual([])
    }
  )

  it('leaves out what is no row, and has every table, where another version of the page wrote it', async () => {
    const [first] = draft.tables.ships
    const ships = [first, first, { id: 'x' }, { id: 'y', cells: { callSign: 3 } }, null]
    const tables = { ...draft.tables, order: undefined, ships, bases: 'none', unheardOf: [] }
    localStorage.setItem('ullage draft link-1 basin a', JSON.stringify({ ...kept(1), draft: { tables } }))
    const read = (await browserShelf('link-1', 'basin', 'a').read())?.draft
    expect(read).toEqual({ tables: { ...draft.tables, order: [], ships: [first], bases: [] } })
  })

  it('keeps the drafts of two tabs apart, and lists them with the newest first', async () => {
    await browserShelf('link-1', 'new', 'a').put(kept(1))
    await browserShelf('link-1', 'new', 'b').put(kept(2))
    await browserShelf('link-1', 'new-basin', 'c').put(kept(3))
    expect((await keptDrafts('link-1', 'new')).map(({ id }) => id)).toEqual(['b', 'a'])
    await browserShelf('link-1', 'new', 'b').drop()
    expect(await keptDrafts('link-1', 'new')).toEqual([{ id: 'a', kept: kept(1) }])
  })
})

describe('the words of the tables', () => {
  it('say how a draft stands', () => {
    expect(draftState({ revision: 3, changes: 0, keptAtMs: undefined })).toBe('Revision 3, as saved.')
    expect(draftState({ revision: 3, changes: 2, keptAtMs: Date.UTC(2031, 0, 1, 9, 8, 7) })).toBe(
      'Draft, not saved. 2 changes since revision 3. Kept in this browser at 09:08:07Z.'
    )
    expect(draftState({ revision: 0, changes: 1, keptAtMs: undefined })).toBe('Draft, not saved. Nothing is saved yet.')
  })

  it('say what changed, what is wrong and what a shift comes to', () => {
    const [found] = differences(draft, setCell(draft, 'ships', ship, 'startFuel', '9000'))
    if (found === undefined) throw new Error('no difference')
    expect(differenceText(found)).toBe('Ships, Alder 1: Start fuel 9000 lb, was 10200 lb')
    expect(
      faultText({
        table: 'ships',
        rowId: ship,
        rowNumber: 1,
        column: 'startFuel',
        value: 'much',
        limit: 'a figure',
        message: 'no figure',
        mend: 'Write 10,200 lb',
        lacking: false
      })
    ).toBe('“much”: no figure. Write 10,200 lb.')
    expect(shiftText(-90 * 60_000, Date.UTC(2031, 4, 17, 11, 30))).toBe(
      'Everything 1 h 30 min earlier: the event opens 2031-05-17 11:30Z.'
    )
    const column = { index: 0, column: 'startFuel', unit: 'lb' }
    expect(pastedColumn('ships', { ...column, heading: 'Start fuel (lb)' })).toBe('Start fuel in lb')
    expect(pastedColumn('ships', { ...column, heading: 'Fuel (lb)' })).toBe('Fuel (lb) as Start fuel in lb')
    expect(pastedColumn('ships', { ...column, heading: undefined })).toBe('Start fuel in lb')
  })
})
