import { once } from 'node:events'
import { describe, expect, it, onTestFinished } from 'vitest'
import type { Parts } from '../../server/app.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import type { EventId } from '../../shared/contracts/ids.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { searchAnswer, type SearchView } from '../../shared/contracts/search.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'
import { compareJudgements } from '../../shared/order/judgement.ts'
import { OPENS_AT_MS, smallPlan } from './plan.ts'
import { freshId, fuelCall, service, type MadeLink, type Service } from './service.ts'

/** More orders than are judged while a test lasts. */
const ENDLESS = { kind: 'anew', judgements: 1_000_000 }

interface Scene extends Service {
  eventId: EventId
  commander: MadeLink
  plan: Plan
  ask: (kind: string, body: object) => Promise<number>
  search: (name: 'startSearch' | 'readSearch' | 'stopSearch', body?: object) => Promise<SearchView>
  /** Every frame of the search that a board has had, and the first that fits, come or to come. */
  board: () => Promise<{ frames: FrameOut[]; views: SearchView[]; until: (fits: Fits) => Promise<SearchView> }>
}
type Fits = (view: SearchView) => boolean

/** An event under way, in which its first tanker has lost its first station: there is something to be found. */
async function scene(plan: Plan, extra: Partial<Parts> = {}, within?: Service): Promise<Scene> {
  const made = within ?? (await service(extra))
  const { call, owner, app, store, link } = made
  const created = await call('createPlan', { as: owner, body: { plan } })
  const eventId = created.body['eventId'] as EventId
  const commander = await link(eventId, 'commander')
  const as = { as: commander, parameters: { eventId } }
  await call('publishPlan', { ...as, body: { requestId: freshId(), revision: (await store.event(eventId))?.revision } })
  const ask: Scene['ask'] = async (kind, body) => {
    const { status, body: answer } = await call('record', { ...as, body: { requestId: freshId(), kind, ...body } })
    expect(status, JSON.stringify(answer)).toBe(200)
    return Number(answer['to'])
  }
  await ask('openEvent', {})
  const [tanker] = plan.tankers
  const station = plan.tankerTypes.find(({ id }) => id === tanker?.tankerTypeId)?.stations[0]
  await ask('setStation', { tankerId: tanker?.id, stationId: station?.id, status: 'failed' })
  const search: Scene['search'] = async (name, body) => {
    const { status, body: answer } = await call(name, { ...as, ...(body === undefined ? {} : { body }) })
    expect(status, JSON.stringify(answer)).toBe(name === 'startSearch' ? 202 : 200)
    return answer as unknown as SearchView
  }
  const board: Scene['board'] = async () => {
    const frames: FrameOut[] = []
    const views: SearchView[] = []
    let heard: () => void = () => undefined
    const socket = await app.injectWS(
      pathOf('stream', { eventId }),
      { headers: { authorization: `Bearer ${commander.secret}` } },
      {
        onInit: (opening) => {
          opening.on('message', (message: Buffer) => {
            const frame = JSON.parse(message.toString()) as FrameOut
            frames.push(frame)
            if (frame.kind !== 'search') return
            views.push(frame.search)
            heard()
          })
        }
      }
    )
    onTestFinished(() => {
      socket.terminate()
    })
    const until = async (fits: Fits): Promise<SearchView> => {
      for (;;) {
        const found = views.find(fits)
        if (found) return found
        await new Promise<void>((resolve) => (heard = resolve))
      }
    }
    return { frames, views, until }
  }
  return { ...made, eventId, commander, plan, ask, search, board }
}

const large = (extra?: Partial<Parts>, within?: Service) => scene(demoPlan(OPENS_AT_MS), extra, within)
const stub = (name: string, limitMs = 120_000): Partial<Parts> => ({
  search: { entry: new URL(`./threads/${name}.mjs`, import.meta.url), limitMs }
})
/** A better order is known. */
const found: Fits = ({ proposal }) => proposal !== null
const isOver: Fits = ({ status }) => !['queued', 'running'].includes(status)

describe('a search', { timeout: 60_000 }, () => {
  it('finds an order that is better and taken, shown to every board as it goes', async () => {
    const { search, board, eventId, commander, call, clock, rooms } = await large()
    const { until, views } = await board()
    const asked = await search('startSearch', { kind: 'anew' })
    expect(asked).toMatchObject({
      by: commander.linkId,
      kind: 'anew',
      startedAtMs: clock.nowMs(),
      basedOnSeq: 3,
      proposal: null,
      proof: null
    })
    const done = await until(isOver)
    expect(views.every(({ searchId }) => searchId === asked.searchId)).toBe(true)
    expect(done).toMatchObject({ status: 'done', judgedAtSeq: 3 })
    expect(searchAnswer.parse(done)).toEqual(done)
    expect(await search('readSearch')).toEqual(done)
    const { orders, judgement, before, changes } = done.proposal ?? expect.fail('nothing was found')
    expect(compareJudgements(judgement, before)).toBeLessThan(0)
    expect(changes.length).toBeGreaterThan(0)
    const set = { requestId: freshId(), kind: 'setOrder', orders, basedOnSeq: done.judgedAtSeq }
    const taken = await call('record', { as: commander, parameters: { eventId }, body: set })
    expect(taken.status, JSON.stringify(taken.body)).toBe(200)
    const state = await call('readState', {
      as: commander,
      parameters: { eventId },
      query: `?atMs=${String(done.proposal?.atMs)}`
    })
    const { moved, ...levels } = judgement
    expect(state.body['judgement']).toMatchObject(levels)
    expect(moved).toBeGreaterThan(0)
    expect((await rooms.of(eventId)).seq).toBe(3 + orders.length)
  })

  it('proves a small order the best', async () => {
    const { search, board } = await scene(smallPlan())
    const { until } = await board()
    await search('startSearch', { kind: 'proof' })
    const { proposal, proof } = await until(isOver)
    expect(proof).toMatchObject({ seq: 3, judgement: proposal?.judgement, bound: { proved: true } })
    expect(proposal?.bound).toEqual(proof?.bound)
  })

  it('is stopped, and what it found stays', async () => {
    const { search, board } = await large()
    const { until } = await board()
    await search('startSearch', ENDLESS)
    const better = await until(found)
    expect(better.status).toBe('running')
    const stopped = await search('stopSearch')
    expect(stopped).toMatchObject({ searchId: better.searchId, status: 'stopped', proposal: { stopped: true } })
    expect(stopped.proposal?.orders.length).toBeGreaterThan(0)
    expect(await search('readSearch')).toEqual(stopped)
    expect(await search('stopSearch')).toEqual(stopped)
    expect(await until(isOver)).toEqual(stopped)
  })

  it('is ended by the next one of its event', async () => {
    const { search, board } = await large()
    const { until, views } = await board()
    const first = await search('startSearch', ENDLESS)
    await until(found)
    const second = await search('startSearch', { kind: 'repair' })
    expect(second).toMatchObject({ status: 'queued', proposal: null })
    expect(second.searchId).not.toBe(first.searchId)
    const done = await until(isOver)
    expect(done).toMatchObject({ searchId: second.searchId, status: 'done' })
    const turn = views.findIndex(({ searchId }) => searchId === second.searchId)
    expect(views.slice(turn).every(({ searchId }) => searchId === second.searchId)).toBe(true)
  })

  it('waits its turn behind that of another event', async () => {
    const one = await large()
    const other = await scene(smallPlan(), {}, one)
    const boards = { one: await one.board(), other: await other.board() }
    await one.search('startSearch', ENDLESS)
    await boards.one.until(found)
    expect((await other.search('startSearch', { kind: 'repair' })).status).toBe('queued')
    await one.search('stopSearch')
    expect(await boards.other.until(isOver)).toMatchObject({ kind: 'repair', status: 'done' })
    expect(boards.other.views.map(({ status }) => status)).toEqual(['queued', 'running', 'done'])
  })

  it('may be taken back before its turn', async () => {
    const one = await large()
    const other = await scene(smallPlan(), {}, one)
    const { until } = await one.board()
    await one.search('startSearch', ENDLESS)
    await until(found)
    await other.search('startSearch', { kind: 'repair' })
    expect(await other.search('stopSearch')).toMatchObject({ status: 'stopped', proposal: null })
    expect((await one.search('readSearch')).status).toBe('running')
  })

  it('is told to a board that comes while there is one, after the facts', async () => {
    const { search, board } = await scene(smallPlan())
    const { until } = await board()
    await search('startSearch', { kind: 'repair' })
    const done = await until(isOver)
    const late = await board()
    expect(await late.until(isOver)).toEqual(done)
    // Who else looks on is told in its own time.
    const kinds = late.frames.map(({ kind }) => kind).filter((kind) => kind !== 'presence')
    expect(kinds).toEqual(['hello', 'facts', 'search'])
  })

  it('is shown at most four times a second, and its last better order always', async () => {
    const { search, board } = await scene(smallPlan(), stub('chatty'))
    const { until, views } = await board()
    await search('startSearch', { kind: 'anew' })
    const numberOf = ({ proposal }: SearchView) => (proposal as { number?: number } | null)?.number
    const startedAtMs = performance.now()
    await until((view) => numberOf(view) === 500)
    const tookMs = performance.now() - startedAtMs
    expect(views.length).toBeLessThanOrEqual(2 + tookMs / 250)
  })
})

describe('a proposal', { timeout: 60_000 }, () => {
  it('is judged again when facts have come since it was asked for', async () => {
    const { search, board, ask } = await large()
    const { until } = await board()
    await search('startSearch', ENDLESS)
    const { proposal } = await until(found)
    // So little that a ship is lost in any order, which was served in the one in force.
    const served = proposal?.changes.filter(({ was }) => was?.served) ?? []
    const [first] = served.toSorted((a, b) => (a.was?.contactAtMs ?? 0) - (b.was?.contactAtMs ?? 0))
    const seq = await ask('callFuel', fuelCall(first?.shipId ?? '', 300))
    const stopped = await search('stopSearch')
    expect(stopped).toMatchObject({ basedOnSeq: 3, judgedAtSeq: seq, proposal: { basedOnSeq: seq } })
    expect(stopped.proposal?.orders.length).toBeGreaterThan(0)
    expect(stopped.proposal?.before.lostWeight).toBeGreaterThan(proposal?.before.lostWeight ?? Infinity)
  })

  it('has no orders left when what it rests on is gone', async () => {
    const { search, board, ask } = await scene(smallPlan())
    const { until } = await board()
    await search('startSearch', ENDLESS)
    await until(found)
    await ask('setStation', { tankerId: 'rasp', stationId: 'right', status: 'failed' })
    const { proposal, judgedAtSeq } = await search('stopSearch')
    expect(judgedAtSeq).toBe(4)
    expect(proposal).toMatchObject({ orders: [], changes: [], judgement: proposal?.before })
  })
})

describe('a thread', { timeout: 60_000 }, () => {
  it('that is killed leaves the best order found, and another one takes its place', async () => {
    const { search, board, pool, eventId } = await large()
    const { until } = await board()
    await search('startSearch', ENDLESS)
    await until(found)
    await pool.threadOf(eventId)?.terminate()
    const broken = await until(isOver)
    expect(broken).toMatchObject({ status: 'broken', why: 'ended', judgedAtSeq: 3 })
    expect(broken.proposal?.orders.length).toBeGreaterThan(0)
    expect(await search('readSearch')).toEqual(broken)
    const { searchId } = await search('startSearch', { kind: 'repair' })
    expect(await until((view) => view.searchId === searchId && isOver(view))).toMatchObject({ status: 'done' })
  })

  it('that is killed after facts have come leaves its best order judged on them', async () => {
    const { search, board, pool, eventId, ask, plan } = await large()
    const { until } = await board()
    await search('startSearch', ENDLESS)
    await until(found)
    const seq = await ask('callFuel', fuelCall(plan.flights[0]?.ships[0]?.id ?? '', 2_000))
    await pool.threadOf(eventId)?.terminate()
    const broken = await until(isOver)
    expect(broken).toMatchObject({ status: 'broken', why: 'ended', judgedAtSeq: seq, proposal: { basedOnSeq: seq } })
    expect(broken.proposal?.orders.length).toBeGreaterThan(0)
  })

  it.each([
    ['that takes far too long is ended', 'stuck', 'too long'],
    ['that hits a fault is done for', 'failing', 'fault']
  ])('%s; what it told last stands', async (_, name, why) => {
    const { search, board } = await scene(smallPlan(), stub(name, 500))
    const { until } = await board()
    await search('startSearch', { kind: 'anew' })
    expect(await until(isOver)).toMatchObject({ status: 'broken', why, proposal: { from: name } })
  })

  it('that does not hear the stop is ended', async () => {
    const { search, board } = await scene(smallPlan(), stub('stuck', 600))
    const { until } = await board()
    await search('startSearch', { kind: 'anew' })
    await until(found)
    expect(await search('stopSearch')).toMatchObject({ status: 'broken', why: 'too long' })
  })

  it('ends with the service, in the middle of a search', async () => {
    const { search, board, pool, eventId, app } = await large()
    const { until } = await board()
    await search('startSearch', ENDLESS)
    await until(found)
    const thread = pool.threadOf(eventId) ?? expect.fail('no thread')
    const exit = once(thread, 'exit')
    const stopping = search('stopSearch')
    await Promise.all([app.close(), exit, stopping])
    expect((await stopping).status).toBe('stopped')
    expect(pool.threadOf(eventId)).toBeUndefined()
  })
})

describe('a search that cannot be', () => {
  it('is refused: before a plan is published, after the event is closed, none to read, and what no search is', async () => {
    const made = await service()
    const { eventId, commander } = await made.event()
    const as = { as: commander, parameters: { eventId } }
    expect((await made.call('startSearch', { ...as, body: { kind: 'anew' } })).body.code).toBe('event-not-begun')
    expect((await made.call('readSearch', as)).body.code).toBe('no-search')
    expect((await made.call('stopSearch', as)).body.code).toBe('no-search')
    const open = await scene(smallPlan(), {}, made)
    const there = { as: open.commander, parameters: { eventId: open.eventId } }
    for (const body of [{}, { kind: 'best' }, { kind: 'anew', judgements: 0 }, { kind: 'anew', effort: 5 }])
      expect((await made.call('startSearch', { ...there, body })).body.code).toBe('bad-request')
    const spread = await made.call('startSearch', { ...there, body: { kind: 'anew', maySpread: ['nobody'] } })
    expect(spread.body.code).toBe('unknown-flight')
    await open.ask('closeEvent', {})
    expect((await made.call('startSearch', { ...there, body: { kind: 'anew' } })).body.code).toBe('event-closed')
  })
})
