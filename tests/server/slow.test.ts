import { once } from 'node:events'
import { connect, type AddressInfo } from 'node:net'
import { describe, expect, it, onTestFinished } from 'vitest'
import { hashOf } from '../../server/auth/secret.ts'
import { pathOf, ROUTES } from '../../shared/contracts/routes.ts'
import { SHIPS, smallPlan } from './plan.ts'
import { freshId, fuelCall, service } from './service.ts'

/** A connection as a hostile client has it: what it says, when it likes, and all that it hears until it is closed. */
async function connected(port: number) {
  const socket = connect({ port, host: '127.0.0.1' })
  onTestFinished(() => {
    socket.destroy()
  })
  let heard = ''
  socket.on('data', (chunk) => (heard += String(chunk)))
  socket.on('error', () => undefined)
  const closed = once(socket, 'close')
  await once(socket, 'connect')
  return { socket, closed, heard: () => heard }
}

describe('a request that does not arrive', () => {
  it.each([
    ['stops in its head', ['POST /api/v1/memberships HTTP/1.1\r\nhost: a\r\n'], 0],
    [
      'stops in its body',
      [
        'POST /api/v1/memberships HTTP/1.1\r\nhost: a\r\ncontent-type: application/json\r\ncontent-length: 60\r\n\r\n',
        '{'
      ],
      0
    ],
    ['comes a letter at a time', ['POST /api/v1/memberships HTTP/1.1\r\nhost: a\r\n'], 20]
  ])('and %s is given up, its connection closed, while others are answered', async (_, said, everyMs) => {
    const { app } = await service({ requestTimeoutMs: 300 })
    await app.listen({ port: 0, host: '127.0.0.1' })
    const { port } = app.server.address() as AddressInfo
    const slow = await connected(port)
    for (const text of said) slow.socket.write(text)
    const trickle = everyMs > 0 ? setInterval(() => slow.socket.write('x'), everyMs) : undefined
    const quick = await fetch(`http://127.0.0.1:${String(port)}${pathOf('health')}`)
    expect(quick.status).toBe(200)
    await slow.closed
    clearInterval(trickle)
    expect(slow.heard()).toMatch(/^HTTP\/1\.1 408 /)
  })

  it('has half a minute where nothing else is said', async () => {
    const { app } = await service()
    expect([app.server.requestTimeout, app.server.headersTimeout, app.server.timeout]).toEqual([30_000, 30_000, 60_000])
  })
})

describe('a request whose link ends while its body arrives', () => {
  const ends = ['is revoked', 'is renewed', 'runs out'] as const
  const writes = [
    ['record', () => JSON.stringify(fuelCall(SHIPS.alder1, 3000))],
    ['takeReadings', () => JSON.stringify({ requestId: freshId(), readings: [READING] })],
    // Longer than what is read where calls are answered: it goes by the reading thread.
    ['savePlan', () => JSON.stringify({ revisionSeen: 1, plan: smallPlan() }) + ' '.repeat(70_000)]
  ] as const
  const READING = { shipId: SHIPS.alder1, fuel: { value: 3000, unit: 'kg' }, covers: 'total' }

  it.each(writes.flatMap(([name, body]) => ends.map((how) => [name, how, body] as const)))(
    '%s writes nothing when it %s',
    async (name, how, bodyOf) => {
      const { app, call, clock, link, openEvent, store } = await service()
      const { eventId, commander } = await openEvent()
      const { linkId, secret } = await link(eventId, name === 'takeReadings' ? 'feed' : 'commander')
      await app.listen({ port: 0, host: '127.0.0.1' })
      const { port } = app.server.address() as AddressInfo
      const body = bodyOf()
      const slow = await connected(port)
      const isHeard = new Promise<void>((resolve) => {
        const linkOf = store.linkOf.bind(store)
        store.linkOf = (hash) => {
          setImmediate(resolve)
          return linkOf(hash)
        }
      })
      const head = [
        `${ROUTES[name].method} ${pathOf(name, { eventId })} HTTP/1.1`,
        'host: a',
        'connection: close',
        `authorization: Bearer ${secret}`,
        'content-type: application/json',
        `content-length: ${String(Buffer.byteLength(body))}`
      ]
      slow.socket.write(`${head.join('\r\n')}\r\n\r\n${body.slice(0, 5)}`)
      await isHeard
      const parameters = { eventId, linkId }
      if (how === 'is revoked') await call('revokeLink', { as: commander, parameters })
      else if (how === 'is renewed') await call('renewLink', { as: commander, parameters, body: {} })
      else await store.renewLink({ eventId, linkId, secretHash: hashOf(secret), expiresAtMs: clock.nowMs() })
      slow.socket.write(body.slice(5))
      await slow.closed
      expect(slow.heard()).toMatch(/^HTTP\/1\.1 401 /)
      expect((await call('readLog', { as: commander, parameters: { eventId } })).body['to']).toBe(2)
      expect((await store.revision(eventId))?.revision).toBe(1)
    }
  )
})
