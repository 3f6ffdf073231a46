import { isDeepStrictEqual } from 'node:util'
import type { RecordedAnswer } from '../../shared/contracts/answers.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { View } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState } from '../../shared/live/state.ts'
import { Line } from '../bench/line.ts'
import { ask, chanceFrom, newFolder, nthCall, openSmallEvent, ownerOf, started, type Run, wholeLog } from './service.ts'

const IN_FLIGHT = 32
/** A kill comes up to this long after it is due: anywhere in a turn of the loop. */
const SPREAD_MS = 40

/** Kills the service without warning, again and again, under calls that are repeated until they are answered. */
export async function killRows({ kills, seed }: { kills: number; seed: number }) {
  const chance = chanceFrom(seed)
  const folder = newFolder()
  let run: Run = await started({ folder })
  const secret = ownerOf(run)
  const eventId = await openSmallEvent(run, secret)
  const acks = new Map<string, RecordedAnswer>()
  let next = 0
  let cutOff = 0
  let repeats = 0
  let isOver = false

  async function caller(): Promise<void> {
    while (!isOver) {
      const body = nthCall(next++)
      while (!acks.has(body.requestId)) {
        const { port } = run
        const line = await Line.to(port).catch(() => undefined)
        const answer = await line
          ?.ask('POST', pathOf('record', { eventId }), JSON.stringify(body), { authorization: `Bearer ${secret}` })
          .catch(() => undefined)
        line?.close()
        if (answer?.status === 200) {
          const recorded = JSON.parse(answer.body) as RecordedAnswer
          if (recorded.repeated) repeats += 1
          acks.set(body.requestId, recorded)
        } else {
          if (line !== undefined) cutOff += 1
          await new Promise((resolve) => setTimeout(resolve, 20))
        }
      }
    }
  }
  const callers = Array.from({ length: IN_FLIGHT }, caller)
  for (let n = 0; n < kills; n += 1) {
    const before = acks.size
    // Something must have been recorded since the last kill, else a kill shows nothing.
    while (acks.size < before + 1 + Math.floor(chance() * 40)) await new Promise(setImmediate)
    await new Promise((resolve) => setTimeout(resolve, chance() * SPREAD_MS))
    await run.kill('SIGKILL')
    run = await started({ folder })
  }
  isOver = true
  await Promise.all(callers)

  const log = await wholeLog(run, secret, eventId)
  const state = (await ask(run, secret, pathOf('readState', { eventId }))) as View
  await run.kill('SIGTERM')
  const seen = new Set(log.facts.map(({ requestId }) => requestId))
  const lost = [...acks].filter(([, { from, facts }]) => !isDeepStrictEqual(log.facts[from - 1], facts[0]))
  const replayed = log.facts.reduce(reduce, emptyState(eventId))
  const sameState = isDeepStrictEqual(state, JSON.parse(JSON.stringify(estimate(replayed, state.atMs))))
  const figures = {
    kills,
    acknowledged: acks.size,
    cutOff,
    repeats,
    lost: lost.length,
    doubled: log.facts.length - seen.size,
    sameState
  }
  return { holds: lost.length === 0 && figures.doubled === 0 && sameState && cutOff > 0, seed, ...figures }
}
