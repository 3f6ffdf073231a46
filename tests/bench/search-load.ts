import { join } from 'node:path'
import { ROOT } from '../../server/root.ts'
import { BOUNDS } from '../../shared/contracts/bounds.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { SearchView } from '../../shared/contracts/search.ts'
import { callBody, loopDelay, loopProcessorMs, openBoards, openEvent, pause, startOurs, type Target } from './child.ts'
import { hundredShips } from './fleet.ts'
import { jsonOf, Line } from './line.ts'
import { latencies, medianOf, p99Of, rowOf, type Row } from './timing.ts'

const LOOP = join(ROOT, 'tests', 'bench', 'loop.mjs')
const CALLS_PER_S = 100
const TURN_CALLS = 300
const TURNS = 5
const WARM_CALLS = 400
const LINES = 8
const BOARDS = 10
/** How often it is seen whether the proof goes on, and at how many of the looks it must. */
const LOOK_EVERY_MS = 250
const LEAST_RUNNING = 0.9
const SHIPS = hundredShips(Date.UTC(2030, 2, 4, 12)).flights.flatMap(({ ships }) => ships)

interface Side {
  callMs: number[]
  loopMedianMs: number[]
  loopP99Ms: number[]
  loopMostMs: number[]
  /** Processor time of the loop's thread for one call. */
  loopUs: number[]
}

/**
 * Fuel calls of an event of a hundred ships while a proof runs, beside the same while none does, in turns: the answer to
 * a call, how late the loop of the service is, and what its thread does for a call, which other work on the machine does
 * not change.
 */
export async function searchLoadRows(): Promise<Row[]> {
  const server = await startOurs('off', ['--import', LOOP])
  try {
    const target = await openEvent(server, hundredShips)
    const boards = await openBoards(target, BOARDS)
    const lines: Line[] = []
    for (let i = 0; i < LINES; i++) lines.push(await Line.to(server.port))
    const control = await Line.to(server.port)
    try {
      const idle: Side = { callMs: [], loopMedianMs: [], loopP99Ms: [], loopMostMs: [], loopUs: [] }
      const busy: Side = { callMs: [], loopMedianMs: [], loopP99Ms: [], loopMostMs: [], loopUs: [] }
      await fail(control, target)
      await callsOn(target, lines, WARM_CALLS)
      // The thread starts, and folds the log, once: that is the first search's.
      await search(control, target, async () => callsOn(target, lines, WARM_CALLS))
      const measured = async (side: Side): Promise<void> => {
        await loopDelay(server)
        const startedMs = loopProcessorMs(server.pid)
        side.callMs.push(...(await callsOn(target, lines, TURN_CALLS)))
        side.loopUs.push(((loopProcessorMs(server.pid) - startedMs) / TURN_CALLS) * 1_000)
        const [median = NaN, p99 = NaN, most = NaN] = await loopDelay(server)
        side.loopMedianMs.push(median)
        side.loopP99Ms.push(p99)
        side.loopMostMs.push(most)
      }
      for (let turn = 0; turn < TURNS; turn++) {
        await measured(idle)
        await search(control, target, () => measured(busy))
      }
      const name = `with ${String(SHIPS.length)} ships, a proof running (beside it: none)`
      const loop = (side: Side) => ({ median: medianOf(side.loopMedianMs), p99: medianOf(side.loopP99Ms) })
      const most = (side: Side) => ({ median: medianOf(side.loopMostMs), p99: p99Of(side.loopMostMs) })
      return [
        rowOf(`fuel call ${name}: answer`, 'ms', busy.callMs.length, latencies(busy.callMs), latencies(idle.callMs)),
        rowOf(`${name}: loop delay`, 'ms', TURNS, loop(busy), loop(idle)),
        rowOf(`${name}: most loop delay of a turn`, 'ms', TURNS, most(busy), most(idle)),
        rowOf(
          `${name}: processor time of the loop's thread for a call`,
          'µs',
          TURNS,
          { median: medianOf(busy.loopUs) },
          { median: medianOf(idle.loopUs) }
        )
      ]
    } finally {
      for (const line of [...lines, control]) line.close()
      await boards.stop()
    }
  } finally {
    await server.stop()
  }
}

/** One station of each of the first tankers is lost: there is much to mend. */
async function fail(line: Line, target: Target): Promise<void> {
  for (const tankerId of ['mallet-a', 'mallet-b']) {
    const body = { requestId: `${tankerId}-failed`, kind: 'setStation', tankerId, stationId: 'boom', status: 'failed' }
    jsonOf(await line.ask('POST', target.callPath, JSON.stringify(body), target.headers))
  }
}

/** Does something while a proof runs; one that comes to its end meanwhile begins anew. */
async function search(line: Line, { eventId, headers }: Target, meanwhile: () => Promise<unknown>): Promise<void> {
  const path = pathOf('startSearch', { eventId })
  const wanted = JSON.stringify({ kind: 'proof', judgements: BOUNDS.judgements.max })
  const begin = async () => jsonOf(await line.ask('POST', path, wanted, headers))
  await begin()
  let isOver = false
  const calls = meanwhile().finally(() => (isOver = true))
  const looks = { all: 0, running: 0 }
  while (!(isOver as boolean)) {
    await pause(LOOK_EVERY_MS)
    const { status } = jsonOf(await line.ask('GET', path, '', headers)) as SearchView
    looks.all++
    if (status === 'running') looks.running++
    else if (status === 'broken') throw new Error('the proof is broken')
    else if (status !== 'queued') await begin()
  }
  await calls
  if (looks.running < LEAST_RUNNING * looks.all)
    throw new Error(`the proof was running at ${String(looks.running)} of ${String(looks.all)} looks`)
  jsonOf(await line.ask('DELETE', path, '', headers))
}

/** Calls at a steady rate, whether the answers come or not: how long each took, ms. */
async function callsOn({ callPath, headers }: Target, lines: readonly Line[], count: number): Promise<number[]> {
  const free = [...lines]
  const took: number[] = []
  const answers: Promise<void>[] = []
  const beganMs = performance.now()
  for (let index = 0; index < count; index++) {
    const dueMs = beganMs + (index * 1_000) / CALLS_PER_S
    if (dueMs > performance.now()) await pause(dueMs - performance.now())
    while (free.length === 0) await pause(1)
    const line = free.pop()
    const body = callBody(index, SHIPS)
    const atMs = performance.now()
    const answer = line?.ask('POST', callPath, body, headers).then((given) => {
      took.push(performance.now() - atMs)
      free.push(line)
      jsonOf(given)
    })
    if (answer) answers.push(answer)
  }
  await Promise.all(answers)
  return took
}
