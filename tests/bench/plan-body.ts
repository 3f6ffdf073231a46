import { join } from 'node:path'
import { ROOT } from '../../server/root.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { callBody, loopDelay, openEvent, pause, startOurs, type Target } from './child.ts'
import { twoHundredShips } from './fleet.ts'
import { jsonOf, Line } from './line.ts'
import { latencies, medianOf, rowOf, type Row } from './timing.ts'

const LOOP = join(ROOT, 'tests', 'bench', 'loop.mjs')
const TURNS = 8
const CALLS_PER_S = 50
const TURN_CALLS = 100
const MOST_BYTES = 4 * 1024 * 1024

/** Fuel calls while a commander sends plans: what is none, of four megabytes, and the largest fleet there may be. */
export async function planBodyRows(): Promise<Row[]> {
  const server = await startOurs('off', ['--import', LOOP])
  try {
    const target = await openEvent(server)
    const [calls, plans] = [await Line.to(server.port), await Line.to(server.port)]
    const largest = JSON.stringify(twoHundredShips(Date.UTC(2030, 2, 4, 12)))
    const bodies = { 'four megabytes of no plan': crowded(largest), 'a plan of 200 ships': largest }
    // Threads start once, and the compiler sees everything once.
    for (const body of Object.values(bodies)) await send(plans, target, body)
    await callsOn(calls, target)
    const rows: Row[] = []
    for (const [name, body] of Object.entries(bodies)) {
      const [busy, idle] = [sideOf(), sideOf()]
      for (let turn = 0; turn < TURNS; turn += 1) {
        for (const side of turn % 2 === 0 ? [busy, idle] : [idle, busy]) {
          await loopDelay(server)
          const sent = side === busy ? sendOn(plans, target, body) : undefined
          side.callMs.push(...(await callsOn(calls, target)))
          await sent?.stop()
          const [, p99 = NaN, most = NaN] = await loopDelay(server)
          side.p99Ms.push(p99)
          side.mostMs.push(most)
        }
      }
      const most = ({ mostMs }: Side) => ({ median: medianOf(mostMs), most: Math.max(...mostMs) })
      const p99 = ({ p99Ms }: Side) => ({ median: medianOf(p99Ms) })
      rows.push(
        rowOf(`fuel calls while ${name} comes in: answer`, 'ms', TURNS, latencies(busy.callMs), latencies(idle.callMs)),
        rowOf(`${name}: loop delay, 99th percentile of a turn`, 'ms', TURNS, p99(busy), p99(idle)),
        rowOf(`${name}: most loop delay of a turn`, 'ms', TURNS, most(busy), most(idle))
      )
    }
    for (const line of [calls, plans]) line.close()
    return rows
  } finally {
    await server.stop()
  }
}

interface Side {
  callMs: number[]
  p99Ms: number[]
  mostMs: number[]
}
const sideOf = (): Side => ({ callMs: [], p99Ms: [], mostMs: [] })

/** A plan with a list of empty objects in place of its flights, as long as it may be. */
function crowded(plan: string): string {
  const whole = JSON.parse(plan) as Record<string, unknown>
  delete whole['flights']
  const head = `${JSON.stringify({ ...whole, orders: [] }).slice(0, -1)},"flights":[{}`
  return `${head}${',{}'.repeat(Math.floor((MOST_BYTES - head.length - 2) / 3))}]}`
}

async function send(line: Line, { eventId, headers }: Target, body: string): Promise<void> {
  const { status } = await line.ask('POST', pathOf('importPlan', { eventId }), body, headers)
  if (![200, 422].includes(status)) throw new Error(`a plan was answered with ${String(status)}`)
}

/** One after the other until it is stopped. */
function sendOn(line: Line, target: Target, body: string): { stop: () => Promise<void> } {
  const state = { isOver: false }
  const sent = (async () => {
    while (!state.isOver) await send(line, target, body)
  })()
  return {
    stop: () => {
      state.isOver = true
      return sent
    }
  }
}

/** Calls at a steady rate, one at a time: how long each took, ms, from when it was due. */
async function callsOn(line: Line, { callPath, headers }: Target): Promise<number[]> {
  const took: number[] = []
  const beganMs = performance.now()
  for (let n = 0; n < TURN_CALLS; n += 1) {
    const dueMs = beganMs + (n * 1_000) / CALLS_PER_S
    if (dueMs > performance.now()) await pause(dueMs - performance.now())
    const atMs = performance.now()
    jsonOf(await line.ask('POST', callPath, callBody(n), headers))
    took.push(performance.now() - atMs)
  }
  return took
}
