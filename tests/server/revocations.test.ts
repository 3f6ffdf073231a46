import { once } from 'node:events'
import type { AddressInfo } from 'node:net'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { WebSocket } from 'ws'
import { StoreBroken, StoreFull } from '../../server/store/store.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'
import { service, type MadeLink, type Service } from './service.ts'

const FAULTS = {
  full: { fault: () => new StoreFull('the disk is full'), status: 507, code: 'store-full' },
  broken: {
    fault: () => new StoreBroken('the disk has failed', { isUnknown: true }),
    status: 503,
    code: 'store-broken'
  }
} as const

/** A service whose store takes no revocation until it is told to, and a viewer who has the event open. */
async function scene(kind: keyof typeof FAULTS) {
  const made = await service()
  const { eventId, commander } = await made.openEvent()
  const viewer = await made.link(eventId, 'viewer')
  const keep = made.store.revokeLink.bind(made.store)
  const disk = { takes: false }
  made.store.revokeLink = (link) => (disk.takes ? keep(link) : Promise.reject(FAULTS[kind].fault()))
  const parameters = { eventId, linkId: viewer.linkId }
  const revoke = () => made.call('revokeLink', { as: commander, parameters })
  return { ...made, eventId, commander, viewer, disk, parameters, revoke }
}

async function boardOf({ app }: Pick<Service, 'app'>, eventId: string, as: MadeLink) {
  if (!app.server.listening) await app.listen({ port: 0, host: '127.0.0.1' })
  const { port } = app.server.address() as AddressInfo
  const socket = new WebSocket(`ws://127.0.0.1:${String(port)}${pathOf('stream', { eventId })}`, {
    headers: { authorization: `Bearer ${as.secret}` }
  })
  onTestFinished(() => {
    socket.terminate()
  })
  const frames: FrameOut[] = []
  socket.on('message', (message: Buffer) => frames.push(JSON.parse(message.toString()) as FrameOut))
  await once(socket, 'open')
  return { socket, frames }
}

describe.each(Object.keys(FAULTS) as (keyof typeof FAULTS)[])('a link that is revoked while the disk is %s', (kind) => {
  it('is out all the same: its boards close at once, its secret opens nothing, and the answer says what was not kept', async () => {
    const made = await scene(kind)
    const { eventId, commander, viewer, call, revoke, parameters } = made
    const theirs = await boardOf(made, eventId, viewer)
    const other = await boardOf(made, eventId, commander)
    const closed = once(theirs.socket, 'close')
    const { status, body } = await revoke()
    // With the answer, it is no board any more; a farewell that is not answered takes half a second.
    expect((await made.rooms.of(eventId)).stream.size).toBe(1)
    await closed
    expect([status, body.code]).toEqual([FAULTS[kind].status, FAULTS[kind].code])
    expect(body['detail']).toContain('opens nothing from now on')
    expect(theirs.frames.at(-1)).toEqual({ kind: 'problem', code: 'no-membership' })
    expect(other.socket.readyState).toBe(WebSocket.OPEN)

    expect((await call('readLog', { as: viewer, parameters: { eventId } })).status).toBe(401)
    expect((await call('signIn', { body: { secret: viewer.secret } })).status).toBe(401)
    await expect(boardOf(made, eventId, viewer)).rejects.toThrow('401')
    expect((await call('readLog', { as: commander, parameters: { eventId } })).status).toBe(200)
    // It is as dead as any other: listed as ended, and no new secret brings it back.
    const listed = (await call('listLinks', { as: commander, parameters: { eventId } })).body as unknown as {
      linkId: string
      revokedAtMs: number | null
    }[]
    expect(listed.find(({ linkId }) => linkId === viewer.linkId)?.revokedAtMs).toBe(made.clock.nowMs())
    expect((await call('renewLink', { as: commander, parameters, body: {} })).status).toBe(404)
  })

  it('is kept as ended as soon as the store takes it, by itself or by who asks again', async () => {
    const { store, viewer, eventId, disk, revoke } = await scene(kind)
    const kept = async () => (await store.links(eventId)).find(({ linkId }) => linkId === viewer.linkId)?.revokedAtMs
    expect((await revoke()).status).toBe(FAULTS[kind].status)
    expect(await kept()).toBeNull()
    disk.takes = true
    await vi.waitFor(async () => {
      expect(await kept()).toBeTypeOf('number')
    }, 5_000)
    // A second end of the same link is none.
    expect((await revoke()).status).toBe(404)

    const again = await scene(kind)
    expect((await again.revoke()).status).toBe(FAULTS[kind].status)
    again.disk.takes = true
    expect((await again.revoke()).status).toBe(204)
    expect((await again.call('readLog', { as: again.viewer, parameters: { eventId: again.eventId } })).status).toBe(401)
  })

  it('is nothing new where there is no such link, or it had ended before', async () => {
    const { call, commander, eventId, link, store, clock } = await scene(kind)
    const ended = await link(eventId, 'viewer')
    const of = (linkId: string) => call('revokeLink', { as: commander, parameters: { eventId, linkId } })
    expect((await of('l-0000000000000000')).status).toBe(404)
    const links = store.links.bind(store)
    store.links = async (id) =>
      (await links(id)).map((one) => (one.linkId === ended.linkId ? { ...one, revokedAtMs: clock.nowMs() } : one))
    expect((await of(ended.linkId)).status).toBe(404)
  })
})

describe('a link that ends while the handshake of its board is under way', () => {
  it('leaves no board open', async () => {
    const { app, call, rooms, store, eventId, commander, viewer, disk, parameters } = await scene('full')
    disk.takes = true
    // The guard lets the handshake in; then the link ends, before there is a board to close.
    const asked = rooms.of.bind(rooms)
    let times = 0
    rooms.of = async (id) => {
      times += 1
      if (times === 1) expect((await call('revokeLink', { as: commander, parameters })).status).toBe(204)
      return asked(id)
    }
    expect((await store.links(eventId)).find(({ linkId }) => linkId === viewer.linkId)?.revokedAtMs).toBeNull()
    const { socket } = await boardOf({ app }, eventId, viewer)
    if (socket.readyState === WebSocket.OPEN) await once(socket, 'close')
    expect((await asked(eventId)).stream.size).toBe(0)
  })
})
