import { spawnSync } from 'node:child_process'
import { WebSocket } from 'ws'
import type { LogAnswer } from '../../shared/contracts/answers.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { FrameOut } from '../../shared/contracts/stream.ts'
import { Line } from '../bench/line.ts'
import { ask, newFolder, nthCall, openSmallEvent, ownerOf, started } from './service.ts'

const MIB = 2

/** A real small disk, filled by calls until it is full, then made larger under the running service. */
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
    const line = await Line.to(run.port)
    const call = (n: number) =>
      line.ask('POST', pathOf('record', { eventId }), JSON.stringify(nthCall(n)), { authorization: `Bearer ${secret}` })
    let kept = 0
    let answer = await call(kept)
    for (; answer.status === 200 && kept < 50_000; answer = await call(kept)) kept += 1
    const refusal = { status: answer.status, code: (JSON.parse(answer.body) as { code?: string }).code }
    const readTo = ((await ask(run, secret, pathOf('readLog', { eventId }))) as LogAnswer).to
    const ready = await ask(run, secret, pathOf('ready'))
    spawnSync('mount', ['-o', `remount,size=${String(4 * MIB)}m`, folder])
    const resumed = (await call(kept)).status
    await new Promise((resolve) => setTimeout(resolve, 500))
    const log = (await ask(run, secret, pathOf('readLog', { eventId }))) as LogAnswer
    line.close()
    board.terminate()
    const { code } = await run.kill('SIGTERM')
    const next = await started({ folder })
    const after = (await ask(next, secret, pathOf('readLog', { eventId }))) as LogAnswer
    await next.kill('SIGTERM')
    const figures = {
      kept,
      refusal,
      readTo,
      ready,
      resumed,
      troubles,
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
      JSON.stringify(troubles) === '["store-full",null]'
    return { holds, done: true, diskMiB: MIB, ...figures }
  } finally {
    spawnSync('umount', ['-l', folder])
  }
}
