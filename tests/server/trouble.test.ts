import Database from 'better-sqlite3'
import { once } from 'node:events'
import { join } from 'node:path'
import { describe, expect, it, onTestFinished } from 'vitest'
import { WebSocket } from 'ws'
import { Journal } from '../../server/live/journal.ts'
import { openSqlite } from '../../server/store/sqlite/file.ts'
import { SqliteStore } from '../../server/store/sqlite/sqlite.ts'
import { StoreBroken, type Store } from '../../server/store/store.ts'
import { eventId } from '../../shared/contracts/ids.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'
import { SHIPS } from './plan.ts'
import { freshId, fuelCall, newFolder, service, type MadeLink, type Service } from './service.ts'

/** A store whose connection the test holds too, to take room away from it or to let its commits fail. */
async function opened(seenAs: (database: Database.Database) => Database.Database = (database) => database) {
  const file = join(newFolder(), 'ullage.sqlite')
  await openSqlite(file).close()
  const database = new Database(file)
  database.pragma('synchronous = FULL')
  database.pragma('foreign_keys = ON')
  const made = await service({ store: new SqliteStore(seenAs(database)), isLimited: false })
  const { eventId, commander } = await made.openEvent()
  const as = { as: commander, parameters: { eventId } }
  const record = (fuelKg: number, requestId = freshId()) =>
    made.call('record', { ...as, body: fuelCall(SHIPS.alder1, fuelKg, requestId) })
  return { ...made, database, file, eventId, commander, record, as }
}

/** What a board of the event is told. */
async function boardOf({ app, eventId, commander }: Pick<Service, 'app'> & { eventId: string; commander: MadeLink }) {
  if (!app.server.listening) await app.listen({ port: 0, host: '127.0.0.1' })
  const address = app.server.address()
  if (address === null || typeof address === 'string') throw new Error('not listening')
  const url = `ws://127.0.0.1:${String(address.port)}${pathOf('stream', { eventId })}`
  const socket = new WebSocket(url, { headers: { authorization: `Bearer ${commander.secret}` } })
  onTestFinished(() => {
    socket.terminate()
  })
  const frames: FrameOut[] = []
  let heard: () => void = () => undefined
  socket.on('message', (message: Buffer) => {
    frames.push(JSON.parse(message.toString()) as FrameOut)
    heard()
  })
  await once(socket, 'open')
  const until = async (fits: (frame: FrameOut) => boolean): Promise<void> => {
    while (!frames.some(fits)) await new Promise<void>((resolve) => (heard = resolve))
  }
  const troubles = () => frames.flatMap((frame) => (frame.kind === 'trouble' ? [frame.code] : []))
  return { socket, frames, until, troubles }
}

/** No page more than the file has: what does not fit into a page that is there already finds the disk full. */
function fill(database: Database.Database): void {
  database.pragma(`max_page_count = ${String(database.pragma('page_count', { simple: true }))}`)
}

const isTrouble = (frame: FrameOut): boolean => frame.kind === 'trouble' && frame.code !== null

describe('a full disk', () => {
  it('refuses with store-full, tells the boards, lets reads go on, and ends by itself when there is room', async () => {
    const made = await opened()
    const { database, record, call, as, eventId } = made
    const board = await boardOf(made)
    fill(database)
    // Until the last page is full too.
    const kept: number[] = []
    let refused = await record(3000)
    for (let fuelKg = 3001; refused.status === 200 && fuelKg < 3500; fuelKg += 1) {
      kept.push(fuelKg - 1)
      refused = await record(fuelKg)
    }
    expect(refused).toMatchObject({ status: 507, body: { code: 'store-full' } })
    expect(kept.length).toBeGreaterThan(0)
    await board.until(isTrouble)
    expect(board.troubles()).toEqual(['store-full'])
    const late = await boardOf(made)
    await late.until(isTrouble)

    // Nothing of it is in the event, and reads go on over the same room.
    const last = 2 + kept.length
    const room = await made.rooms.of(eventId)
    expect(room.state.seq).toBe(last)
    expect((await call('readLog', as)).body['to']).toBe(last)
    expect((await call('readState', as)).status).toBe(200)
    const plan = (await call('readPlan', as)).body['plan']
    const savePlan = { ...as, body: { revisionSeen: 1, plan } }
    expect(await call('savePlan', savePlan)).toMatchObject({ status: 507, body: { code: 'store-full' } })
    expect(await call('ready')).toMatchObject({ status: 200, body: { records: 'store-full' } })

    // Room again: the same process, the same room, the next number.
    database.pragma('max_page_count = 1000000')
    const again = freshId()
    expect(await record(2500, again)).toMatchObject({ status: 200, body: { from: last + 1, repeated: false } })
    expect(await made.rooms.of(eventId)).toBe(room)
    for (const one of [board, late]) {
      await one.until((frame) => frame.kind === 'facts' && frame.to === last + 1)
      expect(one.troubles()).toEqual(['store-full', null])
      expect(one.socket.readyState).toBe(WebSocket.OPEN)
    }
    expect(await call('ready')).toMatchObject({ status: 200, body: { records: 'yes' } })
    expect((await call('savePlan', savePlan)).status).toBe(200)
    const { facts } = await made.store.log(eventId)
    expect(facts.map(({ seq }) => seq)).toEqual(Array.from({ length: last + 1 }, (_, index) => index + 1))
  })

  it('refuses every request that waits behind the one that met it, and takes each of them when it is asked again', async () => {
    const { database, record, store, eventId } = await opened()
    fill(database)
    const asks = Array.from({ length: 300 }, (_, n) => ({ fuelKg: 2000 + n, id: freshId() }))
    const answers = await Promise.all(asks.map(({ fuelKg, id }) => record(fuelKg, id)))
    const statuses = answers.map(({ status }) => status)
    expect(new Set(statuses)).toEqual(new Set([507]))
    database.pragma('max_page_count = 1000000')
    for (const { fuelKg, id } of asks) expect((await record(fuelKg, id)).body['repeated']).toBe(false)
    expect((await store.log(eventId)).facts).toHaveLength(302)
  })
})

/** As the driver tells of a sync that was answered with EIO. */
const ioError = () => Object.assign(new Error('disk I/O error'), { code: 'SQLITE_IOERR_FSYNC' })

/** The connection, but a commit of facts fails when told to: before it did anything, or after it was kept. */
function failing(database: Database.Database, fault: { next: 'none' | 'before' | 'after' }): Database.Database {
  const transaction = (act: (...given: unknown[]) => unknown) => {
    const real = database.transaction(act)
    const commit = (...given: unknown[]): unknown => {
      if (fault.next === 'before') throw ioError()
      const answer = real.immediate(...given)
      if (fault.next === 'after') throw ioError()
      return answer
    }
    return Object.assign(commit, { immediate: commit, deferred: commit, exclusive: commit })
  }
  return new Proxy(database, {
    get: (target, name) => {
      if (name === 'transaction') return transaction
      const value: unknown = Reflect.get(target, name)
      return typeof value === 'function' ? (value.bind(target) as unknown) : value
    }
  })
}

describe('a disk that fails', () => {
  it.each(['before', 'after'] as const)(
    'leaves the outcome open (failed %s it was kept), and from then on nothing is recorded, nothing read is lost',
    async (when) => {
      const fault: { next: 'none' | 'before' | 'after' } = { next: 'none' }
      const made = await opened((database) => failing(database, fault))
      const { record, call, as, file, link } = made
      const board = await boardOf(made)
      expect((await record(3000)).status).toBe(200)
      fault.next = when
      const id = freshId()
      expect(await record(3001, id)).toMatchObject({ status: 503, body: { code: 'outcome-unknown', requestId: id } })
      await board.until(isTrouble)
      fault.next = 'none'

      // The disk may look sound again: it is not believed.
      expect(await record(3002)).toMatchObject({ status: 503, body: { code: 'store-broken' } })
      expect(await record(3001, id)).toMatchObject({ status: 503, body: { code: 'store-broken' } })
      const body = { revisionSeen: 1, plan: (await call('readPlan', as)).body['plan'] }
      expect((await call('savePlan', { ...as, body })).body.code).toBe('store-broken')
      expect((await call('createLink', { ...as, body: { role: 'viewer' } })).body.code).toBe('store-broken')
      await expect(link(null, 'owner')).rejects.toThrow('the disk has failed')
      expect(await call('ready')).toMatchObject({ status: 503, body: { code: 'store-broken' } })
      expect((await call('health')).status).toBe(200)
      expect((await call('readLog', as)).body['to']).toBe(3)
      expect(board.troubles()).toEqual(['store-broken'])

      // What the next process finds: everything acknowledged, and the open one as the disk has it.
      const next = await service({ file })
      const again = await next.call('record', { ...as, body: fuelCall(SHIPS.alder1, 3001, id) })
      expect(again).toMatchObject({ status: 200, body: { from: 4, to: 4, repeated: when === 'after' } })
    }
  )

  it('answers what was in the commit as unknown, and what waited behind it as not recorded', async () => {
    const { store } = await opened()
    let fail: (error: unknown) => void = () => undefined
    let begun: () => void = () => undefined
    const writing = new Promise<void>((resolve) => (begun = resolve))
    const append = () => {
      begun()
      return new Promise<void>((_, reject) => (fail = reject))
    }
    const journal = new Journal(Object.assign(Object.create(store) as Store, { append }))
    const lost: string[] = []
    const ask = (name: string) => {
      journal.append({
        batch: { eventId: eventId.parse('e-1'), facts: [], outcome: undefined as never },
        kept: () => lost.push(`${name} kept`),
        lost: (_, tried) => lost.push(`${name} ${tried ? 'tried' : 'waited'}`)
      })
    }
    ask('first')
    await writing
    ask('second')
    fail(new StoreBroken('the disk has failed', { isUnknown: true }))
    await journal.drained()
    expect(lost).toEqual(['first tried', 'second waited'])
  })
})
