import { fork } from 'node:child_process'
import { once } from 'node:events'
import { join } from 'node:path'
import { newFolder, nthCall, openSmallEvent, ownerOf, removeFolders, started, type Run } from '../long/service.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { jsonOf, Line } from './line.ts'
import type { FromPages, ToPages } from './pages.ts'
import { latencies, rowOf, type Row } from './timing.ts'

const PAGES = 1_000
const RESTARTS = 5
/** Recorded once the service is back, before and while the pages are. */
const CALLS = 10
const NS_PER_MS = 1e6
/** Bundled beside the bench itself. */
const SCRIPT = join(import.meta.dirname, 'pages.mjs')

/** A thousand pages under one link when the service is killed and started again: until each shows the newest state. */
export async function backRows(): Promise<Row[]> {
  const folder = newFolder()
  const environment = { RATE_LIMITS: 'on' }
  let run = await started({ folder, environment })
  const secret = ownerOf(run)
  const eventId = await openSmallEvent(run, secret)
  const linkId = await viewerLink(run, eventId, secret)
  const child = fork(SCRIPT)
  const tell = (message: ToPages): void => {
    child.send(message)
  }
  const all = async (seq: number): Promise<FromPages> => {
    const have = once(child, 'message') as Promise<[FromPages]>
    tell({ kind: 'until', seq })
    return (await have)[0]
  }
  try {
    const origin = `http://127.0.0.1:${String(run.port)}/`
    const headers = { authorization: `Bearer ${linkId.secret}` }
    tell({ kind: 'open', opening: { origin, headers, eventId, linkId: linkId.linkId, count: PAGES } })
    let seq = 2
    await all(seq)
    const backMs: number[] = []
    const behindMs: number[] = []
    for (let n = 0; n < RESTARTS; n += 1) {
      await run.kill('SIGKILL')
      run = await started({ folder, environment: { ...environment, PORT: String(run.port) } })
      const listeningNs = process.hrtime.bigint()
      seq += CALLS
      const have = all(seq)
      const line = await Line.to(run.port)
      for (let call = 0; call < CALLS; call += 1) {
        const body = JSON.stringify(nthCall(n * CALLS + call))
        jsonOf(await line.ask('POST', pathOf('record', { eventId }), body, { authorization: `Bearer ${secret}` }))
      }
      line.close()
      const back = await have
      backMs.push(...back.atNs.map((atNs) => Number(BigInt(atNs) - listeningNs) / NS_PER_MS))
      behindMs.push(...back.behindMs)
    }
    const name = `${String(PAGES)} pages after a kill -9`
    const spread = (values: readonly number[]) => ({ ...latencies(values), most: Math.max(...values) })
    return [
      rowOf(`${name}: from listening until each has the newest fact`, 'ms', RESTARTS, spread(backMs), null),
      rowOf(`${name}: said to be live while it had not caught up`, 'ms', RESTARTS, spread(behindMs), null)
    ]
  } finally {
    child.disconnect()
    await run.kill('SIGTERM')
    removeFolders()
  }
}

async function viewerLink(run: Run, eventId: string, owner: string): Promise<{ linkId: string; secret: string }> {
  const line = await Line.to(run.port)
  const headers = { authorization: `Bearer ${owner}` }
  const answer = await line.ask('POST', pathOf('createLink', { eventId }), JSON.stringify({ role: 'viewer' }), headers)
  line.close()
  return jsonOf(answer) as { linkId: string; secret: string }
}
