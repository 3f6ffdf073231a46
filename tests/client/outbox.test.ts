import { afterEach, describe, expect, it } from 'vitest'
import { ref } from 'vue'
import { Refusal } from '../../client/api.ts'
import { Kept, openOutbox, TakenBack } from '../../client/outbox.ts'
import { browserShelf, callsUnder, type KeptCall } from '../../client/outbox-shelf.ts'
import { observedAtMs } from '../../client/observed.ts'
import { useKept } from '../../client/state/useKept.ts'
import type { Outcome } from '../../client/state/useEntry.ts'
import type { RecordedAnswer } from '../../shared/contracts/answers.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { ProblemCode } from '../../shared/contracts/problem.ts'
import { REAL_CLOCK } from '../../shared/live/clock.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'

/* Constructed: a service that answers by id, a line that is cut before or after it has heard. */

const AS = 'l-1'
const EVENT = 'e-1'
const call = (pounds: number): Unsent =>
  ({ kind: 'callFuel', shipId: 'a1', fuel: { value: pounds, unit: 'lb' }, covers: 'total' }) as Unsent
const figureOf = (request: Unsent) => (request.kind === 'callFuel' ? request.fuel.value : 0)
const none = new Refusal(undefined)
const refused = (code: ProblemCode) => new Refusal({ code, title: code })

type Line = 'good' | 'cut before' | 'cut after' | ProblemCode

function stage(store: Storage = localStorage) {
  const here = {
    line: 'good' as Line,
    lost: false,
    nowMs: 1_000,
    skewMs: 0 as number | undefined,
    eventMs: (realMs: number) => realMs,
    /** What the service recorded, by id. */
    recorded: new Map<string, Unsent>(),
    sent: [] as string[],
    kept: [] as readonly KeptCall[]
  }
  const send = async (request: Unsent, requestId: string): Promise<RecordedAnswer> => {
    await Promise.resolve()
    here.sent.push(requestId)
    if (here.line === 'cut before') throw none
    const repeated = here.recorded.has(requestId)
    if (here.line !== 'good' && here.line !== 'cut after') throw refused(here.line)
    if (!repeated) here.recorded.set(requestId, request)
    else if (JSON.stringify(request) !== JSON.stringify(here.recorded.get(requestId)))
      throw refused('request-id-reused')
    if (here.line === 'cut after') throw none
    return { from: here.recorded.size, to: here.recorded.size, facts: [], repeated }
  }
  const open = () =>
    openOutbox({
      shelf: browserShelf(AS, EVENT, store),
      send,
      nowMs: () => here.nowMs,
      skewMs: () => here.skewMs,
      eventMs: ({ atMs, skewMs = 0 }) => here.eventMs(atMs + skewMs),
      isRecorded: (requestId) => here.recorded.has(requestId),
      lost: () => here.lost,
      inWords: (problem) => Promise.resolve(problem instanceof Refusal ? `no: ${problem.code ?? ''}` : 'no'),
      onChange: (kept) => {
        here.kept = kept
      }
    })
  return { here, open }
}
const figures = (recorded: ReadonlyMap<string, Unsent>) => [...recorded.values()].map(figureOf)
const pounds = (calls: readonly KeptCall[]) => calls.map(({ request }) => figureOf(request))
/** What is on the shelf, whoever put it there. */
const shelved = () => pounds(browserShelf(AS, EVENT).read())

afterEach(() => {
  localStorage.clear()
})

describe('calls on their way', () => {
  it('are answered at once on a good line, with the time they were made at, and leave nothing behind', async () => {
    const { here, open } = stage()
    const outbox = open()
    expect(await outbox.record(call(6_400), 'a1 6,400 lb')).toMatchObject({ to: 1, repeated: false })
    expect([...here.recorded.values()]).toEqual([{ ...call(6_400), atMs: 1_000 }])
    expect(here.kept).toEqual([])
    expect(shelved()).toEqual([])
  })

  it('are kept while the line is down and go out in order, once, with the time they were made at', async () => {
    const { here, open } = stage()
    const outbox = open()
    here.lost = true
    await expect(outbox.record(call(6_400), '')).rejects.toThrow(Kept)
    here.nowMs = 61_000
    await expect(outbox.record(call(6_200), '')).rejects.toThrow(Kept)
    expect(here.sent).toEqual([])
    expect(pounds(here.kept)).toEqual([6_400, 6_200])

    here.lost = false
    here.nowMs = 300_000
    await outbox.flush()
    expect([...here.recorded.values()]).toMatchObject([
      { fuel: { value: 6_400 }, atMs: 1_000 },
      { fuel: { value: 6_200 }, atMs: 61_000 }
    ])
    expect(here.kept).toEqual([])
  })

  it('are on the shelf before they are sent, so that a page closed on the way loses nothing', async () => {
    const { here, open } = stage()
    here.line = 'cut before'
    const made = open().record(call(6_400), 'a1 6,400 lb')
    expect(shelved()).toEqual([6_400])
    await expect(made).rejects.toThrow(Kept)

    here.line = 'good'
    const again = open()
    expect(pounds(here.kept)).toEqual([6_400])
    await again.flush()
    expect(figures(here.recorded)).toEqual([6_400])
    expect(shelved()).toEqual([])
  })

  it('whose answer was lost are repeated with the same id and body: recorded once', async () => {
    const { here, open } = stage()
    const outbox = open()
    here.line = 'cut after'
    await expect(outbox.record(call(6_400), '')).rejects.toThrow(Kept)
    here.nowMs = 90_000
    here.line = 'good'
    await Promise.all([outbox.flush(), outbox.flush()])
    expect(figures(here.recorded)).toEqual([6_400])
    expect(new Set(here.sent).size).toBe(1)
    expect(here.sent).toHaveLength(2)
  })

  it('never overtake one that waits', async () => {
    const { here, open } = stage()
    const outbox = open()
    for (const code of ['store-full', 'store-broken', 'too-many-requests', 'no-membership'] as const) {
      here.line = code
      await expect(outbox.record(call(1_000), '')).rejects.toThrow(Kept)
      here.line = 'good'
      await outbox.flush()
    }
    here.recorded.clear()
    here.line = 'store-full'
    await expect(outbox.record(call(1_000), '')).rejects.toThrow(Kept)
    here.line = 'good'
    await outbox.record(call(2_000), '')
    expect(figures(here.recorded)).toEqual([1_000, 2_000])
  })

  it('made while one is under way wait for it, and each hears its own answer', async () => {
    const { here, open } = stage()
    const outbox = open()
    const answers = await Promise.all([1_000, 2_000, 3_000].map((figure) => outbox.record(call(figure), '')))
    expect(answers.map(({ to }) => to)).toEqual([1, 2, 3])
    expect(figures(here.recorded)).toEqual([1_000, 2_000, 3_000])
  })

  it('refused at once are told to who made them; refused later they stay, with the reason, and hold nobody up', async () => {
    const { here, open } = stage()
    const outbox = open()
    here.line = 'fuel-above-capacity'
    await expect(outbox.record(call(99_000), '')).rejects.toMatchObject({ code: 'fuel-above-capacity' })
    expect(here.kept).toEqual([])

    here.lost = true
    await expect(outbox.record(call(98_000), 'a1 98,000 lb')).rejects.toThrow(Kept)
    here.lost = false
    await outbox.flush()
    expect(here.kept).toMatchObject([{ sentence: 'a1 98,000 lb', refusal: 'no: fuel-above-capacity' }])
    here.line = 'good'
    await outbox.record(call(5_000), '')
    expect(figures(here.recorded)).toEqual([5_000])

    // Over a reload too, until somebody takes it away.
    open()
    expect(pounds(here.kept)).toEqual([98_000])
  })

  it('can be taken away when refused or surely never sent, and never when the service may have them', async () => {
    const { here, open } = stage()
    const outbox = open()
    here.line = 'cut after'
    await expect(outbox.record(call(1_000), '')).rejects.toThrow(Kept)
    const [tried] = here.kept
    expect(outbox.drop(tried?.requestId ?? '')).toBe(false)
    here.lost = true
    await expect(outbox.record(call(2_000), '')).rejects.toThrow(Kept)
    expect(outbox.drop(here.kept[1]?.requestId ?? '')).toBe(true)
    expect(shelved()).toEqual([1_000])
    expect(outbox.drop('nobody')).toBe(false)
  })

  it('taken back are so for who made them, and are not told of again', async () => {
    const { here, open } = stage()
    const outbox = open()
    here.line = 'cut before'
    const first = outbox.record(call(1_000), '')
    const second = outbox.record(call(2_000), '')
    expect(outbox.drop(here.kept[1]?.requestId ?? '')).toBe(true)
    await expect(second).rejects.toThrow(TakenBack)
    await expect(first).rejects.toThrow(Kept)
    here.line = 'good'
    await outbox.flush()
    expect(figures(here.recorded)).toEqual([1_000])
  })

  it('made just as the last one is answered go out too', async () => {
    const { here, open } = stage()
    const outbox = open()
    await outbox.record(call(1_000), '').then(() => outbox.record(call(2_000), ''))
    expect(figures(here.recorded)).toEqual([1_000, 2_000])
  })

  it('tell who was let go what became of them: recorded, refused, or taken back', async () => {
    const { here, open } = stage()
    const outbox = open()
    here.lost = true
    const ends: string[] = []
    const outcome = ref<Outcome>()
    for (const figure of [1_000, 2_000, 3_000]) {
      const problem: unknown = await outbox.record(call(figure), '').catch((why: unknown) => why)
      if (problem instanceof Kept) void problem.end.then((end) => ends.push(`${String(figure)} ${end}`))
      outcome.value = useKept(outcome)(problem, 'a1') as Outcome
    }
    // Dropped, the last one is told as neither kept nor recorded.
    expect(outbox.drop(here.kept[2]?.requestId ?? '')).toBe(true)
    await Promise.resolve()
    await Promise.resolve()
    expect(outcome.value).toBeUndefined()
    here.lost = false
    const flushed = outbox.flush()
    while (here.recorded.size < 1) await Promise.resolve()
    here.line = 'fuel-above-capacity'
    await flushed
    expect(ends).toEqual(['3000 taken back', '1000 recorded', '2000 refused'])
  })

  it('are told as recorded once they are', async () => {
    const { here, open } = stage()
    const outbox = open()
    here.lost = true
    const outcome = ref<Outcome>()
    const problem: unknown = await outbox.record(call(1_000), '').catch((why: unknown) => why)
    outcome.value = useKept(outcome)(problem, 'a1') as Outcome
    expect(outcome.value).toMatchObject({ recorded: false })
    here.lost = false
    await outbox.flush()
    await Promise.resolve()
    expect(outcome.value).toEqual({ recorded: true, sentence: 'a1' })
  })

  it('made before the clock was set go out with event time as it was then, over a reload too', async () => {
    const { here, open } = stage()
    here.lost = true
    await expect(open().record(call(1_000), '')).rejects.toThrow(Kept)
    const again = open()
    await expect(again.record({ ...call(2_000), atMs: 7 }, '')).rejects.toThrow(Kept)
    // The page has learnt meanwhile that the clock stood at 500 when the first was made; the other said its time.
    here.eventMs = () => 500
    here.lost = false
    await again.flush()
    expect([...here.recorded.values()].map(({ atMs }) => atMs)).toEqual([500, 7])
  })

  it('refused as ahead of event time go out once more with the time that is known by then', async () => {
    const { here, open } = stage()
    const outbox = open()
    here.line = 'cut before'
    await expect(outbox.record(call(1_000), '')).rejects.toThrow(Kept)
    here.line = 'time-ahead'
    const flushed = outbox.flush()
    here.eventMs = () => 500
    while (here.sent.length < 2) await Promise.resolve()
    here.line = 'good'
    await flushed
    if (here.kept.length > 0) await outbox.flush()
    expect([...here.recorded.values()].map(({ atMs }) => atMs)).toEqual([500])
    expect(here.kept).toEqual([])
  })

  it('put aside when refused stay with their reason', () => {
    const { here, open } = stage()
    const outbox = open()
    outbox.setAside(call(1_000), 'a1 1,000 lb', 'no')
    expect(here.kept).toMatchObject([{ sentence: 'a1 1,000 lb', refusal: 'no' }])
    expect(outbox.drop(here.kept[0]?.requestId ?? '')).toBe(true)
  })

  it('under way when the line is found dead are let go at once, and taken off when they come through after all', async () => {
    const { here, open } = stage()
    const outbox = open()
    const made = outbox.record(call(1_000), '')
    await Promise.resolve()
    here.lost = true
    outbox.letGo()
    await expect(made).rejects.toThrow(Kept)
    await outbox.flush()
    expect(figures(here.recorded)).toEqual([1_000])
    expect(here.kept).toEqual([])
  })

  it('that are no observation are not kept: an order is asked now or not at all', async () => {
    const { here, open } = stage()
    here.line = 'cut before'
    const outbox = open()
    await expect(outbox.record({ kind: 'withdrawFact', withdrawnSeq: 4 }, '')).rejects.toBe(none)
    expect(here.kept).toEqual([])
  })
})

describe('two pages of one link', () => {
  /** Three calls made in the first page without a line, then the second is opened. */
  async function two() {
    const { here, open } = stage()
    here.lost = true
    const one = open()
    const ends: string[] = []
    for (const figure of [1_000, 2_000, 3_000]) {
      const problem: unknown = await one.record(call(figure), `a1 ${String(figure)}`).catch((why: unknown) => why)
      if (problem instanceof Kept) void problem.end.then((end) => ends.push(`${String(figure)} ${end}`))
    }
    return { here, one, other: open(), ends }
  }

  it('send what one of them kept once, with one body, and neither tells it as refused', async () => {
    const { here, one, other, ends } = await two()
    here.lost = false
    // Each would time a call by its own measure of the clock.
    let turn = 0
    here.eventMs = (realMs) => realMs + (turn += 1)
    await Promise.all([one.flush(), other.flush()])
    for (let beat = 0; beat < 4; beat++) await Promise.all([one.flush(), other.flush()])
    expect(figures(here.recorded)).toEqual([1_000, 2_000, 3_000])
    expect(here.kept).toEqual([])
    expect(shelved()).toEqual([])
    expect(ends).toEqual(['1000 recorded', '2000 recorded', '3000 recorded'])
  })

  it('do not send what one of them took back, whichever comes to it first', async () => {
    const { here, one, other, ends } = await two()
    const [, second] = here.kept
    expect(one.drop(second?.requestId ?? '')).toBe(true)
    here.lost = false
    await other.flush()
    expect(figures(here.recorded)).toEqual([1_000, 3_000])
    for (let beat = 0; beat < 4; beat++) await one.flush()
    expect(ends).toEqual(['2000 taken back', '1000 recorded', '3000 recorded'])
  })

  it('tell the one that kept a call which the other took back, and keep what the other has sent meanwhile', async () => {
    const { here, one, other, ends } = await two()
    const [first, second] = here.kept
    expect(other.drop(second?.requestId ?? '')).toBe(true)
    one.look()
    expect(pounds(here.kept)).toEqual([1_000, 3_000])
    here.lost = false
    here.line = 'cut after'
    await other.flush()
    // The service has it: it is not taken back in the page that knows of no try.
    expect(one.drop(first?.requestId ?? '')).toBe(false)
    here.line = 'good'
    for (let beat = 0; beat < 5; beat++) await one.flush()
    expect(figures(here.recorded)).toEqual([1_000, 3_000])
    expect(ends.toSorted()).toEqual(['1000 recorded', '2000 taken back', '3000 recorded'])
  })

  it('tell a call as recorded that both sent in one instant with another time', async () => {
    const { here, one } = await two()
    here.lost = false
    const [first] = here.kept
    here.recorded.set(first?.requestId ?? '', { ...call(1_000), atMs: 999 })
    await one.flush()
    expect(here.kept).toEqual([])
    expect(here.recorded.size).toBe(3)
  })
})

describe('the clock of the device', () => {
  it('holds back what did not say its time until it is known, and nothing that did', async () => {
    const { here, open } = stage()
    here.skewMs = undefined
    const outbox = open()
    await outbox.record({ ...call(900), atMs: 7 }, '')
    await expect(outbox.record(call(1_000), '')).rejects.toThrow(Kept)
    expect(figures(here.recorded)).toEqual([900])
    here.skewMs = 600_000
    await outbox.flush()
    expect([...here.recorded.values()].map(({ atMs }) => atMs)).toEqual([7, 601_000])
  })

  it('counts as it was when a call was made, though it was set since: over a reload too', async () => {
    for (const skewMs of [900_000, -600_000]) {
      const { here, open } = stage()
      here.lost = true
      here.skewMs = skewMs
      await expect(open().record(call(1_000), '')).rejects.toThrow(Kept)
      here.lost = false
      here.skewMs = 0
      here.nowMs += skewMs + 5_000
      await open().flush()
      expect([...here.recorded.values()].map(({ atMs }) => atMs)).toEqual([1_000 + skewMs])
    }
  })

  it('set back does not put a later call before an earlier one', () => {
    const shelf = browserShelf(AS, EVENT)
    const kept = (requestId: string): KeptCall => ({
      ...{ requestId, request: { ...call(1), atMs: 1 }, sentence: '', tried: false }
    })
    localStorage.setItem(
      `ullage call ${AS} ${EVENT} ${String(Date.now() + 900_000).padStart(15, '0')} a`,
      JSON.stringify(kept('a'))
    )
    shelf.put(kept('b'))
    shelf.put(kept('c'))
    expect(
      browserShelf(AS, EVENT)
        .read()
        .map(({ requestId }) => requestId)
    ).toEqual(['a', 'b', 'c'])
  })
})

describe('that a slot was read', () => {
  it('is kept like a call while the line is down', async () => {
    const { here, open } = stage()
    const outbox = open()
    here.lost = true
    const read = { kind: 'seeSlot', shipId: 'a1', revision: 1, seenSeq: 3 } as Unsent
    await expect(outbox.record(read, 'Read revision 1')).rejects.toThrow(Kept)
    expect(here.kept).toMatchObject([{ sentence: 'Read revision 1', request: { kind: 'seeSlot', atMs: 1_000 } }])
    here.lost = false
    await outbox.flush()
    expect([...here.recorded.values()]).toEqual([{ ...read, atMs: 1_000 }])
  })
})

describe('when a call was made', () => {
  const set = (seq: number, realAtMs: number, eventAtMs: number, rateFactor: number) =>
    ({ kind: 'clockSet', seq, realAtMs, eventAtMs, rateFactor }) as Fact
  const clockOf = (fact: Fact) => (fact.kind === 'clockSet' ? fact : REAL_CLOCK)

  it('is event time by the clock in force then: before it was set, while it stood, and after', () => {
    const [stood, ran] = [set(1, 10_000, 500_000, 0), set(2, 20_000, 500_000, 2)]
    const at = (realMs: number) => observedAtMs([stood, ran], clockOf(ran), realMs, 30_000)
    expect([9_000, 15_000, 21_000].map(at)).toEqual([9_000, 500_000, 502_000])
  })

  it('is never ahead of event time now: of a clock set back it counts from the new one', () => {
    const back = set(1, 10_000, 2_000, 1)
    expect(observedAtMs([back], clockOf(back), 9_000, 11_000)).toBe(1_000)
  })

  it('is by the clock this device knew while no log is there', () => {
    expect(observedAtMs([], clockOf(set(1, 10_000, 500_000, 2)), 11_000, 30_000)).toBe(502_000)
  })
})

describe('the shelf', () => {
  it('keeps apart what belongs to another link or event', () => {
    const kept = { requestId: 'r', request: { ...call(1), atMs: 1 }, sentence: '', tried: false }
    browserShelf('l-2', EVENT).put(kept)
    browserShelf(AS, 'e-2').put(kept)
    expect(shelved()).toEqual([])
    expect(browserShelf('l-2', EVENT).read()).toEqual([kept])
    expect(callsUnder('l-2')).toEqual([kept])
    expect(callsUnder('l-')).toEqual([])
  })

  it('skips what it cannot read, and lasts as long as the page where the browser keeps nothing', async () => {
    localStorage.setItem(`ullage call ${AS} ${EVENT} 000 1 x`, '{"half":')
    localStorage.setItem(`ullage call ${AS} ${EVENT} 000 2 y`, 'null')
    expect(shelved()).toEqual([])

    const full = {
      length: 0,
      key: () => null,
      getItem: () => null,
      removeItem: () => undefined,
      clear: () => undefined
    }
    const { here, open } = stage({
      ...full,
      setItem: () => {
        throw new DOMException('full', 'QuotaExceededError')
      }
    })
    const outbox = open()
    here.lost = true
    await expect(outbox.record(call(7_000), '')).rejects.toThrow(Kept)
    here.lost = false
    await outbox.flush()
    expect(figures(here.recorded)).toEqual([7_000])
  })
})
