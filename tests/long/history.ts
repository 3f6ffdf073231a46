import { isDeepStrictEqual } from 'node:util'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { View } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { faultsOf, type Told } from './checker.ts'
import { proxyTo } from './proxy.ts'
import { ask, chanceFrom, newFolder, openSmallEvent, ownerOf, started, type Run, wholeLog } from './service.ts'
import { byHand, byOutbox, type Counts, type Way } from './tellers.ts'
import { watch } from './watchers.ts'

const CLIENTS = 12
const BOARDS = 5
/** An event of so many acknowledged requests; then another one is begun, as evenings are. */
const MOST_AN_EVENT = 2_000
/** Cuts and kills an event. */
const CUTS = 6
const KILLS = 2
const DOWN_MS = 150

/** Random histories of many clients on a real service, over a line that breaks, with kills; each checked as a whole. */
export async function historyRows({ acknowledged, seed }: { acknowledged: number; seed: number }) {
  const chance = chanceFrom(seed)
  const folder = newFolder()
  let run = await started({ folder })
  const secret = ownerOf(run)
  const proxy = await proxyTo(() => run.port)
  const counts: Counts = { acknowledged: 0, unanswered: 0, repeated: 0 }
  const sums = { events: 0, facts: 0, cuts: 0, kills: 0, refused: 0, gaps: 0 }
  const faults: string[] = []

  const restart = async (): Promise<void> => {
    await run.kill('SIGKILL')
    run = await started({ folder })
  }
  while (counts.acknowledged < acknowledged) {
    const until = Math.min(acknowledged, counts.acknowledged + MOST_AN_EVENT)
    const eventId = await openSmallEvent(run, secret)
    const event = await anEvent({ eventId, until, restart, port: () => proxy.port, now: () => run })
    sums.events += 1
    sums.facts += event.facts
    sums.refused += event.refused
    sums.gaps += event.gaps
    faults.push(...event.faults)
    if (faults.length > 0) break
  }
  await proxy.close()
  await run.kill('SIGTERM')
  const holds = faults.length === 0 && sums.gaps === 0 && counts.unanswered > 0 && counts.repeated > 0
  return { holds, seed, ...counts, ...sums, faults: faults.slice(0, 20) }

  async function anEvent(parts: {
    eventId: string
    until: number
    restart: () => Promise<void>
    port: () => number
    now: () => Run
  }) {
    const { eventId, until, port } = parts
    const boards = Array.from({ length: BOARDS }, () => watch({ port, eventId, secret }))
    const isOver = (): boolean => counts.acknowledged >= until
    const way: Way = {
      ...{ port, eventId, secret, chance },
      nowMs: Date.now,
      seq: () => boards[0]?.state().seq ?? 0
    }
    const names = Array.from({ length: CLIENTS }, (_, index) => `${eventId}-${String(index)}`)
    const clients = names.map((name, index) => (index % 2 === 0 ? byHand : byOutbox)(name, way, counts, isOver))
    await disturb(until)
    const told = new Map<string, readonly Told[]>(
      (await Promise.all(clients)).map((list, index) => [names[index] ?? '', list])
    )
    const log = await wholeLog(run, secret, eventId)
    await Promise.all(boards.map((board) => board.reached(log.to)))
    const state = (await ask(run, secret, pathOf('readState', { eventId }))) as View
    const seen = new Map(boards.map((board, index) => [`board ${String(index)}`, board.facts]))
    const found = faultsOf({ told, log: log.facts, seen })
    boards.forEach((board, index) => {
      const shown: unknown = JSON.parse(JSON.stringify(estimate(board.state(), state.atMs)))
      if (!isDeepStrictEqual(shown, state)) found.push(`board ${String(index)} shows another state than the service`)
      board.stop()
    })
    return {
      facts: log.to,
      refused: [...told.values()].flat().filter(({ answers }) => answers.length === 0).length,
      gaps: boards.reduce((sum, board) => sum + board.gaps(), 0),
      faults: found
    }
  }

  /** Cuts and kills, spread by chance over what is still to be acknowledged. */
  async function disturb(until: number): Promise<void> {
    const from = counts.acknowledged
    const acts = [
      ...Array.from({ length: KILLS }, () => 'kill' as const),
      ...Array.from({ length: CUTS }, () => 'cut' as const)
    ]
    const due = acts.map((act) => ({ act, at: from + chance() * (until - from) * 0.9 })).sort((a, b) => a.at - b.at)
    for (const { act, at } of due) {
      while (counts.acknowledged < at) await new Promise((resolve) => setTimeout(resolve, 2))
      if (act === 'kill') {
        sums.kills += 1
        await restart()
        continue
      }
      sums.cuts += 1
      if (chance() < 0.5) proxy.cut()
      else {
        proxy.down()
        await new Promise((resolve) => setTimeout(resolve, chance() * DOWN_MS))
        proxy.mend()
      }
    }
  }
}
