import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { WebSocket } from 'ws'
import type { RecordedAnswer } from '../../shared/contracts/answers.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'
import { jsonOf, Line } from '../bench/line.ts'
import { opsIn, SYNC, WRITE } from './cuts.ts'
import {
  ask,
  diskShim,
  newFolder,
  nthCall,
  openSmallEvent,
  ownerOf,
  started,
  startIn,
  type Run,
  wholeLog
} from './service.ts'

/*
 * One write or sync of the database is answered with EIO, each time another one; the next would succeed again. After
 * it nothing may be recorded any more, boards must hear of it, the process must end with its own exit code, and the next
 * one must have all that was acknowledged.
 */

const CALLS = 60
const DISK_FAILED = 74

export interface ErrorFigures {
  points: number
  /** Met while the service started, which then ended with a sentence. */
  atStart: number
  /** Met while the event was made. */
  atSetUp: number
  underWay: number
  /** The point came after the last write: nothing failed. */
  neverMet: number
  acknowledged: number
  /** Acknowledged and gone. */
  lost: number
  doubled: number
  /** Recorded by the failed process after the failure. */
  recordedAfter: number
  /** Boards that were open and heard nothing. */
  boardsNotTold: number
  wrongExit: number
}

export async function errorRows({ points }: { points: number }) {
  const figures: ErrorFigures = {
    points,
    atStart: 0,
    atSetUp: 0,
    underWay: 0,
    neverMet: 0,
    acknowledged: 0,
    lost: 0,
    doubled: 0,
    recordedAfter: 0,
    boardsNotTold: 0,
    wrongExit: 0
  }
  for (const at of await pointsOf(points)) await fail(at, figures)
  const { lost, doubled, recordedAfter, boardsNotTold, wrongExit } = figures
  return { holds: lost + doubled + recordedAfter + boardsNotTold + wrongExit === 0 && figures.underWay > 0, figures }
}

/** Which write or sync fails each time: a few while it starts, the others while it is under way. */
async function pointsOf(points: number): Promise<string[]> {
  const folder = newFolder()
  const trace = join(newFolder(), 'trace')
  const environment = { LD_PRELOAD: diskShim() ?? '', DISK_UNDER: folder, DISK_TRACE: trace }
  const run = await started({ folder, environment })
  const secret = ownerOf(run)
  const counts = () => {
    const ops = opsIn(readFileSync(trace))
    return { write: ops.filter(({ op }) => op === WRITE).length, sync: ops.filter(({ op }) => op === SYNC).length }
  }
  const eventId = await openSmallEvent(run, secret)
  const ready = counts()
  await Promise.all([0, 1, 2, 3].map((of) => callsOf(run, secret, eventId, of)))
  await run.kill('SIGKILL')
  const all = counts()
  const early = Math.floor(points / 6)
  return Array.from({ length: points }, (_, n) => {
    const kind = n % 2 === 0 ? 'sync' : 'write'
    // Commits are shared by chance, so there may be fewer the next time.
    const under = 1 + Math.floor(((n - early) / Math.max(1, points - early)) * 0.8 * (all[kind] - ready[kind]))
    return `${kind}:${String(n < early ? 1 + Math.floor((n / early) * ready[kind]) : ready[kind] + under)}`
  })
}

async function callsOf(run: Run, secret: string, eventId: string, of: number): Promise<void> {
  const line = await Line.to(run.port)
  for (let n = of; n < CALLS; n += 4) {
    const headers = { authorization: `Bearer ${secret}` }
    jsonOf(await line.ask('POST', pathOf('record', { eventId }), JSON.stringify(nthCall(n)), headers))
  }
  line.close()
}

async function fail(at: string, figures: ErrorFigures): Promise<void> {
  const shim = diskShim()
  if (shim === undefined) throw new Error('errors cannot be injected: gcc is needed')
  const folder = newFolder()
  const environment = { LD_PRELOAD: shim, DISK_UNDER: folder, DISK_FAIL: at }
  const run = await startIn({ folder, environment })
  if (run === undefined) {
    figures.atStart += 1
    const next = await started({ folder })
    await next.kill('SIGTERM')
    return
  }
  const secret = ownerOf(run)
  const eventId = await openSmallEvent(run, secret).catch(() => undefined)
  if (eventId === undefined) {
    figures.atSetUp += 1
    await endsItself(run, at, figures)
    await (await started({ folder })).kill('SIGTERM')
    return
  }
  const acks = await callsOn(run, secret, eventId, at, figures)
  const next = await started({ folder })
  const log = await wholeLog(next, secret, eventId)
  figures.acknowledged += acks.size
  for (const [requestId, { from }] of acks) if (log.facts[from - 1]?.requestId !== requestId) figures.lost += 1
  figures.doubled += log.facts.length - new Set(log.facts.map(({ requestId }) => requestId)).size
  // What was left open is answered now, under the same id.
  for (let n = 0; n < CALLS; n += 1) await ask(next, secret, pathOf('record', { eventId }), nthCall(n))
  await next.kill('SIGTERM')
}

async function callsOn(run: Run, secret: string, eventId: string, at: string, figures: ErrorFigures) {
  const url = `ws://127.0.0.1:${String(run.port)}${pathOf('stream', { eventId })}`
  const board = new WebSocket(url, { headers: { authorization: `Bearer ${secret}` } })
  const seen = { failed: false, told: false }
  board.on('error', () => undefined)
  const isOpen = await new Promise<boolean>((resolve) => {
    board.once('open', () => {
      resolve(true)
    })
    board.once('close', () => {
      resolve(false)
    })
  })
  board.on('message', (message: Buffer) => {
    const frame = JSON.parse(message.toString()) as FrameOut
    if (frame.kind === 'trouble' && frame.code === 'store-broken') seen.told = true
  })
  const acks = new Map<string, RecordedAnswer>()
  let next = 0
  await Promise.all(
    Array.from({ length: 4 }, async () => {
      const line = await Line.to(run.port)
      while (next < CALLS) {
        const body = nthCall(next++)
        const wasFailed = seen.failed
        const answer = await line
          .ask('POST', pathOf('record', { eventId }), JSON.stringify(body), { authorization: `Bearer ${secret}` })
          .catch(() => undefined)
        if (answer === undefined) return
        if (answer.status !== 200) seen.failed = true
        else {
          acks.set(body.requestId, JSON.parse(answer.body) as RecordedAnswer)
          if (wasFailed) figures.recordedAfter += 1
        }
      }
      line.close()
    })
  )
  if (!seen.failed && !(await isBroken(run))) {
    figures.neverMet += 1
    board.terminate()
    await run.kill('SIGKILL')
    return acks
  }
  figures.underWay += 1
  await endsItself(run, at, figures)
  if (isOpen && !seen.told) figures.boardsNotTold += 1
  return acks
}

/** A failure in the background, while pages are brought home, is met without any call. */
async function isBroken(run: Run): Promise<boolean> {
  const line = await Line.to(run.port)
  const { status } = await line.ask('GET', pathOf('ready'))
  line.close()
  return status === 503
}

async function endsItself(run: Run, at: string, figures: ErrorFigures): Promise<void> {
  const late = setTimeout(() => void run.kill('SIGKILL'), 20_000)
  const { code } = await run.exited
  clearTimeout(late)
  if (code === DISK_FAILED) return
  figures.wrongExit += 1
  console.error(`  ${at}: ended with ${String(code)}: ${run.said().slice(-300)}`)
}
