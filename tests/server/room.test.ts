import { describe, expect, it } from 'vitest'
import { StoreFull, type Batch, type Store } from '../../server/store/store.ts'
import { openSqlite } from '../../server/store/sqlite/file.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import { emptyState } from '../../shared/live/state.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { join } from 'node:path'
import { SHIPS } from './plan.ts'
import { freshId, fuelCall, newFolder, service } from './service.ts'

/** A store whose appends are counted, and fail on demand, before or after they were kept. */
function watched(file: string) {
  const store = openSqlite(file)
  const appended: number[] = []
  const fault: { next: 'none' | 'before' | 'after' | 'full' } = { next: 'none' }
  const append = async (batches: readonly Batch[]): Promise<void> => {
    const { next } = fault
    fault.next = 'none'
    if (next === 'full') throw new StoreFull('the disk is full')
    if (next === 'before') throw new Error('the disk went away')
    appended.push(batches.length)
    await store.append(batches)
    if (next === 'after') throw new Error('the disk went away')
  }
  const watching = new Proxy<Store>(store, {
    get: (target, name) => {
      if (name === 'append') return append
      const value: unknown = Reflect.get(target, name)
      return typeof value === 'function' ? (value.bind(target) as unknown) : value
    }
  })
  return { store: watching, appended, fault }
}

async function openWatched() {
  const { store, appended, fault } = watched(join(newFolder(), 'ullage.sqlite'))
  const made = await service({ store })
  const { eventId, commander } = await made.openEvent()
  appended.length = 0
  const record = (body: unknown) => made.call('record', { as: commander, parameters: { eventId }, body })
  const log = async (after = 0) =>
    (await made.call('readLog', { as: commander, parameters: { eventId }, query: `?after=${String(after)}` })).body
  return { ...made, eventId, commander, appended, fault, record, log }
}

describe('a room', () => {
  it('answers with the facts it recorded, numbered without a gap', async () => {
    const { record, log, clock, eventId, commander } = await openWatched()
    clock.forward(30_000)
    const id = freshId()
    const { status, body } = await record(fuelCall(SHIPS.alder1, 4000, id))
    expect(status).toBe(200)
    expect(body).toEqual({
      from: 3,
      to: 3,
      repeated: false,
      facts: [
        {
          v: 1,
          eventId,
          seq: 3,
          kind: 'fuelCalled',
          atMs: clock.nowMs(),
          recordedAtMs: clock.nowMs(),
          by: commander.linkId,
          requestId: id,
          shipId: SHIPS.alder1,
          fuel: { value: 4000, unit: 'kg' },
          covers: 'total'
        }
      ]
    })
    expect(await log(2)).toEqual({ eventId, from: 3, to: 3, more: false, facts: body['facts'] })
    expect(await log(3)).toEqual({ eventId, from: 4, to: 3, more: false, facts: [] })
    expect(await log(99)).toEqual({ eventId, from: 4, to: 3, more: false, facts: [] })
  })

  it('commits what arrives in one turn together', async () => {
    const { record, appended, log } = await openWatched()
    const answers = await Promise.all(
      Array.from({ length: 40 }, (_, index) => record(fuelCall(SHIPS.alder1, 3000 + index)))
    )
    expect(answers.every(({ status }) => status === 200)).toBe(true)
    expect(appended.reduce((sum, count) => sum + count, 0)).toBe(40)
    expect(appended.length).toBeLessThan(10)
    const facts = (await log(2))['facts'] as Fact[]
    expect(facts.map(({ seq }) => seq)).toEqual(Array.from({ length: 40 }, (_, index) => index + 3))
  })

  it('gives a repeat the first answer, and records nothing again', async () => {
    const { record, log } = await openWatched()
    const ask = fuelCall(SHIPS.alder1, 4000)
    const first = await record(ask)
    // The order of fields is no difference.
    const again = await record(Object.fromEntries(Object.entries(ask).reverse()))
    expect(again.status).toBe(200)
    expect(again.body).toEqual({ ...first.body, repeated: true })
    expect((await log())['to']).toBe(3)
  })

  it('gives two copies of a request that arrive together one outcome', async () => {
    const { record, log } = await openWatched()
    const ask = fuelCall(SHIPS.alder1, 4000)
    const answers = await Promise.all([record(ask), record(ask), record(ask)])
    expect(answers.map(({ body }) => [body['from'], body['to'], body['repeated']])).toEqual([
      [3, 3, false],
      [3, 3, true],
      [3, 3, true]
    ])
    expect((await log())['to']).toBe(3)
  })

  it('refuses a request id that was used with another body, or by another link', async () => {
    const { record, call, link, eventId } = await openWatched()
    const ask = fuelCall(SHIPS.alder1, 4000)
    await record(ask)
    const other = await record({ ...ask, fuel: { value: 4001, unit: 'kg' } })
    expect(other).toMatchObject({ status: 409, body: { code: 'request-id-reused', requestId: ask.requestId } })
    const coordinator = await link(eventId, 'coordinator')
    const stolen = await call('record', { as: coordinator, parameters: { eventId }, body: ask })
    expect(stolen.body.code).toBe('request-id-reused')
  })

  it('decides on what is pending: the second of two contacts in one turn finds the station taken', async () => {
    const { record } = await openWatched()
    const contact = (shipId: string) =>
      record({ requestId: freshId(), kind: 'makeContact', shipId, tankerId: 'rasp', stationId: 'left' })
    await record({ requestId: freshId(), kind: 'joinShip', shipId: SHIPS.alder1 })
    await record({ requestId: freshId(), kind: 'joinShip', shipId: SHIPS.alder2 })
    const [first, second] = await Promise.all([contact(SHIPS.alder1), contact(SHIPS.alder2)])
    expect(first.status).toBe(200)
    expect(second).toMatchObject({ status: 409, body: { code: 'station-occupied' } })
  })

  it('says that the outcome is unknown when a commit fails, and goes on from what the store holds', async () => {
    const { record, log, fault } = await openWatched()
    const ask = fuelCall(SHIPS.alder1, 4000)
    fault.next = 'before'
    expect(await record(ask)).toMatchObject({
      status: 503,
      body: { code: 'outcome-unknown', requestId: ask.requestId }
    })
    expect((await log())['to']).toBe(2)
    expect(await record(ask)).toMatchObject({ status: 200, body: { from: 3, repeated: false } })
  })

  it('finds by its id a request that was kept although the commit told of a failure', async () => {
    const { record, fault } = await openWatched()
    const ask = fuelCall(SHIPS.alder1, 4000)
    fault.next = 'after'
    expect((await record(ask)).body.code).toBe('outcome-unknown')
    expect(await record(ask)).toMatchObject({ status: 200, body: { from: 3, to: 3, repeated: true } })
  })

  it('loses every request that waits on a failed commit, not one of them', async () => {
    const { record, log, fault } = await openWatched()
    fault.next = 'before'
    const answers = await Promise.all([1, 2, 3].map((n) => record(fuelCall(SHIPS.alder1, 3000 + n))))
    const unknown = answers.filter(({ body }) => body.code === 'outcome-unknown').length
    const kept = answers.filter(({ status }) => status === 200).length
    expect(unknown).toBeGreaterThan(0)
    expect(unknown + kept).toBe(3)
    expect((await log())['to']).toBe(2 + kept)
  })

  it('says so when the disk is full', async () => {
    const { record, fault } = await openWatched()
    fault.next = 'full'
    expect(await record(fuelCall(SHIPS.alder1, 4000))).toMatchObject({ status: 507, body: { code: 'store-full' } })
  })

  it('is the same after a restart: state, log and known requests', async () => {
    const file = join(newFolder(), 'ullage.sqlite')
    const before = await service({ file })
    const { eventId, commander } = await before.openEvent()
    const asks = [fuelCall(SHIPS.alder1, 4100), fuelCall(SHIPS.kelp1, 3900)]
    const as = { as: commander, parameters: { eventId } }
    for (const body of asks) await before.call('record', { ...as, body })
    const log = (await before.call('readLog', as)).body
    const state = (await before.call('readState', as)).body
    await before.app.close()

    const after = await service({ file })
    expect((await after.call('readLog', as)).body).toEqual(log)
    expect((await after.call('readState', as)).body).toEqual(state)
    const repeat = await after.call('record', { ...as, body: asks[1] })
    expect(repeat.body).toMatchObject({ from: 4, to: 4, repeated: true })
    const room = await after.rooms.of(eventId)
    expect(room.state).toEqual((log['facts'] as Fact[]).reduce(reduce, emptyState(eventId)))
  })

  it('refuses what does not fit the contract, naming field, value and limit', async () => {
    const { record } = await openWatched()
    const { status, body } = await record({ ...fuelCall(SHIPS.alder1, -1), covers: 'most' })
    expect(status).toBe(400)
    expect(body.code).toBe('bad-request')
    expect(body.errors).toEqual([
      { path: '/fuel/value', value: '-1', limit: '0 to 200000 kg', message: 'outside 0 to 200000 kg' },
      expect.objectContaining({ path: '/covers', value: '"most"', limit: 'one of total, internal' })
    ])
  })

  it('has no state before a plan was published', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const { status, body, headers } = await call('readState', { as: commander, parameters: { eventId } })
    expect([status, body.code, headers['etag']]).toEqual([409, 'event-not-begun', undefined])
  })
})
