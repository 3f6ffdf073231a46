import { readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { openSqlite } from '../../server/store/sqlite/file.ts'
import { ROOT } from '../../server/root.ts'
import type { EventId } from '../../shared/contracts/ids.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { Line } from '../bench/line.ts'
import { chanceFrom, diskShim, newFolder, nthCall, openSmallEvent, ownerOf, started } from './service.ts'

/*
 * A power cut, modelled: every write and sync of the service is recorded with its instant; then the power fails just
 * before a random one. What was synced is there; what was not is there or not: each write whole, dropped, its first part,
 * or some of its 512-byte sectors. The service's own start opens what is left, and everything that had been acknowledged
 * before that instant must be in it.
 */

export const WRITE = 1
export const SYNC = 2
const TRUNCATE = 3
const FILES = { 2: 'ullage.sqlite', 3: 'ullage.sqlite-wal' } as const
type File = keyof typeof FILES
const HEAD_BYTES = 24
const SECTOR = 512

interface Op {
  op: number
  file: File
  offset: number
  data: Buffer
  beganNs: bigint
}

interface Ack {
  requestId: string
  from: number
  atNs: bigint
}

export interface CutFigures {
  level: 'FULL' | 'NORMAL'
  acknowledged: number
  writes: number
  syncs: number
  checkpoints: number
  cuts: number
  /** Cuts at which something written was not synced yet. */
  withPending: number
  /** Cuts after which something acknowledged was gone. */
  lost: number
  mostLost: number
  /** Cuts after which the service would not start. */
  damaged: number
}

export async function cutRows({ cuts, calls, seed }: { cuts: number; calls: number; seed: number }) {
  const rows: CutFigures[] = []
  for (const level of ['FULL', 'NORMAL'] as const) rows.push(await cutAt(level, cuts, calls, seed))
  const [full, normal] = rows
  const holds = full?.lost === 0 && full.damaged === 0 && (normal?.lost ?? 0) > 0
  return { holds, seed, rows }
}

async function cutAt(level: 'FULL' | 'NORMAL', cuts: number, calls: number, seed: number): Promise<CutFigures> {
  const { ops, acks, eventId, readyNs } = await record(level, calls)
  const chance = chanceFrom(seed)
  const first = ops.findIndex(({ beganNs }) => beganNs > readyNs)
  const points = Array.from({ length: cuts }, () => first + Math.floor(chance() * (ops.length - first))).sort(
    (a, b) => a - b
  )
  const figures: CutFigures = {
    level,
    acknowledged: acks.length,
    writes: ops.filter(({ op }) => op === WRITE).length,
    syncs: ops.filter(({ op }) => op === SYNC).length,
    checkpoints: ops.filter(({ op, file }) => op === SYNC && file === 2).length,
    cuts,
    withPending: 0,
    lost: 0,
    mostLost: 0,
    damaged: 0
  }
  const disk: Record<File, Buffer> = { 2: Buffer.alloc(0), 3: Buffer.alloc(0) }
  const pending: Op[] = []
  let at = 0
  for (const point of points) {
    for (; at < point; at += 1) {
      const op = ops[at]
      if (op === undefined) break
      if (op.op !== SYNC) pending.push(op)
      else for (const one of take(pending, op.file)) disk[one.file] = applied(disk[one.file], one)
    }
    if (pending.length > 0) figures.withPending += 1
    const folder = newFolder()
    for (const file of [2, 3] as const) {
      const left = pending.filter((one) => one.file === file)
      const bytes = left.reduce<Buffer>((bytes, one) => fated(bytes, one, chance), Buffer.from(disk[file]))
      writeFileSync(join(folder, FILES[file]), bytes)
    }
    const cutNs: bigint = ops[point]?.beganNs ?? 0n
    const lost = await lostIn(
      folder,
      eventId,
      acks.filter(({ atNs }) => atNs < cutNs)
    )
    if (lost === undefined) figures.damaged += 1
    else if (lost > 0) figures.lost += 1
    figures.mostLost = Math.max(figures.mostLost, lost ?? 0)
    rmSync(folder, { recursive: true })
  }
  return figures
}

/** The service under load until it is killed: what it did to its files, and what it acknowledged when. */
async function record(level: 'FULL' | 'NORMAL', calls: number) {
  const folder = newFolder()
  const shim = diskShim()
  if (shim === undefined) throw new Error('the disk cannot be recorded: gcc is needed')
  const trace = join(newFolder(), 'trace')
  const run = await started({
    folder,
    environment: { LD_PRELOAD: shim, DISK_UNDER: folder, DISK_TRACE: trace },
    nodeArgs: level === 'NORMAL' ? ['--import', join(ROOT, 'tests', 'long', 'weaken.mjs')] : []
  })
  const secret = ownerOf(run)
  const eventId = (await openSmallEvent(run, secret)) as EventId
  const readyNs = process.hrtime.bigint()
  const acks: Ack[] = []
  let next = 0
  await Promise.all(
    Array.from({ length: 4 }, async () => {
      const line = await Line.to(run.port)
      while (next < calls) {
        const body = nthCall(next++)
        const answer = await line.ask('POST', pathOf('record', { eventId }), JSON.stringify(body), {
          authorization: `Bearer ${secret}`
        })
        if (answer.status !== 200) throw new Error(answer.body)
        const { from } = JSON.parse(answer.body) as { from: number }
        acks.push({ requestId: body.requestId, from, atNs: process.hrtime.bigint() })
      }
      line.close()
    })
  )
  await run.kill('SIGKILL')
  return { ops: opsIn(readFileSync(trace)), acks, eventId, readyNs }
}

/** What the shim recorded. */
export function opsIn(trace: Buffer): Op[] {
  const ops: Op[] = []
  for (let at = 0; at + HEAD_BYTES <= trace.length;) {
    const length = trace.readUInt32LE(at + 4)
    const file = trace.readUInt8(at + 1)
    ops.push({
      op: trace.readUInt8(at),
      file: file === 2 ? 2 : 3,
      offset: Number(trace.readBigUInt64LE(at + 8)),
      beganNs: trace.readBigUInt64LE(at + 16),
      data: trace.subarray(at + HEAD_BYTES, at + HEAD_BYTES + length)
    })
    at += HEAD_BYTES + length
  }
  return ops
}

/** Takes the operations of one file out of a list. */
function take(list: Op[], file: File): Op[] {
  const taken = list.filter((one) => one.file === file)
  list.splice(0, list.length, ...list.filter((one) => one.file !== file))
  return taken
}

function applied(bytes: Buffer, { op, offset, data }: Pick<Op, 'op' | 'offset' | 'data'>): Buffer {
  if (op === TRUNCATE) return Buffer.concat([bytes], offset)
  const grown = offset + data.length > bytes.length ? Buffer.concat([bytes], offset + data.length) : bytes
  data.copy(grown, offset)
  return grown
}

/** What becomes of a write that was never synced. */
function fated(bytes: Buffer, op: Op, chance: () => number): Buffer {
  const fate = Math.floor(chance() * 4)
  if (fate === 0) return bytes
  if (fate === 1 || op.op === TRUNCATE) return applied(bytes, op)
  if (fate === 2) return applied(bytes, { ...op, data: op.data.subarray(0, Math.floor(chance() * op.data.length)) })
  let torn = bytes
  for (let from = 0; from < op.data.length; from += SECTOR) {
    if (chance() < 0.5) continue
    torn = applied(torn, { op: WRITE, offset: op.offset + from, data: op.data.subarray(from, from + SECTOR) })
  }
  return torn
}

/** How many of the acknowledged requests are not there as they were answered; undefined when it does not start. */
async function lostIn(folder: string, eventId: EventId, acks: readonly Ack[]): Promise<number | undefined> {
  try {
    const store = openSqlite(join(folder, 'ullage.sqlite'))
    const { facts, outcomes } = await store.log(eventId)
    await store.close()
    if (facts.some(({ seq }, index) => seq !== index + 1)) return undefined
    // Each request is there whole: its outcome with its facts, and no fact without its outcome.
    const covered = outcomes.reduce((sum, { from, to }) => sum + to - from + 1, 0)
    if (covered !== facts.length) return undefined
    return acks.filter(({ requestId, from }) => facts[from - 1]?.requestId !== requestId).length
  } catch (error) {
    console.error(`  ${error instanceof Error ? error.message : String(error)}`)
    return undefined
  }
}
