import { once } from 'node:events'
import { connect, createServer, type AddressInfo, type Socket } from 'node:net'

/** A stretch of network between pages and a service, to be cut, blocked and mended. */
export interface Proxy {
  port: number
  /** Breaks every connection, whatever was on its way; new ones go through. */
  cut(): void
  /** Breaks every connection, and each that is tried from now on, until it is mended. */
  down(): void
  /** Lets nothing through in either direction, and ends nothing: as a phone in a tunnel. */
  block(): void
  /** Breaks every connection, and from now on lets requests through but no web socket: as a proxy does that knows of none. */
  plain(): void
  mend(): void
  close(): Promise<void>
}

const UPGRADE = /^upgrade: websocket\r$/im
const REFUSED = 'HTTP/1.1 502 Bad Gateway\r\nconnection: close\r\ncontent-length: 0\r\n\r\n'

/** @param target the port of the service, asked for with each connection: it may have been started anew */
export async function proxyTo(target: () => number): Promise<Proxy> {
  let state: 'through' | 'down' | 'blocked' | 'plain' = 'through'
  const pairs = new Set<readonly [Socket, Socket]>()
  const server = createServer((near) => {
    near.on('error', () => near.destroy())
    if (state === 'down') {
      near.destroy()
      return
    }
    const far = connect({ port: target(), host: '127.0.0.1' })
    far.setNoDelay(true)
    near.setNoDelay(true)
    const pair = [near, far] as const
    pairs.add(pair)
    for (const [from, to] of [pair, [far, near] as const]) {
      from.on('data', (bytes) => {
        if (state === 'plain' && from === near && UPGRADE.test(bytes.toString('latin1'))) near.end(REFUSED)
        // What is sent into a blocked line is gone: when it is mended, its connections are of no use any more.
        else if (state !== 'blocked') to.write(bytes)
      })
      from.on('error', () => from.destroy())
      from.on('close', () => {
        pairs.delete(pair)
        to.destroy()
      })
    }
  })
  server.listen(0, '127.0.0.1')
  await once(server, 'listening')
  const cut = (): void => {
    for (const [near, far] of pairs) {
      near.resetAndDestroy()
      far.destroy()
    }
  }
  return {
    port: (server.address() as AddressInfo).port,
    cut,
    down: () => {
      state = 'down'
      cut()
    },
    block: () => {
      state = 'blocked'
    },
    plain: () => {
      state = 'plain'
      cut()
    },
    mend: () => {
      if (state === 'blocked') cut()
      state = 'through'
    },
    close: async () => {
      state = 'down'
      cut()
      server.close()
      await once(server, 'close')
    }
  }
}
