import {
  bareTarget,
  callBody,
  openBoards,
  openEvent,
  pause,
  residentKiB,
  startBare,
  startOurs,
  type Boards,
  type Target
} from './child.ts'
import { jsonOf, Line } from './line.ts'
import { latencies, rowOf, type Row } from './timing.ts'

/** Boards, and calls a second to all of them. */
const CROWDS = [
  { boardCount: 50, callsPerS: 100 },
  { boardCount: 500, callsPerS: 100 },
  { boardCount: 2_000, callsPerS: 200 }
] as const
type Crowd = (typeof CROWDS)[number]
const TURN_MS = 1_500
const TURNS = 4
/** Connections the calls are spread over: coordinators and crews, not one. */
const LINES = 8
/** With fewer boards than this a process grows by chance more than by them. */
const FEWEST_TO_WEIGH = 500
/** Calls before any is counted, so that both have been compiled. */
const WARM_CALLS = 200
const NS_PER_MS = 1e6
/** The last boards may still be reading when the last answer is in. */
const SETTLE_MS = 500

interface Side {
  target: Target
  boards: Boards
  lines: Line[]
  baseKiB: number
  openKiB: number
  latencyMs: number[]
}

/** A fuel call by HTTP, from just before it is sent until the last of all boards has it in a frame. */
export async function callRows(): Promise<Row[]> {
  const rows: Row[] = []
  for (const crowd of CROWDS) rows.push(...(await rowsWith(crowd)))
  return rows
}

async function rowsWith({ boardCount, callsPerS }: Crowd): Promise<Row[]> {
  const stops: (() => Promise<void>)[] = []
  try {
    const ours = await sideOf(await oursFor(stops), boardCount, stops)
    const bare = await sideOf(await bareFor(stops), boardCount, stops)
    for (const side of [ours, bare]) {
      await callsOn(side, WARM_CALLS, callsPerS)
      side.latencyMs.length = 0
    }
    const callCount = (TURN_MS / 1_000) * callsPerS
    for (let turn = 0; turn < TURNS; turn++) {
      for (const side of turn % 2 === 0 ? [ours, bare] : [bare, ours]) await callsOn(side, callCount, callsPerS)
    }
    const name = `fuel call to the last of ${String(boardCount)} boards, ${String(callsPerS)} a second`
    const row = rowOf(name, 'ms', ours.latencyMs.length, latencies(ours.latencyMs), latencies(bare.latencyMs))
    if (boardCount < FEWEST_TO_WEIGH) return [row]
    const memoryOf = ({ baseKiB, openKiB }: Side) => ({ median: (openKiB - baseKiB) / boardCount })
    return [
      row,
      rowOf(`growth of the process a board, ${String(boardCount)} boards`, 'KiB', 1, memoryOf(ours), memoryOf(bare))
    ]
  } finally {
    for (const stop of stops.toReversed()) await stop()
  }
}

async function oursFor(stops: (() => Promise<void>)[]): Promise<Target> {
  const server = await startOurs('off')
  stops.push(() => server.stop())
  return openEvent(server)
}

async function bareFor(stops: (() => Promise<void>)[]): Promise<Target> {
  const server = await startBare(true)
  stops.push(() => server.stop())
  return bareTarget(server)
}

async function sideOf(target: Target, boardCount: number, stops: (() => Promise<void>)[]): Promise<Side> {
  const baseKiB = residentKiB(target.server.pid)
  const boards = await openBoards(target, boardCount)
  stops.push(() => boards.stop())
  const openKiB = residentKiB(target.server.pid)
  const lines: Line[] = []
  for (let i = 0; i < LINES; i++) lines.push(await Line.to(target.server.port))
  return { target, boards, lines, baseKiB, openKiB, latencyMs: [] }
}

/** Calls at a steady rate, whether the answers come or not; notes how long each took to reach every board. */
async function callsOn({ target, boards, lines, latencyMs }: Side, count: number, callsPerS: number): Promise<void> {
  const startedNs = new Map<number, bigint>()
  const free = [...lines]
  const answers: Promise<void>[] = []
  const beganMs = performance.now()
  for (let index = 0; index < count; index++) {
    const dueMs = beganMs + (index * 1_000) / callsPerS
    if (dueMs > performance.now()) await pause(dueMs - performance.now())
    while (free.length === 0) await pause(1)
    const line = free.pop()
    const body = callBody(index)
    const atNs = process.hrtime.bigint()
    const answer = line?.ask('POST', target.callPath, body, target.headers).then((given) => {
      free.push(line)
      startedNs.set((jsonOf(given) as { from: number }).from, atNs)
    })
    if (answer) answers.push(answer)
  }
  await Promise.all(answers)
  await pause(SETTLE_MS)
  for (const { from, to, atNs } of await boards.delivered()) {
    for (let seq = from; seq <= to; seq++) {
      const startNs = startedNs.get(seq)
      if (startNs === undefined) continue
      startedNs.delete(seq)
      latencyMs.push(Number(BigInt(atNs) - startNs) / NS_PER_MS)
    }
  }
  if (startedNs.size > 0)
    throw new Error(`${String(startedNs.size)} of ${String(count)} calls did not reach every board`)
}
