import { EventEmitter, once } from 'node:events'
import type { AddressInfo } from 'node:net'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { WebSocket, WebSocketServer } from 'ws'
import { hashOf } from '../../server/auth/secret.ts'
import { Stream, type Socket } from '../../server/live/stream.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'
import { SHIPS } from './plan.ts'
import { freshId, fuelCall, service, logWith, streamParts, type MadeLink } from './service.ts'

interface Board {
  socket: WebSocket
  frames: FrameOut[]
  /** Settles with the first frame that fits, come or to come. */
  frame: <Kind extends FrameOut['kind']>(
    kind: Kind,
    fits?: (frame: Extract<FrameOut, { kind: Kind }>) => boolean
  ) => Promise<Extract<FrameOut, { kind: Kind }>>
  closed: Promise<number>
  facts: () => Fact[]
}

async function listening() {
  const made = await service()
  const { eventId, commander } = await made.openEvent()
  await made.app.listen({ port: 0, host: '127.0.0.1' })
  const address = made.app.server.address()
  if (address === null || typeof address === 'string') throw new Error('not listening')
  const { port } = address
  const record = (fuelKg: number) =>
    made.call('record', { as: commander, parameters: { eventId }, body: fuelCall(SHIPS.alder1, fuelKg) })
  const url = (after: number) => `ws://127.0.0.1:${String(port)}${pathOf('stream', { eventId })}?after=${String(after)}`

  async function board(after: number, as: MadeLink = commander, answersBeats = true): Promise<Board> {
    const socket = new WebSocket(url(after), { headers: { authorization: `Bearer ${as.secret}` } })
    onTestFinished(() => {
      socket.terminate()
    })
    const frames: FrameOut[] = []
    let heard: () => void = () => undefined
    socket.on('message', (message: Buffer) => {
      const frame = JSON.parse(message.toString()) as FrameOut
      frames.push(frame)
      if (frame.kind === 'beat' && answersBeats) socket.send(JSON.stringify({ kind: 'seen', seq: frame.seq }))
      heard()
    })
    const closed = new Promise<number>((resolve) => socket.once('close', resolve))
    await new Promise((resolve, reject) => {
      socket.once('open', resolve)
      socket.once('error', reject)
    })
    const frame: Board['frame'] = async (kind, fits = () => true) => {
      type Wanted = Extract<FrameOut, { kind: typeof kind }>
      for (;;) {
        const found = frames.find((one): one is Wanted => one.kind === kind && fits(one as Wanted))
        if (found) return found
        await new Promise<void>((resolve) => (heard = resolve))
      }
    }
    const facts = () => frames.flatMap((one) => (one.kind === 'facts' ? one.facts : []))
    return { socket, frames, frame, closed, facts }
  }
  return { ...made, eventId, commander, port, record, board, url }
}

const upTo = (seq: number) => (frame: { to: number }) => frame.to >= seq

describe('who looks on', () => {
  it('is told to everybody within a second of a change: each link with its pages', async () => {
    const { board, link, eventId, commander, rooms } = await listening()
    const crew = await link(eventId, 'crew', SHIPS.alder1)
    const first = await board(0)
    const second = await board(0, crew)
    const third = await board(0, crew)
    rooms.tick()
    const all = [
      { linkId: commander.linkId, boards: 1 },
      { linkId: crew.linkId, boards: 2 }
    ].sort((a, b) => (a.linkId < b.linkId ? -1 : 1))
    // The service ticks by itself as well, and may have told of those who were there before.
    const whole = ({ links }: { links: readonly { boards: number }[] }) =>
      links.reduce((sum, { boards }) => sum + boards, 0) === 3
    for (const one of [first, second, third]) expect((await one.frame('presence', whole)).links).toEqual(all)
    const before = first.frames.length
    rooms.tick()
    expect(first.frames.slice(before).filter(({ kind }) => kind === 'presence')).toEqual([])
    third.socket.close()
    await third.closed
    await vi.waitFor(() => {
      rooms.tick()
      expect(first.frames.filter(({ kind }) => kind === 'presence').at(-1)).toEqual({
        kind: 'presence',
        links: all.map((one) => ({ ...one, boards: 1 }))
      })
    })
    // Who comes later is greeted with it.
    const late = await board(0)
    expect((await late.frame('presence')).links).toHaveLength(2)
  })

  it('has a role for every link that ever was, oldest first, and no secret', async () => {
    const { call, link, eventId, commander, store, clock } = await listening()
    clock.forward(1_000)
    const crew = await link(eventId, 'crew', SHIPS.alder1)
    await store.revokeLink({ eventId, linkId: crew.linkId, atMs: clock.nowMs() })
    const { body } = await call('listMembers', { as: commander, parameters: { eventId } })
    expect(body).toEqual([
      { linkId: commander.linkId, role: 'commander', shipId: null },
      { linkId: crew.linkId, role: 'crew', shipId: SHIPS.alder1 }
    ])
  })
})

describe('the live socket', () => {
  it('greets with the clock of the event as it was set, for a page that folds no facts', async () => {
    const { call, board, eventId, commander, clock } = await listening()
    const set = { kind: 'setClock', eventAtMs: clock.nowMs() + 3_600_000, rateFactor: 2 }
    await call('record', { as: commander, parameters: { eventId }, body: { requestId: freshId(), ...set } })
    // It asks for nothing that was before.
    const one = await board(1_000_000_000)
    expect((await one.frame('hello')).clock).toEqual({
      realAtMs: clock.nowMs(),
      eventAtMs: clock.nowMs() + 3_600_000,
      rateFactor: 2
    })
    expect(one.facts()).toEqual([])
  })

  it('greets with the last fact, catches up what was missed, and goes on without a gap or a repeat', async () => {
    const { record, board, eventId, clock } = await listening()
    await record(3001)
    const fresh = await board(0)
    expect(await fresh.frame('hello')).toEqual({
      kind: 'hello',
      v: 1,
      eventId,
      seq: 3,
      after: 0,
      mark: null,
      realAtMs: clock.nowMs(),
      serverVersion: '0.0.0-test',
      clock: { realAtMs: 0, eventAtMs: 0, rateFactor: 1 }
    })
    const { requestId, recordedAtMs } = (await fresh.frame('facts', upTo(3))).facts[1] ?? {}
    const marked = await (await board(2)).frame('hello')
    expect(marked).toMatchObject({ after: 2, mark: `${String(requestId)} ${String(recordedAtMs)}` })
    // A page that has more than the log was of another one.
    expect(await (await board(4)).frame('hello')).toMatchObject({ seq: 3, after: 4, mark: null })
    await record(3002)
    const late = await board(3)
    await Promise.all(Array.from({ length: 20 }, (_, index) => record(3010 + index)))
    await fresh.frame('facts', upTo(24))
    await late.frame('facts', upTo(24))
    const seqs = (one: Board) => one.facts().map(({ seq }) => seq)
    expect(seqs(fresh)).toEqual(Array.from({ length: 24 }, (_, index) => index + 1))
    expect(seqs(late)).toEqual(Array.from({ length: 21 }, (_, index) => index + 4))
    for (const { frames } of [fresh, late]) {
      const spans = frames.filter((frame) => frame.kind === 'facts')
      spans.forEach(({ from, to, facts }, index) => {
        expect(facts.map(({ seq }) => seq)).toEqual(Array.from({ length: to - from + 1 }, (_, n) => from + n))
        const before = spans[index - 1]
        if (before) expect(from).toBe(before.to + 1)
      })
    }
    expect(fresh.facts()[0]).toMatchObject({ kind: 'planAdopted', plan: { name: 'Small event' } })
  })

  it('gives every board the same bytes as the log', async () => {
    const { record, board, call, commander, eventId } = await listening()
    const one = await board(2)
    await record(3001)
    await one.frame('facts', upTo(3))
    const { body } = await call('readLog', { as: commander, parameters: { eventId }, query: '?after=2' })
    expect(one.facts()).toEqual(body['facts'])
  })

  it('beats every two seconds with the last fact sent', async () => {
    const { board, rooms, clock } = await listening()
    const one = await board(0)
    rooms.tick()
    const first = await one.frame('beat')
    expect(first).toEqual({ kind: 'beat', seq: 2, realAtMs: clock.nowMs() })
    clock.forward(1_000)
    rooms.tick()
    clock.forward(1_000)
    rooms.tick()
    await one.frame('beat', ({ realAtMs }) => realAtMs === clock.nowMs())
    expect(one.frames.filter(({ kind }) => kind === 'beat')).toHaveLength(2)
  })

  it('keeps a board that answers its beats, and ends one that has not for more than five seconds', async () => {
    const { board, rooms, clock, eventId } = await listening()
    const good = await board(0)
    const mute = await board(0, undefined, false)
    const { stream } = await rooms.of(eventId)
    rooms.tick()
    for (let second = 1; second <= 6; second += 1) {
      const { realAtMs } = await good.frame('beat', (frame) => frame.realAtMs > clock.nowMs() - 2_000)
      expect(realAtMs).toBeGreaterThan(0)
      // The answer to that beat is on its way to the service: wait until it has been heard.
      await vi.waitFor(() => {
        expect(stream.unanswered).toBe(stream.size === 2 ? 1 : 0)
      })
      clock.forward(1_000)
      rooms.tick()
    }
    expect(await mute.closed).toBe(1006)
    expect(good.socket.readyState).toBe(WebSocket.OPEN)
    expect(stream.size).toBe(1)
  })

  it('ends with a word when the link is revoked, at once', async () => {
    const { board, call, link, commander, eventId } = await listening()
    const viewer = await link(eventId, 'viewer')
    const theirs = await board(0, viewer)
    const other = await board(0)
    await call('revokeLink', { as: commander, parameters: { eventId, linkId: viewer.linkId } })
    expect(await theirs.frame('problem')).toEqual({ kind: 'problem', code: 'no-membership' })
    expect(await theirs.closed).toBe(1008)
    expect(other.socket.readyState).toBe(WebSocket.OPEN)
  })

  it('ends with a word within a second of the instant its link expires, and when the link is renewed', async () => {
    const { board, call, link, rooms, clock, commander, eventId, store } = await listening()
    const viewer = await link(eventId, 'viewer')
    const { linkId, secret } = viewer
    await store.renewLink({ eventId, linkId, secretHash: hashOf(secret), expiresAtMs: clock.nowMs() + 10_000 })
    const theirs = await board(0, viewer)
    const other = await board(0)
    clock.forward(9_000)
    rooms.tick()
    await other.frame('beat')
    expect(theirs.socket.readyState).toBe(WebSocket.OPEN)
    clock.forward(1_000)
    rooms.tick()
    expect(await theirs.frame('problem')).toEqual({ kind: 'problem', code: 'no-membership' })
    expect(await theirs.closed).toBe(1008)
    expect(other.socket.readyState).toBe(WebSocket.OPEN)
    const again = await link(eventId, 'viewer')
    const third = await board(0, again)
    await call('renewLink', { as: commander, parameters: { eventId, linkId: again.linkId }, body: {} })
    expect(await third.closed).toBe(1008)
  })

  it.each([
    ['what is not JSON', 'hello'],
    ['another kind', JSON.stringify({ kind: 'facts', seq: 1 })],
    ['no sequence number', JSON.stringify({ kind: 'seen', seq: 'two' })],
    ['nothing', 'null']
  ])('ends on %s', async (_, message) => {
    const { board } = await listening()
    const one = await board(0)
    one.socket.send(message)
    expect(await one.closed).toBe(1008)
  })

  it('ends on a message above 16 KiB, and on more than a burst of messages', async () => {
    const { board } = await listening()
    const loud = await board(0)
    loud.socket.send('x'.repeat(16 * 1024 + 1))
    expect(await loud.closed).toBe(1009)
    const hasty = await board(0)
    for (let n = 0; n < 21; n += 1) hasty.socket.send(JSON.stringify({ kind: 'seen', seq: 1 }))
    expect(await hasty.closed).toBe(1008)
    const brisk = await board(0)
    for (let n = 0; n < 20; n += 1) brisk.socket.send(JSON.stringify({ kind: 'seen', seq: 1 }))
    await brisk.frame('hello')
    expect(brisk.socket.readyState).toBe(WebSocket.OPEN)
  })

  it('is refused to another site before it opens, and to a page without a link', async () => {
    const { url, commander, port } = await listening()
    const attempt = (headers: Record<string, string>, query = '') =>
      new Promise<number | string>((resolve) => {
        const socket = new WebSocket(url(0) + query, { headers })
        socket.once('unexpected-response', (_request, response) => {
          resolve(response.statusCode ?? 0)
        })
        socket.once('open', () => {
          resolve('open')
          socket.terminate()
        })
      })
    const own = `http://127.0.0.1:${String(port)}`
    const cookie = `ullage_${commander.linkId}=${commander.secret}`
    const as = `&as=${commander.linkId}`
    expect(await attempt({ cookie, origin: own }, as)).toBe('open')
    expect(await attempt({ cookie, origin: 'https://elsewhere.test' }, as)).toBe(403)
    expect(await attempt({ cookie }, as)).toBe(403)
    expect(await attempt({ cookie, origin: own })).toBe(401)
    expect(await attempt({ origin: own }, as)).toBe(401)
    expect(await attempt({ authorization: `Bearer ${commander.secret}`, origin: 'https://elsewhere.test' })).toBe(403)
  })

  it('offers no compression of messages, which costs more than it saves', async () => {
    const { board } = await listening()
    expect((await board(0)).socket.extensions).toBe('')
  })

  it('ends when the service does', async () => {
    const { board, app } = await listening()
    const one = await board(0)
    await app.close()
    expect(await one.closed).toBe(1001)
  })
})

describe('a board that has missed much', () => {
  /** A socket that is not read, and the kinds of frames it was sent. */
  const unread = (bufferedAmount: number) => {
    const sent: string[] = []
    const socket = Object.assign(new EventEmitter(), {
      bufferedAmount,
      send: (frame: string | Buffer) => void sent.push((JSON.parse(frame.toString()) as FrameOut).kind),
      close: () => undefined,
      terminate: () => undefined
    })
    return { sent, socket: socket as unknown as Socket & EventEmitter }
  }

  it('is told by a beat to read the log, where that is more than a page of it', () => {
    const log = logWith({ seq: 5_000, facts: () => '[{}]', endOfPage: (from: number) => from + 1_999 })
    const stream = new Stream(log, streamParts())
    const [near, far] = [unread(0), unread(0)]
    stream.add(near.socket, { after: 3_000, linkId: 'l-1' })
    stream.add(far.socket, { after: 2_999, linkId: 'l-1' })
    expect([near.sent, far.sent]).toEqual([
      ['hello', 'facts'],
      ['hello', 'beat']
    ])
  })

  it('is told the same while 16 MiB wait for others, however many those are; one frame that they share counts once', () => {
    const text = `["${'x'.repeat(500_000)}"]`
    const log = logWith({ seq: 3_000, facts: () => text, endOfPage: () => 3_000 })
    const stream = new Stream(log, streamParts())
    const add = (after: number) => {
      const one = unread(1)
      stream.add(one.socket, { after, linkId: 'l-1' })
      return one
    }
    for (let n = 0; n < 100; n += 1) expect(add(0).sent).toEqual(['hello', 'facts'])
    const others = Array.from({ length: 100 }, (_, n) => add(n + 1))
    const given = others.filter(({ sent }) => sent.includes('facts'))
    // With the shared one 17 MB, the first beyond the bound.
    expect(given).toHaveLength(33)
    expect(others.slice(33).every(({ sent }) => sent[1] === 'beat')).toBe(true)
    given[0]?.socket.emit('close')
    expect(add(200).sent).toEqual(['hello', 'facts'])
  })
})

describe('a board that does not read', () => {
  it('is ended once more than 256 KiB wait for it, while others get every frame', async () => {
    // Facts of a quarter megabyte each: the kernel takes a few megabytes before anything waits in the process.
    const log = logWith({ seq: 0, facts: () => `["${'x'.repeat(250_000)}"]`, endOfPage: (from: number) => from })
    const stream = new Stream(log, streamParts())
    const server = new WebSocketServer({ port: 0, host: '127.0.0.1', perMessageDeflate: false })
    server.on('connection', (socket) => {
      stream.add(socket, { after: 0, linkId: 'l-1' })
    })
    await once(server, 'listening')
    const { port } = server.address() as AddressInfo
    const good = new WebSocket(`ws://127.0.0.1:${String(port)}`)
    const stuck = new WebSocket(`ws://127.0.0.1:${String(port)}`)
    onTestFinished(() => {
      for (const socket of [good, stuck]) socket.terminate()
      server.close()
    })
    const spans: [number, number][] = []
    good.on('message', (message: Buffer) => {
      const frame = JSON.parse(message.toString()) as FrameOut
      if (frame.kind === 'facts') spans.push([frame.from, frame.to])
    })
    await vi.waitFor(() => {
      expect(stream.size).toBe(2)
      // One that still opens cannot be paused.
      expect(stuck.readyState).toBe(WebSocket.OPEN)
    })
    stuck.pause()
    while (stream.size === 2 && log.seq < 400) {
      log.seq += 1
      stream.wake()
      await vi.waitFor(() => {
        expect(spans.at(-1)?.[1]).toBe(log.seq)
      })
    }
    expect(stream.size).toBe(1)
    expect(log.seq).toBeGreaterThan(1)
    spans.forEach(([from], index) => {
      expect(from).toBe((spans[index - 1]?.[1] ?? 0) + 1)
    })
    stream.end()
  }, 30_000)

  it('may take its time over a long catch-up, once', () => {
    const sent: number[] = []
    const socket = Object.assign(new EventEmitter(), {
      // The system took some of it at once.
      bufferedAmount: 1,
      send: (frame: string | Buffer) => sent.push(frame.length),
      close: () => undefined,
      terminate: vi.fn()
    })
    const log = logWith({ seq: 1, facts: () => `["${'x'.repeat(1_000_000)}"]`, endOfPage: (from: number) => from })
    const stream = new Stream(log, streamParts())
    stream.add(socket as unknown as Socket, { after: 0, linkId: 'l-1' })
    const [, catchUpBytes = 0] = sent
    socket.bufferedAmount = catchUpBytes
    stream.tick()
    expect(socket.terminate).not.toHaveBeenCalled()
    socket.bufferedAmount = 0
    stream.tick()
    socket.bufferedAmount = catchUpBytes
    log.seq = 2
    stream.add(Object.assign(new EventEmitter(), socket) as unknown as Socket, { after: 2, linkId: 'l-2' })
    expect(socket.terminate).toHaveBeenCalledOnce()
  })
})
