import { describe, expect, it } from 'vitest'
import type { LogAnswer, RecordedAnswer } from '../../shared/contracts/answers.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import { pathOf, type RouteName } from '../../shared/contracts/routes.ts'
import type { View } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState } from '../../shared/live/state.ts'
import { SHIPS, smallPlan } from './plan.ts'
import { start, type Running } from './process.ts'
import { fuelCall, newFolder } from './service.ts'

const REQUESTS = 200
const IN_FLIGHT = 32
const KILLS = 10
/** A kill comes up to this long after the answer that calls for it: anywhere in a turn of the loop. */
const SPREAD_MS = 6

/** A repeatable source of chance, so that a failure can be run again: mulberry32. */
function chanceFrom(seed: number): () => number {
  let state = seed
  return () => {
    state = (state + 0x6d2b79f5) | 0
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state)
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296
  }
}

describe('a process that is killed without warning', () => {
  const seed = Date.now() % 1_000_000
  it(`has lost nothing it acknowledged and doubled nothing, killed ${String(KILLS)} times (seed ${String(seed)})`, async () => {
    const chance = chanceFrom(seed)
    const DATA_DIR = newFolder()
    let server = start({ DATA_DIR })
    const secret = (await server).secrets.get('Owner of this service') ?? ''
    const send = async (to: Running, name: RouteName, eventId: string, body?: unknown): Promise<Response> =>
      fetch(to.address + pathOf(name, { eventId }), {
        method: body === undefined ? 'GET' : 'POST',
        headers: { authorization: `Bearer ${secret}`, 'content-type': 'application/json' },
        ...(body === undefined ? {} : { body: JSON.stringify(body) })
      })

    const plan = smallPlan({ opensAtMs: Date.now() - 60_000 })
    const created = await send(await server, 'createPlan', '', { plan })
    const { eventId } = (await created.json()) as { eventId: string }
    await send(await server, 'publishPlan', eventId, { requestId: 'publish-1', revision: 1 })
    await send(await server, 'record', eventId, { requestId: 'open-event-1', kind: 'openEvent' })

    // After how many acknowledgements each kill comes.
    const moments = Array.from({ length: KILLS }, () => Math.floor(chance() * (REQUESTS - 1)) + 1).sort((a, b) => a - b)
    const asks = Array.from({ length: REQUESTS }, (_, n) =>
      fuelCall(SHIPS.alder1, 2000 + n, `call-${String(n).padStart(5, '0')}`)
    )
    const acknowledged = new Map<string, RecordedAnswer>()
    const waiting = [...asks]
    let kills = 0
    let repeats = 0
    let cut = 0

    let killing = false
    async function killAndStart(doomed: Promise<Running>): Promise<Running> {
      killing = true
      const running = await doomed
      await new Promise((resolve) => setTimeout(resolve, chance() * SPREAD_MS))
      expect((await running.kill('SIGKILL')).signal).toBe('SIGKILL')
      kills += 1
      const next = await start({ DATA_DIR })
      killing = false
      return next
    }

    /** Asks until it is answered, with the same id, whatever becomes of the server in between. */
    async function askUntilAnswered(ask: (typeof asks)[number]): Promise<void> {
      for (;;) {
        const running = await server
        try {
          const answer = await send(running, 'record', eventId, ask)
          expect(answer.status).toBe(200)
          const recorded = (await answer.json()) as RecordedAnswer
          if (recorded.repeated) repeats += 1
          acknowledged.set(ask.requestId, recorded)
          if (!killing && acknowledged.size >= (moments[0] ?? Infinity)) {
            moments.shift()
            server = killAndStart(server)
          }
          return
        } catch (error) {
          if (!(error instanceof TypeError)) throw error
          cut += 1
          // The connection may be gone before it is known here that the server is.
          if (!killing) await new Promise((resolve) => setTimeout(resolve, 1))
        }
      }
    }
    await Promise.all(
      Array.from({ length: IN_FLIGHT }, async () => {
        for (let ask = waiting.shift(); ask !== undefined; ask = waiting.shift()) await askUntilAnswered(ask)
      })
    )
    // Moments that fell together are caught up, so that there are as many kills as there should be.
    await server
    while (kills < KILLS) await (server = killAndStart(server))

    const last = await server
    const log = (await (await send(last, 'readLog', eventId)).json()) as LogAnswer
    expect(log.facts.map(({ seq }) => seq)).toEqual(Array.from({ length: log.to }, (_, index) => index + 1))
    const byRequest = new Map<string, Fact[]>()
    for (const fact of log.facts) byRequest.set(fact.requestId, [...(byRequest.get(fact.requestId) ?? []), fact])
    const lost = asks.filter(({ requestId }) => !byRequest.has(requestId))
    const twice = [...byRequest].filter(([, facts]) => facts.length > 1)
    expect(acknowledged.size).toBe(REQUESTS)
    expect({ lost: lost.length, twice: twice.length }).toEqual({ lost: 0, twice: 0 })
    expect(log.to).toBe(REQUESTS + 2)
    for (const [requestId, { facts }] of acknowledged) expect(byRequest.get(requestId), requestId).toEqual(facts)

    const state = (await (await send(last, 'readState', eventId)).json()) as View
    const replayed = log.facts.reduce(reduce, emptyState(eventId))
    expect(state).toEqual(JSON.parse(JSON.stringify(estimate(replayed, state.atMs))))
    expect(kills).toBe(KILLS)
    // Kills that cut nothing off would show nothing.
    expect(cut).toBeGreaterThan(0)
    console.log(`${String(cut)} requests were cut off, ${String(repeats)} of them had been recorded`)
  }, 180_000)
})
