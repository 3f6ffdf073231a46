/*
 * So many open boards in a process of their own. Each answers beats as a page does; of every frame of facts the instant
 * is noted at which the last board had it.
 */
import { once } from 'node:events'
import { WebSocket } from 'ws'

export interface Opening {
  url: string
  headers: Record<string, string>
  count: number
}

/** All boards had the facts from..to at an instant of the machine's steady clock. */
export interface Delivery {
  from: number
  to: number
  atNs: string
}

export type FromBoards = { kind: 'open' } | { kind: 'delivered'; deliveries: Delivery[] }

/** How many are opened at a time. */
const AT_A_TIME = 50

const FACTS = Buffer.from('{"kind":"facts"')
const HEAD = /^\{"kind":"facts","from":(\d+),"to":(\d+),/

const tell = (message: FromBoards): void => {
  process.send?.(message)
}

process.once('message', (opening: Opening) => {
  void open(opening)
})
// Whoever opened them is gone.
process.once('disconnect', () => process.exit(0))

async function open({ url, headers, count }: Opening): Promise<void> {
  const seen = new Map<number, number>()
  let deliveries: Delivery[] = []
  const hear = (socket: WebSocket, message: Buffer): void => {
    if (!message.subarray(0, FACTS.length).equals(FACTS)) {
      const frame = JSON.parse(message.toString()) as { kind: string; seq?: number }
      if (frame.kind === 'beat') socket.send(JSON.stringify({ kind: 'seen', seq: frame.seq }))
      return
    }
    const [, from, to] = HEAD.exec(message.toString('latin1', 0, 64)) ?? []
    const last = Number(to)
    const times = (seen.get(last) ?? 0) + 1
    if (times < count) seen.set(last, times)
    else {
      seen.delete(last)
      deliveries.push({ from: Number(from), to: last, atNs: String(process.hrtime.bigint()) })
    }
  }
  for (let opened = 0; opened < count; opened += AT_A_TIME) {
    await Promise.all(
      Array.from({ length: Math.min(AT_A_TIME, count - opened) }, async () => {
        const socket = new WebSocket(url, { headers, perMessageDeflate: false })
        socket.on('message', (message) => {
          hear(socket, message as Buffer)
        })
        await once(socket, 'open')
      })
    )
  }
  tell({ kind: 'open' })
  process.on('message', () => {
    tell({ kind: 'delivered', deliveries })
    deliveries = []
  })
}
