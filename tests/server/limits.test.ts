import fc from 'fast-check'
import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { addressOf, Budget } from '../../server/limits.ts'
import { RATES, READINGS, type RateName } from '../../shared/contracts/bounds.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { SHIPS, smallPlan } from './plan.ts'
import { freshId, fuelCall, service } from './service.ts'

const socket = { remoteAddress: '127.0.0.1' }
const from = (address: string) => ({ headers: { 'x-forwarded-for': address } })

describe('a budget', () => {
  it('never gives more than its burst and what came back since, over any times, and all of that to who waits', () => {
    const rates = fc.record({ burstCount: fc.integer({ min: 1, max: 50 }), perS: fc.integer({ min: 1, max: 100 }) })
    const gapsMs = fc.array(fc.integer({ min: 0, max: 2_000 }), { minLength: 1, maxLength: 200 })
    fc.assert(
      fc.property(rates, gapsMs, (rate, gaps) => {
        const budget = new Budget(rate)
        let nowMs = 0
        let given = 0
        for (const gapMs of gaps) {
          nowMs += gapMs
          if (budget.waitMs('a', nowMs) === 0) {
            budget.take('a', nowMs)
            given += 1
          }
          expect(given).toBeLessThanOrEqual(rate.burstCount + (nowMs / 1000) * rate.perS + 1e-6)
          const waitMs = budget.waitMs('a', nowMs)
          expect(budget.waitMs('a', nowMs + waitMs + 1e-3)).toBe(0)
        }
      })
    )
  })

  it('knows one key nothing of another, and forgets beyond ten thousand', () => {
    const budget = new Budget({ burstCount: 1, perS: 1 })
    budget.take('a', 0)
    expect(budget.waitMs('a', 0)).toBe(1000)
    expect(budget.waitMs('b', 0)).toBe(0)
    for (let key = 0; key < 20_000; key += 1) budget.take(String(key), 1)
    expect(budget.size).toBe(10_000)
    expect(budget.waitMs('19999', 1)).toBe(1000)
  })
})

describe('the address of a caller', () => {
  it.each([
    ['192.0.2.7', '192.0.2.7'],
    ['::ffff:192.0.2.7', '192.0.2.7'],
    // RFC 4291 2.2: one address written in two ways; 2.5.4: the first 64 bits name the network.
    ['2001:db8:0:0:8:800:200c:417a', '2001:db8:0:0'],
    ['2001:DB8::8:800:200C:417A', '2001:db8:0:0'],
    ['::1', '0:0:0:0'],
    ['fe80::1%eth0', 'fe80:0:0:0'],
    ['<script>', '127.0.0.1']
  ])('%s counts as %s', (ip, counted) => {
    expect(addressOf({ ip, socket })).toBe(counted)
  })

  it('is taken from a proxy that is trusted, the last it did not add itself, and from nobody else', async () => {
    const { app } = await service({ trustedProxies: ['127.0.0.1', '10.0.0.0/8'] })
    const status = async (forwarded: string, remoteAddress: string) =>
      (await app.inject({ url: pathOf('health'), remoteAddress, headers: { 'x-forwarded-for': forwarded } })).statusCode
    for (let n = 0; n < RATES.open.burstCount; n += 1) {
      expect(await status('203.0.113.1, 192.0.2.1, 10.1.2.3', '127.0.0.1')).toBe(200)
    }
    expect(await status('203.0.113.9, 192.0.2.1', '127.0.0.1')).toBe(429)
    expect(await status('192.0.2.1', '198.51.100.4')).toBe(200)
    expect(await status('192.0.2.1, 192.0.2.2', '127.0.0.1')).toBe(200)
  })
})

describe('a link that asks too often', () => {
  it('is refused with the time to wait, recorded nothing, and taken again after it; others are not touched', async () => {
    const { call, clock, link, openEvent } = await service()
    const { eventId, commander } = await openEvent()
    const crew = await link(eventId, 'crew', SHIPS.alder1)
    const ask = (as = crew) => call('record', { as, parameters: { eventId }, body: fuelCall(SHIPS.alder1, 3000) })
    for (let n = 0; n < RATES.record.burstCount; n += 1) expect((await ask()).status).toBe(200)
    const over = await ask()
    expect([over.status, over.body.code, over.headers['retry-after']]).toEqual([429, 'too-many-requests', '1'])
    expect((await ask(commander)).status).toBe(200)
    expect((await call('readLog', { as: crew, parameters: { eventId } })).body['to']).toBe(
      2 + RATES.record.burstCount + 1
    )
    clock.forward(1_000 / RATES.record.perS)
    expect((await ask()).status).toBe(200)
    expect((await ask()).status).toBe(429)
  })

  it('is held to the rate of plans, which cost more, and to that of the event at another time than now', async () => {
    const { call, openEvent } = await service()
    const { eventId, commander } = await openEvent()
    const as = { as: commander, parameters: { eventId } }
    const statuses: number[] = []
    for (let n = 0; n < RATES.plan.burstCount; n += 1) {
      statuses.push((await call('importPlan', { ...as, body: smallPlan() })).status)
    }
    // One was spent on the publishing.
    expect(statuses.indexOf(429)).toBe(RATES.plan.burstCount - 1)
    const views: number[] = []
    for (let n = 0; n <= RATES.compute.burstCount; n += 1) {
      views.push((await call('readState', { ...as, query: `?atMs=${String(1_906_524_000_000 + n)}` })).status)
    }
    expect(views.indexOf(429)).toBe(RATES.compute.burstCount)
    expect((await call('readState', as)).status).toBe(200)
  })

  it('is not held to any where the limits are off', async () => {
    const { call, openEvent } = await service({ isLimited: false })
    const { eventId, commander } = await openEvent()
    for (let n = 0; n <= RATES.record.burstCount; n += 1) {
      const answer = await call('record', {
        as: commander,
        parameters: { eventId },
        body: fuelCall(SHIPS.alder1, 3000)
      })
      expect(answer.status).toBe(200)
    }
  })
})

describe('a feed that sends more than its ships can', () => {
  it('is refused whole batches unread, by the readings in them; another link of the event is answered', async () => {
    const { call, clock, link, openEvent, rooms } = await service()
    const { eventId, commander } = await openEvent()
    const [feed, other] = [await link(eventId, 'feed'), await link(eventId, 'feed')]
    const room = await rooms.of(eventId)
    let looked = 0
    const take = room.take.bind(room)
    room.take = (batch, who) => {
      looked += batch.readings.length
      return take(batch, who)
    }
    const reading = { shipId: SHIPS.alder1, fuel: { value: 4960, unit: 'kg' }, covers: 'total' }
    const send = (as = feed, count: number = READINGS.batch) =>
      call('takeReadings', {
        as,
        parameters: { eventId },
        body: { requestId: freshId(), readings: Array.from({ length: count }, () => reading) }
      })
    const tries = 20
    const statuses: number[] = []
    for (let n = 0; n < tries; n += 1) statuses.push((await send()).status)
    const taken = RATES.reading.burstCount / READINGS.batch
    expect(statuses).toEqual(Array.from({ length: tries }, (_, n) => (n < taken ? 200 : 429)))
    expect((await send()).headers['retry-after']).toBe(String(READINGS.batch / RATES.reading.perS))
    expect(looked).toBe(RATES.reading.burstCount)
    const crew = { as: commander, parameters: { eventId }, body: fuelCall(SHIPS.alder2, 3000) }
    expect([(await call('record', crew)).status, (await send(other)).status]).toEqual([200, 200])
    clock.forward(1_000)
    expect([(await send(feed, RATES.reading.perS)).status, (await send(feed, 1)).status]).toEqual([200, 429])
  })
})

describe('an address that shows wrong secrets', () => {
  it('is told to wait, by whatever way it shows them, while right ones from there open their links, new ones too', async () => {
    const { call, clock, link, openEvent } = await service()
    const { eventId, commander } = await openEvent()
    const fresh = await link(eventId, 'viewer')
    const guess = (n: number) => `guess-${String(n)}`.padEnd(22, 'x')
    const signIn = (secret: string, address: string) => call('signIn', { body: { secret }, ...from(address) })
    const home = '192.0.2.1'
    const read = (secret: string, address: string) =>
      call('readPlan', {
        parameters: { eventId },
        headers: { authorization: `Bearer ${secret}`, 'x-forwarded-for': address }
      })
    for (let n = 0; n < RATES.wrongSecret.burstCount; n += 1) {
      const answer = n % 2 === 0 ? await signIn(guess(n), home) : await read(guess(n), home)
      expect(answer.status).toBe(401)
    }
    expect((await signIn(guess(99), home)).status).toBe(429)
    expect((await read(guess(99), home)).status).toBe(429)
    // A right one that was never seen here is no guess.
    expect((await signIn(fresh.secret, home)).status).toBe(200)
    expect((await read(commander.secret, home)).status).toBe(200)
    clock.forward(1_000 / RATES.wrongSecret.perS)
    expect((await signIn(guess(100), home)).status).toBe(401)
    expect((await signIn(guess(101), home)).status).toBe(429)
  })

  it('is not one that shows the secret of a link that has ended, as a page left open does', async () => {
    const { call, link, openEvent } = await service()
    const { eventId, commander } = await openEvent()
    const [viewer, fresh] = [await link(eventId, 'viewer'), await link(eventId, 'viewer')]
    const read = () => call('readPlan', { as: viewer, parameters: { eventId } })
    expect((await read()).status).toBe(200)
    await call('revokeLink', { as: commander, parameters: { eventId, linkId: viewer.linkId } })
    for (let n = 0; n < 2 * RATES.wrongSecret.burstCount; n += 1) expect((await read()).status).toBe(401)
    expect((await call('signIn', { body: { secret: fresh.secret } })).status).toBe(200)
    // It is held to what anyone may ask.
    const more = RATES.open.burstCount - 2 * RATES.wrongSecret.burstCount - 1
    for (let n = 0; n < more; n += 1) await read()
    expect((await read()).status).toBe(429)
  }, 30_000)
})

describe('docs/operate.md', () => {
  it('has the rates of the contract', () => {
    const text = readFileSync(new URL('../../docs/operate.md', import.meta.url), 'utf8')
    const rows = [...text.matchAll(/^\| `(\w+)` \| (?:link|address) \| (\d+) \| (\d+) \| .+ \|$/gm)]
    const told = rows.map(([, name, burst, perS]) => [name, Number(burst), Number(perS)])
    const rates = Object.entries(RATES) as [RateName, (typeof RATES)[RateName]][]
    expect(told.sort()).toEqual(rates.map(([name, { burstCount, perS }]) => [name, burstCount, perS]).sort())
  })
})
