import { once } from 'node:events'
import { connect, type AddressInfo } from 'node:net'
import { describe, expect, it, onTestFinished } from 'vitest'
import { pathOf } from '../../shared/contracts/routes.ts'
import { service } from './service.ts'

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
