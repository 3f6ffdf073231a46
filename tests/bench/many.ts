import { mintEventId } from '../../server/auth/secret.ts'
import { addLink } from '../../server/auth/links.ts'
import { openSqlite } from '../../server/store/sqlite/file.ts'
import { databaseIn } from '../../server/store/sqlite/folder.ts'
import type { Outcome } from '../../server/store/store.ts'
import type { Fact } from '../../shared/contracts/facts.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { diskShim, newFolder, removeFolders, started, type Run } from '../long/service.ts'
import { bareTarget, callBody, openEvent, pause, residentKiB, startBare, type Target } from './child.ts'
import { longLog, OPENS_AT_MS, PLAN } from './demo.ts'
import { jsonOf, Line } from './line.ts'
import { latencies, rowOf, type Row } from './timing.ts'

const EVENTS = 50
const FACTS = 2_000
const MISSED = 1_000
const LOOKS = 10
const CATCH_UPS = 100
const SLOW_SYNC_MS = 10
const SLOW_CALLS_PER_S = 200
const SLOW_CALLS = 1_000
const SLOW_IN_FLIGHT = 32
const SLOW_TURNS = 4
/** Until the compiler has seen enough, as in the other rows. */
const WARM_CALLS = 1_000

/** A full house: many events after a kill, what they weigh, who comes back at once, and a disk that syncs slowly. */
export async function manyRows(): Promise<Row[]> {
  try {
    return [...(await houseRows()), await slowSyncRow()]
  } finally {
    removeFolders()
  }
}

async function houseRows(): Promise<Row[]> {
  const folder = newFolder()
  const { eventIds, secret } = await furnish(folder)
  const headers = { authorization: `Bearer ${secret}` }
  const first = await started({ folder })
  const [busy = ''] = eventIds
  await callOnce(first, busy, headers)
  await first.kill('SIGKILL')
  const startedMs = performance.now()
  const run = await started({ folder })
  const line = await Line.to(run.port)
  jsonOf(await line.ask('GET', pathOf('health')))
  const readyMs = performance.now() - startedMs
  const emptyKiB = residentKiB(run.pid)
  const openMs: number[] = []
  for (const eventId of eventIds) {
    const atMs = performance.now()
    jsonOf(await line.ask('GET', pathOf('readLog', { eventId }) + `?after=${String(FACTS)}`, '', headers))
    openMs.push(performance.now() - atMs)
  }
  const eventKiB = (residentKiB(run.pid) - emptyKiB) / EVENTS
  const loggedKiB = residentKiB(run.pid)
  // Late by the second, as boards see it: what was worked out for one look must not stay for all that follow.
  const lookedAtMs = Array.from({ length: LOOKS }, (_, look) => OPENS_AT_MS + 3_600_000 + look * 1_000)
  for (const eventId of eventIds) {
    for (const atMs of lookedAtMs)
      jsonOf(await line.ask('GET', `${pathOf('readState', { eventId })}?atMs=${String(atMs)}`, '', headers))
  }
  const lookedKiB = (residentKiB(run.pid) - loggedKiB) / EVENTS
  const missedMs: number[] = []
  const after = `?after=${String(FACTS - MISSED)}`
  for (let n = 0; n < CATCH_UPS; n += 1) {
    const eventId = eventIds[n % EVENTS] ?? ''
    const atMs = performance.now()
    jsonOf(await line.ask('GET', pathOf('readLog', { eventId }) + after, '', headers))
    missedMs.push(performance.now() - atMs)
  }
  line.close()
  await run.kill('SIGTERM')
  const one = (value: number) => ({ median: value })
  return [
    rowOf(
      `start to ready after kill -9, ${String(EVENTS)} events of ${String(FACTS)} facts`,
      'ms',
      1,
      one(readyMs),
      null
    ),
    rowOf(`an event of 24 ships and ${String(FACTS)} facts taken into memory`, 'ms', EVENTS, latencies(openMs), null),
    rowOf('growth of the process an event of them', 'KiB', EVENTS, one(eventKiB), null),
    rowOf(`more of it after ${String(LOOKS)} looks at each`, 'KiB', EVENTS, one(lookedKiB), null),
    rowOf(`catch-up of ${String(MISSED)} missed facts`, 'ms', CATCH_UPS, latencies(missedMs), null)
  ]
}

/** A data folder with the events in it, and the owner's secret. */
async function furnish(folder: string): Promise<{ eventIds: string[]; secret: string }> {
  const store = openSqlite(databaseIn(folder))
  const log = longLog(FACTS)
  const eventIds = Array.from({ length: EVENTS }, mintEventId)
  for (const eventId of eventIds) {
    const facts: Fact[] = log.map((fact) => ({ ...fact, eventId }))
    const outcomes = facts.reduce<Outcome[]>((kept, { requestId, seq }) => {
      const last = kept.at(-1)
      if (last?.requestId === requestId) last.to = seq
      else kept.push({ requestId, from: seq, to: seq, bodyHash: 'of another body' })
      return kept
    }, [])
    const revision = { revision: 1, savedAtMs: OPENS_AT_MS, savedBy: 'bench', plan: PLAN }
    await store.keepEvent({ eventId, revisions: [revision], facts, outcomes }, OPENS_AT_MS)
  }
  const { secret } = await addLink(store, { role: 'owner', eventId: null }, OPENS_AT_MS)
  await store.close()
  return { eventIds, secret }
}

async function callOnce({ port }: Run, eventId: string, headers: Record<string, string>): Promise<void> {
  const line = await Line.to(port)
  await line.ask('POST', pathOf('record', { eventId }), callBody(0), headers)
  line.close()
}

/** Calls at a steady rate on a disk each of whose syncs takes so much longer, ours and bare in turns. */
async function slowSyncRow(): Promise<Row> {
  const shim = diskShim()
  if (shim === undefined) throw new Error('a slow disk cannot be had without gcc')
  const slow = (folder: string) => ({ LD_PRELOAD: shim, DISK_UNDER: folder, DISK_SYNC_MS: String(SLOW_SYNC_MS) })
  const folder = newFolder()
  const run = await started({ folder, environment: slow(folder) })
  const bare = await startBare(true, slow)
  const server = { port: run.port, pid: run.pid, said: run.said, stop: () => Promise.resolve() }
  const sides = { ours: await openEvent(server), bare: bareTarget(bare) }
  for (const target of Object.values(sides)) await steadyCalls(target, WARM_CALLS)
  const tookMs: Record<keyof typeof sides, number[]> = { ours: [], bare: [] }
  for (let turn = 0; turn < SLOW_TURNS; turn += 1) {
    for (const side of ['ours', 'bare'] as const)
      tookMs[side].push(...(await steadyCalls(sides[side], SLOW_CALLS / SLOW_TURNS)))
  }
  await bare.stop()
  await run.kill('SIGTERM')
  const name = `durable fuel calls, ${String(SLOW_CALLS_PER_S)} a second, each sync ${String(SLOW_SYNC_MS)} ms slower`
  return rowOf(name, 'ms', SLOW_CALLS, latencies(tookMs.ours), latencies(tookMs.bare))
}

/** Answers of calls that are sent at a steady rate, whether or not those before were answered, ms. */
async function steadyCalls({ server, callPath, headers }: Target, count: number): Promise<number[]> {
  const free = await Promise.all(Array.from({ length: SLOW_IN_FLIGHT }, () => Line.to(server.port)))
  const answers: Promise<void>[] = []
  const tookMs: number[] = []
  const beganMs = performance.now()
  for (let n = 0; n < count; n += 1) {
    const waitMs = beganMs + (n * 1000) / SLOW_CALLS_PER_S - performance.now()
    if (waitMs > 0) await pause(waitMs)
    while (free.length === 0) await pause(1)
    const line = free.pop()
    if (line === undefined) continue
    const atMs = performance.now()
    answers.push(
      line.ask('POST', callPath, callBody(n), headers).then((answer) => {
        if (answer.status !== 200) jsonOf(answer)
        tookMs.push(performance.now() - atMs)
        free.push(line)
      })
    )
  }
  await Promise.all(answers)
  for (const line of free) line.close()
  return tookMs
}
