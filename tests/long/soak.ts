import { once } from 'node:events'
import { WebSocket } from 'ws'
import { pathOf } from '../../shared/contracts/routes.ts'
import { callBody, openBoards, openEvent, pause, residentKiB, startOurs, type Target } from '../bench/child.ts'
import { jsonOf, Line } from '../bench/line.ts'

const BOARDS = 50
const SAMPLE_MS = 2_000
/** What the second half may grow by. */
const SLOPE_MIB_PER_MIN = 0.5

/**
 * A service under way for so long: fifty boards that stay, others that come and go, calls, refused requests, reads of
 * state and log. Its memory over the second half must not rise.
 */
export async function soakRows({ minutes }: { minutes: number }) {
  const server = await startOurs('off')
  try {
    const event = await openEvent(server)
    const boards = await openBoards(event, BOARDS)
    const line = await Line.to(server.port)
    const samples: { atMin: number; mib: number }[] = []
    const beganMs = performance.now()
    let rounds = 0
    let seq = 0
    let sampledMs = -Infinity
    for (let atMs = 0; atMs < minutes * 60_000; atMs = performance.now() - beganMs) {
      seq = await round(event, line, { n: rounds++, seq })
      if (atMs - sampledMs < SAMPLE_MS) continue
      sampledMs = atMs
      samples.push({ atMin: atMs / 60_000, mib: residentKiB(server.pid) / 1024 })
      // Else they would be kept in the other process for ever.
      await boards.delivered()
    }
    line.close()
    await boards.stop()
    const half = samples.filter(({ atMin }) => atMin >= minutes / 2)
    const slope = slopeOf(half)
    const figures = {
      minutes,
      rounds,
      samples: samples.length,
      firstMiB: samples[0]?.mib,
      halfMiB: half[0]?.mib,
      lastMiB: half.at(-1)?.mib,
      slopeMiBPerMin: slope
    }
    return { holds: slope <= SLOPE_MIB_PER_MIN, ...figures }
  } finally {
    await server.stop()
  }
}

/** One round, from the newest fact known; gives the newest one after it. */
async function round(event: Target, line: Line, { n, seq }: { n: number; seq: number }): Promise<number> {
  const { headers, eventId } = event
  const ask = (method: 'GET' | 'POST', path: string, body = '') => line.ask(method, path, body, headers)
  // Few calls, and of the log what a page has missed: a log that grows, and one read whole ever longer, is no leak.
  if (n % 20 === 0) jsonOf(await ask('POST', event.callPath, callBody(n)))
  const missed = `after=${String(Math.max(0, seq - (n % 50)))}`
  await ask(
    'POST',
    event.callPath,
    JSON.stringify({ requestId: `wrong-${String(n)}`, kind: 'callFuel', shipId: 'none' })
  )
  jsonOf(await ask('GET', pathOf('readState', { eventId })))
  const { facts } = jsonOf(await ask('GET', `${pathOf('readLog', { eventId })}?${missed}`)) as {
    facts: { seq: number }[]
  }
  const board = new WebSocket(event.streamUrl, { headers })
  board.on('error', () => undefined)
  await once(board, 'open')
  if (n % 2 === 0) board.terminate()
  else board.close()
  await pause(40)
  return facts.at(-1)?.seq ?? seq
}

/** MiB a minute, by least squares. */
function slopeOf(samples: readonly { atMin: number; mib: number }[]): number {
  const count = samples.length
  const meanMin = samples.reduce((sum, { atMin }) => sum + atMin, 0) / count
  const meanMiB = samples.reduce((sum, { mib }) => sum + mib, 0) / count
  const rise = samples.reduce((sum, { atMin, mib }) => sum + (atMin - meanMin) * (mib - meanMiB), 0)
  return rise / samples.reduce((sum, { atMin }) => sum + (atMin - meanMin) ** 2, 0)
}
