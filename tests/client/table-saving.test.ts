import { afterEach, describe, expect, it, vi } from 'vitest'
import { effectScope, nextTick, shallowRef, type EffectScope } from 'vue'
import { demoPlan } from '../../server/demo/plan.ts'
import { DraftDesk, type ToDraftDesk } from '../../client/plan/desk.ts'
import { cursorAt, rangeOf } from '../../client/plan/cursor.ts'
import type { FirstTry } from '../../client/plan/shelf.ts'
import { useConsequences } from '../../client/state/useConsequences.ts'
import { useEditor } from '../../client/state/useEditor.ts'
import { useSaving } from '../../client/state/useSaving.ts'
import { useTables } from '../../client/state/useTables.ts'
import { TABLES } from '../../client/words/tables.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { draftOf } from '../../shared/tables/draft.ts'
import { setCell } from '../../shared/tables/edit.ts'
import { planOf } from '../../shared/tables/judge.ts'

/* A draft and a service that answers when the test says so; the desk beside the page is the real one. */

const base = draftOf(demoPlan(Date.UTC(2031, 4, 17, 13)))
const [first, second, third] = base.tables.ships.map(({ id }) => id) as [string, string, string]

/** The worker in this very page; broken, it answers nothing and tells of an error. */
class Beside extends EventTarget {
  static isBroken = false
  private readonly desk = new DraftDesk()
  postMessage(message: ToDraftDesk) {
    queueMicrotask(() => {
      if (Beside.isBroken) this.dispatchEvent(new Event('error'))
      else {
        const data = this.desk.hear(message)
        if (data !== undefined) this.dispatchEvent(new MessageEvent('message', { data }))
      }
    })
  }
  terminate() {
    Beside.isBroken = false
  }
}

type Answer = (status: number, body: unknown) => void
const scopes: EffectScope[] = []
afterEach(() => {
  for (const scope of scopes.splice(0)) scope.stop()
  vi.unstubAllGlobals()
})

function open({ isNew = false, isBroken = false, firstTry = shallowRef<FirstTry>() } = {}) {
  const kept: (string | undefined)[] = []
  const asked: { method: string; body: { plan: Plan; revisionSeen?: number; requestId?: string }; answer: Answer }[] =
    []
  vi.stubGlobal('Worker', Beside)
  vi.stubGlobal('fetch', (_: string, { method = '', body = '{}' }: { method?: string; body?: string }) => {
    return new Promise((resolve) => {
      asked.push({
        method,
        body: JSON.parse(body) as (typeof asked)[number]['body'],
        answer: (status, said) => {
          resolve(new Response(JSON.stringify(said), { status }))
        }
      })
    })
  })
  Beside.isBroken = isBroken
  const scope = effectScope()
  scopes.push(scope)
  const made: string[] = []
  const parts = scope.run(() => {
    const tables = useTables(base)
    const consequences = useConsequences(tables.draft)
    const editor = useEditor({ tables, consequences })
    const beginning = { revision: isNew ? 0 : 1, base }
    const saving = useSaving({
      as: 'l-1',
      eventId: isNew ? undefined : 'basin',
      beginning,
      firstTry,
      keepTry: () => {
        kept.push(firstTry.value?.requestId)
        return Promise.resolve()
      },
      tables,
      consequences,
      saved: () => undefined,
      created: (event) => made.push(event.eventId)
    })
    return { tables, consequences, editor, saving }
  })
  if (parts === undefined) throw new Error('no scope')
  const put = (row: string, fuel: string) => {
    parts.tables.step(setCell(parts.tables.draft.value, 'ships', row, 'startFuel', fuel))
  }
  const fuels = () => parts.tables.draft.value.tables.ships.slice(0, 3).map(({ cells }) => cells['startFuel'])
  /** The next request, once it has been made. */
  const next = async () => {
    await vi.waitFor(() => {
      if (asked.length === 0) throw new Error('nothing asked')
    })
    const one = asked.shift()
    if (one === undefined) throw new Error('nothing asked')
    return one
  }
  return { ...parts, put, fuels, next, asked, made, kept, firstTry }
}

/** The plan with another start fuel of one ship, as somebody else saved it. */
function theirs(row: string, fuel: string): Plan {
  const made = planOf(setCell(base, 'ships', row, 'startFuel', fuel))
  if ('faults' in made) throw new Error('faulty')
  return made.plan
}
const STALE = { code: 'stale-revision', title: 'stale', status: 409 }
const read = (revision: number, plan: Plan) => ({
  eventId: 'basin',
  revision,
  savedAtMs: 1,
  publishedRevision: 1,
  plan
})

describe('saving a draft', () => {
  it('over a newer revision keeps what was typed while the answers were on their way', async () => {
    const { put, fuels, next, saving } = open()
    put(first, '9000 lb')
    const saved = saving.save()
    const refused = await next()
    put(third, '9200 lb')
    refused.answer(409, STALE)
    const newest = await next()
    newest.answer(200, read(2, theirs(second, '9100 lb')))
    const again = await next()
    expect(again.body.revisionSeen).toBe(2)
    again.answer(200, { eventId: 'basin', revision: 3 })
    await saved
    expect(fuels()).toEqual(['9000 lb', '9100 lb', '9200 lb'])
  })

  it('asks about a cell that somebody changed and that was typed meanwhile', async () => {
    const { put, fuels, next, saving } = open()
    put(first, '9000 lb')
    const saved = saving.save()
    const refused = await next()
    put(second, '9200 lb')
    refused.answer(409, STALE)
    const newest = await next()
    newest.answer(200, read(2, theirs(second, '9100 lb')))
    await saved
    expect(saving.clash.value?.merged.conflicts).toMatchObject([{ rowId: second, theirs: '9100 lb', mine: '9200 lb' }])
    put(third, '9300 lb')
    const chosen = saving.choose(['theirs'])
    const again = await next()
    again.answer(200, { eventId: 'basin', revision: 3 })
    await chosen
    expect(fuels()).toEqual(['9000 lb', '9100 lb', '9300 lb'])
  })
})

describe('making an event', () => {
  const MADE = { eventId: 'e-1', revision: 1, linkId: 'l-2', secret: 'abc', repeated: false }
  it('asks again under the same id where the answer was lost, and saves what was typed since', async () => {
    const { put, next, saving, made } = open({ isNew: true })
    put(first, '9000 lb')
    const lost = saving.save()
    const unheard = await next()
    unheard.answer(502, 'no JSON of ours')
    await lost
    expect(saving.refusal.value).toContain('did not answer')
    put(second, '9100 lb')
    const saved = saving.save()
    const repeat = await next()
    expect(repeat.body.requestId).toMatch(/^[0-9a-f]{32}$/)
    expect(repeat.body.requestId).toBe(unheard.body.requestId)
    repeat.answer(201, { ...MADE, repeated: true })
    const since = await next()
    expect([since.method, since.body.revisionSeen]).toEqual(['PUT', 1])
    expect(since.body.plan).toEqual(repeat.body.plan)
    since.answer(200, { eventId: 'e-1', revision: 2 })
    await saved
    expect(made).toEqual(['e-1'])
  })

  it('asks under the same id though the page was loaded anew, which was kept before anything was sent', async () => {
    const before = open({ isNew: true })
    before.put(first, '9000 lb')
    const lost = before.saving.save()
    const unheard = await before.next()
    expect(before.kept).toEqual([unheard.body.requestId])
    unheard.answer(502, 'no JSON of ours')
    await lost
    const { next, saving, made } = open({ isNew: true, firstTry: before.firstTry })
    const saved = saving.save()
    const repeat = await next()
    expect(repeat.body.requestId).toBe(unheard.body.requestId)
    repeat.answer(201, { ...MADE, repeated: true })
    // What the first page had sent is not what stands here.
    ;(await next()).answer(200, { eventId: 'e-1', revision: 2 })
    await saved
    expect(made).toEqual(['e-1'])
  })

  it('is done with one request where it is heard', async () => {
    const { next, saving, made, asked } = open({ isNew: true })
    const saved = saving.save()
    ;(await next()).answer(201, MADE)
    await saved
    expect([made, asked]).toEqual([['e-1'], []])
  })
})

describe('another opening', () => {
  it('says at once which times it puts on another day', () => {
    const { editor, tables } = open()
    const row = tables.draft.value.tables.event[0]?.id ?? ''
    const starts = tables.draft.value.tables.flights[0]?.cells['startsAtMs'] ?? ''
    expect(starts).toMatch(/^\d\d:\d\dZ$/)
    const later = String(Number(starts.slice(3, 5)) + 1).padStart(2, '0')
    editor.open.value = 'event'
    editor.set([{ rowId: row, column: 'opensAtMs', value: `2031-05-17 ${starts.slice(0, 3)}${later}Z` }])
    expect(editor.told.value).toMatch(
      /^With this opening \d+ times are on another day: .*; Flights Alder, Starts 2031-05-18 /
    )
    editor.set([{ rowId: row, column: 'rules.hookUpBoomMin', value: '1.25' }])
    expect(editor.told.value).toBe('')
  })
})

describe('where nothing works the draft out', () => {
  it('says so when it is saved or pasted into, and never waits for ever', async () => {
    const { saving, editor, consequences, put, asked } = open({ isBroken: true })
    put(first, '9000 lb')
    await saving.save()
    expect(consequences.failed.value).toBe(true)
    expect(saving.refusal.value).toBe(TABLES.noWorker)
    expect(saving.busy.value).toBe(false)
    editor.open.value = 'ships'
    await editor.paste('9000\n9100', rangeOf(cursorAt({ row: 0, column: 3 })))
    await nextTick()
    expect(editor.told.value).toBe(TABLES.noWorker)
    expect(asked).toEqual([])
  })

  it('answers what was asked before it broke', async () => {
    const { editor, saving } = open()
    editor.open.value = 'ships'
    Beside.isBroken = true
    await editor.paste('9000\n9100', rangeOf(cursorAt({ row: 0, column: 3 })))
    expect(editor.told.value).toBe(TABLES.noWorker)
    await saving.save()
    expect(saving.refusal.value).toBe(TABLES.noWorker)
  })
})

describe('a faulty cell', () => {
  it('is called by the name of its row, and by its number where that has none', async () => {
    const { put, tables, editor, consequences } = open()
    put(second, 'much')
    await consequences.settled()
    const [fault] = editor.faults.value
    const name = base.tables.ships[1]?.cells['callSign'] ?? ''
    expect(fault && editor.nameOf(fault)).toBe(`Ships, ${name}, Start fuel`)
    tables.step(setCell(base, 'bases', 'adze', 'name', ''))
    await consequences.settled()
    const nameless = editor.faults.value.find(({ table }) => table === 'bases')
    expect(nameless && editor.nameOf(nameless)).toMatch(/^Bases, row \d+, Base$/)
  })
})

describe('a heading that is not understood', () => {
  it('is given its column, and the paste is read again with it', async () => {
    const { editor } = open()
    editor.open.value = 'ships'
    await editor.paste('Ship\tJuice\nAlder 1\t9000 lb', rangeOf(cursorAt({ row: 0, column: 0 })))
    expect(editor.preview.value?.unknown).toEqual([{ index: 1, heading: 'Juice', column: undefined }])
    await editor.chooseColumn(1, 'startFuel')
    expect(editor.preview.value?.rows[0]?.cells).toMatchObject({ startFuel: '9000 lb' })
    await editor.takePaste()
    // Another paste begins without the choice.
    await editor.paste('Ship\tJuice\nAlder 1\t9100 lb', rangeOf(cursorAt({ row: 0, column: 0 })))
    expect(editor.preview.value?.unknown[0]?.column).toBeUndefined()
  })
})
