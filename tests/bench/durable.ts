import { bareTarget, callBody, openEvent, processorMs, startBare, startOurs, type Target } from './child.ts'
import { jsonOf, Line } from './line.ts'
import { medianOf, rowOf, type Row } from './timing.ts'

const IN_FLIGHT = 32
const TURNS = 6
const TURN_CALLS = 1_500
/**
 * Until the compiler has seen enough of both. It compiles some of ours anew after each of the first events, which are opened by
 * other routes than calls are made by: until then a call took half as long again.
 */
const WARM_TURNS = 8

/** Fuel calls that are answered once they are safe on disk, so many in flight all the time. */
export async function durableRows(): Promise<Row[]> {
  const ours = await startOurs('off')
  try {
    const bare = await startBare(true)
    try {
      const target = bareTarget(bare)
      for (let turn = 0; turn < WARM_TURNS; turn++) {
        await callsOn(await openEvent(ours), TURN_CALLS)
        await callsOn(target, TURN_CALLS)
      }
      const turns: { ours: Turn[]; bare: Turn[] } = { ours: [], bare: [] }
      for (let turn = 0; turn < TURNS; turn++) {
        // An event of its own each time: a log grows to some thousand facts, not without end.
        const event = await openEvent(ours)
        if (turn % 2 === 0) turns.ours.push(await callsOn(event, TURN_CALLS))
        turns.bare.push(await callsOn(target, TURN_CALLS))
        if (turn % 2 === 1) turns.ours.push(await callsOn(event, TURN_CALLS))
      }
      const spread = (side: 'ours' | 'bare', of: keyof Turn) => ({
        median: medianOf(turns[side].map((turn) => turn[of]))
      })
      const row = (name: string, unit: string, of: keyof Turn) =>
        rowOf(name, unit, TURNS, spread('ours', of), spread('bare', of))
      return [
        row(`durable fuel calls, ${String(IN_FLIGHT)} in flight`, '1/s', 'callsPerS'),
        row(`processor time of the server for one of them`, 'µs', 'processorUs')
      ]
    } finally {
      await bare.stop()
    }
  } finally {
    await ours.stop()
  }
}

interface Turn {
  callsPerS: number
  processorUs: number
}

async function callsOn({ server, callPath, headers }: Target, calls: number): Promise<Turn> {
  const lines: Line[] = []
  for (let i = 0; i < IN_FLIGHT; i++) lines.push(await Line.to(server.port))
  const usedMs = processorMs(server.pid)
  const beganMs = performance.now()
  let count = 0
  await Promise.all(
    lines.map(async (line) => {
      while (count < calls) {
        const answer = await line.ask('POST', callPath, callBody(count++), headers)
        if (answer.status !== 200) jsonOf(answer)
      }
    })
  )
  const tookMs = performance.now() - beganMs
  for (const line of lines) line.close()
  return {
    callsPerS: (count * 1_000) / tookMs,
    processorUs: ((processorMs(server.pid) - usedMs) * 1_000) / count
  }
}
