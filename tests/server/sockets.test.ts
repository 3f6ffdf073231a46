import { readFileSync } from 'node:fs'
import type { AddressInfo } from 'node:net'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { WebSocket } from 'ws'
import { Sockets } from '../../server/sockets.ts'
import { SOCKETS } from '../../shared/contracts/bounds.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { service, type Json, type MadeLink } from './service.ts'

/** What a handshake came to: the open socket, or the refusal. */
type Shaken = { socket: WebSocket } | { status: number; body: Json; retryAfter: string | undefined }

async function listening(mostSockets: { perLink: number; perAddress: number }) {
  const made = await service({ mostSockets })
  const { eventId, commander } = await made.openEvent()
  await made.app.listen({ port: 0, host: '127.0.0.1' })
  const { port } = made.app.server.address() as AddressInfo
  const shake = (as: MadeLink, from: string, extra: Record<string, string> = {}) =>
    new Promise<Shaken>((resolve) => {
      const socket = new WebSocket(`ws://127.0.0.1:${String(port)}${pathOf('stream', { eventId })}`, {
        headers: { authorization: `Bearer ${as.secret}`, 'x-forwarded-for': from, ...extra }
      })
      onTestFinished(() => {
        socket.terminate()
      })
      socket.on('error', () => undefined)
      socket.once('open', () => {
        resolve({ socket })
      })
      socket.once('unexpected-response', (_request, response) => {
        let text = ''
        response.on('data', (chunk) => (text += String(chunk)))
        response.once('end', () => {
          const { statusCode: status = 0, headers } = response
          resolve({ status, body: JSON.parse(text) as Json, retryAfter: headers['retry-after'] })
        })
      })
    })
  const opened = async (as: MadeLink, from: string): Promise<WebSocket> => {
    const shaken = await shake(as, from)
    if ('socket' in shaken) return shaken.socket
    throw new Error(`refused: ${JSON.stringify(shaken)}`)
  }
  return { ...made, eventId, commander, shake, opened }
}

describe('live sockets', () => {
  it('are refused at the handshake beyond so many under one link, by a problem that says so, and others are not', async () => {
    const { commander, link, eventId, shake, opened, rooms } = await listening({ perLink: 2, perAddress: 2 })
    const viewer = await link(eventId, 'viewer')
    const first = await opened(viewer, '192.0.2.1')
    await opened(viewer, '192.0.2.2')
    expect(await shake(viewer, '192.0.2.3')).toMatchObject({
      status: 429,
      retryAfter: '5',
      body: { code: 'too-many-sockets', detail: '2 sockets are open under this link, the most.' }
    })
    expect((await rooms.of(eventId)).stream.size).toBe(2)
    await opened(commander, '192.0.2.3')
    first.close()
    await vi.waitFor(async () => {
      expect('socket' in (await shake(viewer, '192.0.2.3'))).toBe(true)
    })
  })

  it('are refused beyond so many from one address, whatever links they come by', async () => {
    const { commander, link, eventId, shake, opened } = await listening({ perLink: 9, perAddress: 2 })
    const viewer = await link(eventId, 'viewer')
    await opened(viewer, '192.0.2.1')
    await opened(commander, '192.0.2.1')
    expect(await shake(commander, '192.0.2.1')).toMatchObject({
      status: 429,
      body: { detail: '2 sockets are open from this address, the most.' }
    })
    await opened(viewer, '192.0.2.2')
  })

  it('that were refused for another reason, or were cut off, do not count on', async () => {
    const { commander, shake, opened } = await listening({ perLink: 1, perAddress: 1 })
    for (let n = 0; n < 3; n += 1) {
      expect(await shake(commander, '192.0.2.1', { origin: 'https://elsewhere.test' })).toMatchObject({ status: 403 })
    }
    for (let n = 0; n < 3; n += 1) {
      // The service has not heard of the end of the one before at once.
      const socket = await vi.waitFor(() => opened(commander, '192.0.2.1'))
      socket.terminate()
    }
  })

  it('are forgotten with the last of a link, so that nothing is kept of who was here once', () => {
    const sockets = new Sockets({ perLink: 1, perAddress: 1 })
    for (let n = 0; n < 1_000; n += 1) sockets.open(`l-${String(n)}`, `a-${String(n)}`)()
    expect(sockets.size).toBe(0)
  })

  it('of a thousand phones fit one link and one address, and no address can take all of a link', () => {
    expect(SOCKETS.perAddress).toBeGreaterThanOrEqual(1_000)
    expect(SOCKETS.perLink).toBeGreaterThan(SOCKETS.perAddress)
  })

  it('are bounded as docs/operate.md says', () => {
    const text = readFileSync(new URL('../../docs/operate.md', import.meta.url), 'utf8')
    const row = /^\| live sockets open at once \| (\d+) under one link, (\d+) from one address \|$/m.exec(text)
    expect(row?.slice(1).map(Number)).toEqual([SOCKETS.perLink, SOCKETS.perAddress])
  })
})
