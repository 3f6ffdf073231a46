import { spawnSync } from 'node:child_process'
import { once } from 'node:events'
import { closeSync, openSync, writeSync } from 'node:fs'
import { join } from 'node:path'
import { WebSocket } from 'ws'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'
import { Line } from '../bench/line.ts'
import { ask, newFolder, nthCall, openSmallEvent, ownerOf, started, type Run, wholeLog } from './service.ts'

const MIB = 2
/** A revoked link's board must be closed by then. */
const CLOSED_WITHIN_MS = 1_000
/** What the failed write had taken is room for a few smaller ones: so many links that the last find none. */
const VIEWERS = 8

/**
 * A real small disk, filled by calls until it is full, then made larger under the running service. A link that is revoked
 * meanwhile must be out at once, and for good.
 */
export async function fullRows() {
  const folder = newFolder()
  const mount = (options: string) => spawnSync('mount', ['-t', 'tmpfs', '-o', options, 'ullage', folder]).status === 0
  if (!mount(`size=${String(MIB)}m`)) return { holds: true, done: false, why: 'a small disk cannot be mounted here' }
  try {
    const run = await started({ folder })
    const secret = ownerOf(run)
    const eventId = await openSmallEvent(run, secret)
    const troubles: (string | null)[] = []
    const url = `ws://127.0.0.1:${String(run.port)}${pathOf('stream', { eventId })}`
    const board = new WebSocket(url, { headers: { authorization: `Bearer ${secret}` } })
    board.on('message', (message: Buffer) => {
      const frame = JSON.parse(message.toString()) as FrameOut
      if (frame.kind === 'trouble') troubles.push(frame.code)
      if (frame.kind === 'beat') board.send(JSON.stringify({ kind: 'seen', seq: frame.seq }))
    })
    const viewers = []
    for (let n = 0; n < VIEWERS; n += 1) viewers.push(await viewerOf(run, secret, eventId))
    const line = await Line.to(run.port)
    const call = (n: number) =>
      line.ask('POST', pathOf('record', { eventId }), JSON.stringify(nthCall(n)), { authorization: `Bearer ${secret}` })
    let kept = 0
    let answer = await call(kept)
    for (; answer.status === 200 && kept < 50_000; answer = await call(kept)) kept += 1
    const refusal = { status: answer.status, code: (JSON.parse(answer.body) as { code?: string }).code }
    const readTo = (await wholeLog(run, secret, eventId)).to
    const ready = await ask(run, secret, pathOf('ready'))
    fillUp(join(folder, 'filler'))
    const revoked = []
    for (const { revoke } of viewers) revoked.push(await revoke())
    spawnSync('mount', ['-o', `remount,size=${String(4 * MIB)}m`, folder])
    const resumed = (await call(kept)).status
    await new Promise((resolve) => setTimeout(resolve, 500))
    const log = await wholeLog(run, secret, eventId)
    // Written down by the service itself, in the second after there is room.
    await new Promise((resolve) => setTimeout(resolve, 2_000))
    line.close()
    board.terminate()
    const { code } = await run.kill('SIGTERM')
    const next = await started({ folder })
    const after = await wholeLog(next, secret, eventId)
    const openedAfter = []
    for (const { statusOn } of viewers) openedAfter.push(await statusOn(next))
    await next.kill('SIGTERM')
    const figures = {
      kept,
      refusal,
      readTo,
      ready,
      resumed,
      troubles,
      revocations: {
        statuses: revoked.map(({ status }) => status),
        slowestToCloseMs: Math.max(...revoked.map(({ closedMs }) => closedMs)),
        opens: [...new Set(revoked.map(({ opens }) => opens))],
        opensAfterRestart: [...new Set(openedAfter)]
      },
      loggedAfter: log.to,
      afterRestart: after.to,
      code
    }
    const holds =
      refusal.status === 507 &&
      refusal.code === 'store-full' &&
      readTo === kept + 2 &&
      resumed === 200 &&
      after.to === kept + 3 &&
      revoked.some(({ status }) => status === 507) &&
      revoked.every(({ closedMs, opens }) => closedMs < CLOSED_WITHIN_MS && opens === 401) &&
      openedAfter.every((status) => status === 401) &&
      // What little room the failed write had left may be enough for an end, which then ends the trouble for a moment.
      troubles.length % 2 === 0 &&
      troubles.every((code, index) => code === (index % 2 === 0 ? 'store-full' : null))
    return { holds, done: true, diskMiB: MIB, ...figures }
  } finally {
    spawnSync('umount', ['-l', folder])
  }
}

/** A viewer with the event open, and what comes of it when the owner revokes his link. */
async function viewerOf(run: Run, owner: string, eventId: string) {
  const link = (await ask(run, owner, pathOf('createLink', { eventId }), { role: 'viewer' })) as {
    linkId: string
    secret: string
  }
  const url = `ws://127.0.0.1:${String(run.port)}${pathOf('stream', { eventId })}`
  const socket = new WebSocket(url, { headers: { authorization: `Bearer ${link.secret}` } })
  socket.on('message', (message: Buffer) => {
    const frame = JSON.parse(message.toString()) as FrameOut
    if (frame.kind === 'beat') socket.send(JSON.stringify({ kind: 'seen', seq: frame.seq }))
  })
  await once(socket, 'open')
  const statusOn = async ({ port }: Run): Promise<number> => {
    const line = await Line.to(port)
    const headers = { authorization: `Bearer ${link.secret}` }
    const { status } = await line.ask('GET', pathOf('readPlan', { eventId }), '', headers)
    line.close()
    return status
  }
  const revoke = async () => {
    const line = await Line.to(run.port)
    const closed = once(socket, 'close')
    const beganMs = performance.now()
    const path = pathOf('revokeLink', { eventId, linkId: link.linkId })
    const { status } = await line.ask('DELETE', path, '', { authorization: `Bearer ${owner}` })
    await closed
    const closedMs = performance.now() - beganMs
    line.close()
    return { status, closedMs, opens: await statusOn(run) }
  }
  return { revoke, statusOn }
}

/** Takes all the room there is. */
function fillUp(file: string): void {
  const page = Buffer.alloc(4_096)
  const descriptor = openSync(file, 'w')
  try {
    for (;;) writeSync(descriptor, page)
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOSPC') throw error
  } finally {
    closeSync(descriptor)
  }
}
