import { readFileSync } from 'node:fs'
import { connect, type AddressInfo } from 'node:net'
import Fastify from 'fastify'
import { describe, expect, it, onTestFinished, vi } from 'vitest'
import { mintEventId } from '../../server/auth/secret.ts'
import { Limits } from '../../server/limits.ts'
import { asBody } from '../../server/live/bodies.ts'
import { Lines } from '../../server/live/lines.ts'
import { endOfPage, PAGE } from '../../server/live/page.ts'
import { sendLarge } from '../../server/routes/large.ts'
import type { Link } from '../../server/store/store.ts'
import { Unread } from '../../server/unread.ts'
import { UNREAD } from '../../shared/contracts/bounds.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { RequestId } from '../../shared/contracts/ids.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { SHIPS } from './plan.ts'
import { fuelCall, service } from './service.ts'

const KIB = 1024

/** A service with an event of so many facts, all but the first two of them fuel calls. */
async function withLog(facts: number, extra: Parameters<typeof service>[0] = {}) {
  const made = await service(extra)
  const first = await made.openEvent()
  const as = { as: first.commander, parameters: { eventId: first.eventId } }
  await made.call('record', { ...as, body: fuelCall(SHIPS.alder1, 4000) })
  const whole = await made.store.wholeEvent(first.eventId)
  const called = whole?.facts.at(-1)
  if (whole === undefined || called === undefined) throw new Error('no event')
  const eventId = mintEventId()
  const log = Array.from({ length: facts }, (_, index): Fact => {
    const requestId = `request-of-${String(index)}` as RequestId
    return { ...(whole.facts[index] ?? called), eventId, seq: index + 1, requestId }
  })
  const outcomes = log.map(({ requestId, seq }) => ({ requestId, from: seq, to: seq, bodyHash: 'of a body' }))
  await made.store.keepEvent({ ...whole, eventId, facts: log, outcomes }, made.clock.nowMs())
  return { ...made, eventId, log }
}

describe('a page of a log', () => {
  it('holds two thousand facts or half a MiB, the first at least, and nothing beyond the last', () => {
    const lines = new Lines()
    for (let seq = 1; seq <= 5_000; seq += 1) lines.push('x'.repeat(100))
    expect([endOfPage(lines, 1), endOfPage(lines, 2_001), endOfPage(lines, 4_001), endOfPage(lines, 5_001)]).toEqual([
      2_000, 4_000, 5_000, 5_000
    ])
    const large = new Lines()
    for (const length of [300 * KIB, 300 * KIB, 900 * KIB, 1, 1]) large.push('x'.repeat(length))
    expect([1, 2, 3, 4].map((from) => endOfPage(large, from))).toEqual([1, 2, 3, 5])
  })

  it('says that there is more, until all of it was told', async () => {
    const { call, link, eventId, log } = await withLog(2 * PAGE.facts + 10)
    const viewer = await link(eventId, 'viewer')
    const told: Fact[] = []
    const pages: unknown[] = []
    for (let more = true, after = 0; more; after = told.length) {
      const { body } = await call('readLog', {
        as: viewer,
        parameters: { eventId },
        query: `?after=${String(after)}`
      })
      expect([body['from'], body['to']]).toEqual([after + 1, after + (body['facts'] as Fact[]).length])
      told.push(...(body['facts'] as Fact[]))
      pages.push(body['to'])
      more = body['more'] as boolean
    }
    expect(told).toEqual(log)
    expect(pages).toHaveLength(3)
  })
})

describe('large answers that nobody reads', () => {
  it.each([
    ['readLog', 1],
    ['readPlan', 40],
    ['exportPlan', 40]
  ] as const)(
    'of %s are refused beyond a bound to the link from that address, made for others, and again when their readers are gone',
    async (name, atOnce) => {
      const mostUnread = { perLinkBytes: 4_000 * KIB, perReaderBytes: 100 * KIB }
      const { app, call, eventId, link } = await withLog(2_000, { mostUnread })
      const [greedy, other] = [await link(eventId, 'viewer'), await link(eventId, 'viewer')]
      await app.listen({ port: 0, host: '127.0.0.1' })
      const { port } = app.server.address() as AddressInfo
      const socket = connect(port, '127.0.0.1').pause()
      onTestFinished(() => {
        socket.destroy()
      })
      const ask = (n: number) =>
        socket.write(
          [
            `GET ${pathOf(name, { eventId })}?after=${String(n)} HTTP/1.1`,
            'Host: here',
            `Authorization: Bearer ${greedy.secret}\r\n\r\n`
          ]
            .join('\r\n')
            .repeat(atOnce)
        )
      const read = (as = greedy, from = '127.0.0.1') =>
        call(name, { as, parameters: { eventId }, headers: { 'x-forwarded-for': from } })
      // The system takes a few megabytes before anything waits in the process; from then on it stays refused.
      let refusals = 0
      for (let n = 0; n < 200 && refusals < 4; n += 1) {
        if (refusals === 0) ask(n)
        await new Promise((resolve) => setTimeout(resolve, 25))
        refusals = (await read()).status === 429 ? refusals + 1 : 0
      }
      const refused = await read()
      expect([refused.body.code, refused.headers['retry-after']]).toEqual(['too-many-requests', '5'])
      expect([(await read(other)).status, (await read(greedy, '192.0.2.1')).status]).toEqual([200, 200])
      socket.destroy()
      await vi.waitFor(async () => {
        expect((await read()).status).toBe(200)
      }, 20_000)
    },
    60_000
  )

  it('are let go of with their connection, those too that wait behind another of it', async () => {
    const limits = new Limits(() => 0)
    const app = Fastify()
    onTestFinished(() => app.close())
    const body = asBody('x'.repeat(8_000 * KIB))
    let answered = 0
    app.decorateRequest('link', null)
    app.get('/', (request, reply) => {
      request.link = { linkId: 'l-1' } as Link
      answered += 1
      return sendLarge(request, reply, { limits, body })
    })
    await app.listen({ port: 0, host: '127.0.0.1' })
    const socket = connect((app.server.address() as AddressInfo).port, '127.0.0.1').pause()
    socket.write('GET / HTTP/1.1\r\nHost: here\r\n\r\n'.repeat(3))
    await vi.waitFor(() => {
      expect([answered, limits.unread.size]).toEqual([3, 2])
    })
    socket.destroy()
    await vi.waitFor(() => {
      expect(limits.unread.size).toBe(0)
    }, 5_000)
  })

  it('count once where many wait for the same, are bounded under a link as a whole, and are forgotten', () => {
    const unread = new Unread({ perLinkBytes: 300, perReaderBytes: 200 })
    const shared = Buffer.alloc(150)
    const gone = Array.from({ length: 1_000 }, () => unread.hold('l-1', 'a', shared))
    unread.check('l-1', 'a')
    gone.push(unread.hold('l-1', 'a', Buffer.alloc(50)))
    expect(() => {
      unread.check('l-1', 'a')
    }).toThrow('under this link from this address')
    unread.check('l-1', 'b')
    gone.push(unread.hold('l-1', 'b', Buffer.alloc(100)))
    expect(() => {
      unread.check('l-1', 'c')
    }).toThrow('under this link')
    unread.check('l-2', 'a')
    for (const release of gone) release()
    expect(unread.size).toBe(0)
  })

  it('are bounded as docs/operate.md says', () => {
    const text = readFileSync(new URL('../../docs/operate.md', import.meta.url), 'utf8')
    const [, reader, whole] = /of one link from one address (\d+) MiB, of one link (\d+) MiB/.exec(text) ?? []
    expect([Number(reader) * KIB * KIB, Number(whole) * KIB * KIB]).toEqual([
      UNREAD.perReaderBytes,
      UNREAD.perLinkBytes
    ])
    const [, facts, kib] = /a page of the log \| (\d+) facts, (\d+) KiB/.exec(text) ?? []
    expect([Number(facts), Number(kib) * KIB]).toEqual([PAGE.facts, PAGE.length])
  })
})
