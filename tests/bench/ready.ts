import { pathOf } from '../../shared/contracts/routes.ts'
import { startBare, startOurs, type Server } from './child.ts'
import { jsonOf, Line } from './line.ts'
import { latencies, rowOf, type Row } from './timing.ts'

const RUNS = 7

/** From the start of the process on an empty folder until it answers that it is well. */
export async function readyRows(): Promise<Row[]> {
  const empty: number[] = []
  const demo: number[] = []
  const bare: number[] = []
  const health = pathOf('health')
  for (let run = 0; run < RUNS; run++) {
    empty.push(await readyMs(() => startOurs('off'), health))
    bare.push(await readyMs(() => startBare(false), '/health'))
    demo.push(await readyMs(() => startOurs('on'), health))
  }
  return [
    rowOf('start to ready, empty folder', 'ms', RUNS, latencies(empty), latencies(bare)),
    rowOf('start to ready, with the demonstration', 'ms', RUNS, latencies(demo), latencies(bare))
  ]
}

async function readyMs(start: () => Promise<Server>, path: string): Promise<number> {
  const startedMs = performance.now()
  const server = await start()
  try {
    const line = await Line.to(server.port)
    jsonOf(await line.ask('GET', path))
    line.close()
    return performance.now() - startedMs
  } finally {
    await server.stop()
  }
}
