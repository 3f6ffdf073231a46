import { once } from 'node:events'
import { WebSocket } from 'ws'
import { pathOf } from '../../shared/contracts/routes.ts'
import {
  callBody,
  openBoards,
  openEvent,
  pause,
  residentKiB,
  startOurs,
  type Server,
  type Target
} from '../bench/child.ts'
import { jsonOf, Line } from '../bench/line.ts'
import { latencies, p99Of } from '../bench/timing.ts'

const EVENTS = 50
const BOARDS = 500
const CALLS_PER_S = 50
/** Boards that never read, and boards that read and never answer a beat. */
const SLOW = 10
const DEAD = 10
/** The last board's slowest of a hundred with them, over the same without them, just before in the same run. */
const HURT_MOST = 3
/** What is compared, at most: those that are cut off are gone after some ten seconds. */
const COMPARED_S = 20
const LINES = 8
const NS_PER_MS = 1e6

/** Fifty events of 24 ships, one of them with 500 boards and 50 calls a second, the others with a call each a second. */
export async function loadRows({ minutes }: { minutes: number }) {
  const server = await startOurs('off')
  try {
    const events: Target[] = []
    for (let n = 0; n < EVENTS; n += 1) events.push(await openEvent(server))
    const [main, ...others] = events
    if (main === undefined) throw new Error('no event')
    const boards = await openBoards(main, BOARDS)
    let hostiles: Promise<WebSocket>[] = []
    let hostileNs = 0n
    const lines = await Promise.all(Array.from({ length: LINES }, () => Line.to(server.port)))
    const quiet = await Line.to(server.port)
    const rssBeganKiB = residentKiB(server.pid)
    const startedNs = new Map<number, bigint>()
    const answerMs: number[] = []
    const otherMs: number[] = []
    const delivered: { ms: number; startedNs: bigint }[] = []
    let refused = 0
    const quietCalls = { stop: false }
    const others1 = (async () => {
      for (let n = 0; !quietCalls.stop; n += 1) {
        const event = others[n % others.length]
        if (event === undefined) return
        const atMs = performance.now()
        const { status } = await quiet.ask('POST', event.callPath, callBody(n), event.headers)
        if (status !== 200) refused += 1
        otherMs.push(performance.now() - atMs)
        await pause(Math.max(0, 1000 / others.length - (performance.now() - atMs)))
      }
    })()
    const gather = async (): Promise<void> => {
      for (const { from, to, atNs } of await boards.delivered()) {
        for (let seq = from; seq <= to; seq += 1) {
          const began = startedNs.get(seq)
          if (began === undefined) continue
          startedNs.delete(seq)
          delivered.push({ ms: Number(BigInt(atNs) - began) / NS_PER_MS, startedNs: began })
        }
      }
    }
    const free = [...lines]
    const beganMs = performance.now()
    const calls = Math.round(minutes * 60 * CALLS_PER_S)
    const answers: Promise<void>[] = []
    for (let n = 0; n < calls; n += 1) {
      if (n === Math.floor(calls / 2)) {
        hostileNs = process.hrtime.bigint()
        hostiles = Array.from({ length: SLOW + DEAD }, (_, which) => hostile(main, which < SLOW ? 'slow' : 'dead'))
      }
      const waitMs = beganMs + (n * 1000) / CALLS_PER_S - performance.now()
      if (waitMs > 0) await pause(waitMs)
      while (free.length === 0) await pause(1)
      // In turn: one that were used only when all others wait would be closed as idle.
      const line = free.shift()
      if (line === undefined) continue
      const atNs = process.hrtime.bigint()
      answers.push(
        line.ask('POST', main.callPath, callBody(n), main.headers).then((answer) => {
          free.push(line)
          if (answer.status !== 200) {
            refused += 1
            return
          }
          answerMs.push(Number(process.hrtime.bigint() - atNs) / NS_PER_MS)
          startedNs.set((JSON.parse(answer.body) as { from: number }).from, atNs)
        })
      )
      if (n % 2_000 === 1_999) await gather()
    }
    const tookS = (performance.now() - beganMs) / 1000
    await Promise.all(answers)
    quietCalls.stop = true
    await others1
    await pause(1_000)
    await gather()
    const state = await quiet.ask('GET', pathOf('readState', { eventId: main.eventId }), '', main.headers)
    jsonOf(state)
    const within = (fromS: number, toS: number) =>
      delivered
        .filter(({ startedNs }) => {
          const afterS = Number(startedNs - hostileNs) / 1e9
          return afterS >= fromS && afterS < toS
        })
        .map(({ ms }) => ms)
    const [without, beside] = [within(-COMPARED_S, 0), within(0, COMPARED_S)]
    const figures = {
      minutes,
      calls,
      callsPerS: calls / tookS,
      refused,
      /** Calls that did not reach every one of the boards. */
      notDelivered: startedNs.size,
      answerMs: latencies(answerMs),
      toTheLastBoardMs: latencies(delivered.map(({ ms }) => ms)),
      toTheLastBoardBeforeSlowAndDeadMs: latencies(without),
      toTheLastBoardBesideSlowAndDeadMs: latencies(beside),
      otherEventsMs: latencies(otherMs),
      /** Of the service's own count; the slow and the dead must be cut off by now. */
      boardsLeft: await boardsOf(server, quiet),
      rssKiB: { began: rssBeganKiB, ended: residentKiB(server.pid) }
    }
    for (const socket of await Promise.all(hostiles)) socket.terminate()
    for (const line of [...lines, quiet]) line.close()
    await boards.stop()
    const unhurt = p99Of(beside) <= HURT_MOST * p99Of(without)
    const holds = refused === 0 && figures.notDelivered === 0 && figures.boardsLeft === BOARDS && unhurt
    return { holds, ...figures }
  } finally {
    await server.stop()
  }
}

/** A board that does not do its part: it never reads, or it never answers. */
async function hostile({ streamUrl, headers }: Target, how: 'slow' | 'dead'): Promise<WebSocket> {
  const socket = new WebSocket(streamUrl, { headers, perMessageDeflate: false })
  socket.on('error', () => undefined)
  await once(socket, 'open')
  if (how === 'slow') socket.pause()
  return socket
}

async function boardsOf(server: Server, line: Line): Promise<number> {
  const owner = /Owner[^\n]*\/join#(\S+)/.exec(server.said())?.[1] ?? ''
  const { body } = await line.ask('GET', pathOf('metrics'), '', { authorization: `Bearer ${owner}` })
  return Number(/^ullage_boards (\d+)$/m.exec(body)?.[1])
}
