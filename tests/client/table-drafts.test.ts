import { afterEach, describe, expect, it } from 'vitest'
import { effectScope, ref, shallowRef, type EffectScope } from 'vue'
import { demoPlan } from '../../server/demo/plan.ts'
import { browserShelf, keptDrafts } from '../../client/plan/shelf.ts'
import { useDrafts } from '../../client/state/useDrafts.ts'
import { useKeptDraft } from '../../client/state/useKeptDraft.ts'
import { KEPT } from '../../client/words/tables.ts'
import { draftOf } from '../../shared/tables/draft.ts'
import { setCell } from '../../shared/tables/edit.ts'

/* Tabs of one browser: they share what the browser keeps, and each has its own page. */

const base = draftOf(demoPlan(Date.UTC(2031, 4, 17, 13)))
const ship = base.tables.ships[0]?.id ?? ''
const withFuel = (fuel: string) => setCell(base, 'ships', ship, 'startFuel', fuel)
const tabs: EffectScope[] = []

async function open() {
  const tab = effectScope()
  tabs.push(tab)
  const drafts = tab.run(() =>
    useDrafts({ as: 'l-1', eventId: 'basin', revision: 2, baseAt: () => Promise.resolve(base) })
  )
  if (drafts === undefined) throw new Error('no tab')
  await drafts.begin()
  const { opened } = drafts
  /** Keeps what is typed, as the tables do while they are open, until they are closed. */
  const type = async (fuel: string | undefined) => {
    const { shelf } = opened.value ?? {}
    if (shelf === undefined) throw new Error('nothing open')
    const draft = shallowRef(base)
    const typing = effectScope()
    const unsaved = ref(fuel !== undefined)
    typing.run(() => useKeptDraft({ shelf, draft, revision: ref(2), unsaved, firstTry: shallowRef() }))
    draft.value = fuel === undefined ? { ...base } : withFuel(fuel)
    await Promise.resolve()
    typing.stop()
    await shelf.read()
  }
  const close = () => {
    tab.stop()
  }
  return { ...drafts, type, close }
}

afterEach(() => {
  for (const tab of tabs.splice(0)) tab.stop()
  localStorage.clear()
  sessionStorage.clear()
})

describe('the drafts of two tabs', () => {
  it('stay apart: neither writes over the other, and a clean one drops nothing of it', async () => {
    const first = await open()
    const second = await open()
    await first.type('9000 lb')
    await second.type(undefined)
    await second.type('9100 lb')
    const kept = (await keptDrafts('l-1', 'basin')).map((one) => one.kept.draft)
    expect(kept).toHaveLength(2)
    expect(kept).toEqual(expect.arrayContaining([withFuel('9000 lb'), withFuel('9100 lb')]))
  })

  it('are offered to a third one, which takes one up and may give it back', async () => {
    const first = await open()
    await first.type('9000 lb')
    const third = await open()
    expect(third.opened.value?.beginning.kept).toBeUndefined()
    const [offer] = third.offered.value
    if (offer === undefined) throw new Error('nothing offered')
    expect(offer.changes).toBe(1)
    expect(KEPT.text(Date.UTC(2031, 4, 17, 9, 8), 2, 1)).toBe('Kept 2031-05-17 at 09:08Z, 1 change since revision 2')
    await third.type('9300 lb')
    await third.takeUp(offer)
    expect(third.opened.value?.beginning.kept).toEqual(withFuel('9000 lb'))
    expect(third.offered.value.map(({ kept }) => kept.draft)).toEqual([withFuel('9300 lb')])
    // The first tab is open still: what is typed there stays its own.
    await first.type('9400 lb')
    expect(await third.opened.value?.shelf.read()).toMatchObject({ draft: withFuel('9000 lb') })
  })

  it('are dropped only when somebody says so', async () => {
    const first = await open()
    await first.type('9000 lb')
    const second = await open()
    const [offer] = second.offered.value
    if (offer === undefined) throw new Error('nothing offered')
    await second.drop(offer)
    expect(second.offered.value).toEqual([])
    expect(await keptDrafts('l-1', 'basin')).toEqual([])
  })
})

describe('a tab that is loaded anew', () => {
  it('goes on with its own draft, and a copy of an open one begins its own', async () => {
    const first = await open()
    await first.type('9000 lb')
    const id = first.opened.value?.id
    const copy = await open()
    expect(copy.opened.value?.id).not.toBe(id)
    copy.close()
    sessionStorage.clear()
    first.close()
    const again = await open()
    expect(again.opened.value?.id).toBe(id)
    expect(again.opened.value?.beginning.kept).toEqual(withFuel('9000 lb'))
    expect(again.offered.value).toEqual([])
  })

  it('is offered what it had where it never managed to leave anything behind', async () => {
    await browserShelf('l-1', 'basin', 'gone').put({ v: 1, revision: 1, draft: withFuel('8800 lb'), keptAtMs: 5 })
    const after = await open()
    expect(after.offered.value).toMatchObject([{ id: 'gone', changes: 1, kept: { revision: 1 } }])
  })
})
