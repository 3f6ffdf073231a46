import { estimate } from '../../shared/live/estimate.ts'
import { MemoryEvent } from '../make/event.ts'
import { MINUTE_MS, OPENS_AT_MS, PLAN } from './demo.ts'
import { latencies, rowOf, type Row } from './timing.ts'

const RUNS = 60
const WARM_RUNS = 15

/** The whole view of the demonstration, in the midst of its first contacts: as a board asks for it. */
export function estimateRows(): Row[] {
  const event = midway()
  let nowMs = OPENS_AT_MS + 30 * MINUTE_MS
  const seconds: number[] = []
  for (let i = 0; i < RUNS + WARM_RUNS; i++) seconds.push(timed(event, (nowMs += 1_000)))
  const calls: number[] = []
  for (let i = 0; i < RUNS + WARM_RUNS; i++) {
    nowMs += 1_000
    const refused = event.ask(callOf(i), nowMs)
    if (refused) throw new Error(`${refused.code}: ${refused.detail}`)
    calls.push(timed(event, nowMs))
  }
  const warm = (times: readonly number[]) => latencies(times.slice(WARM_RUNS))
  return [
    rowOf('view of the demonstration, each second', 'ms', RUNS, warm(seconds), null),
    rowOf('view of the demonstration, after a call', 'ms', RUNS, warm(calls), null)
  ]
}

function timed(event: MemoryEvent, nowMs: number): number {
  const startedMs = performance.now()
  const view = estimate(event.state, nowMs)
  const tookMs = performance.now() - startedMs
  if (view?.ships.length !== PLAN.flights.reduce((count, { ships }) => count + ships.length, 0)) {
    throw new Error('the view lacks ships')
  }
  return tookMs
}

/** Every ship has called once, one of each station's first ships is in contact. */
function midway(): MemoryEvent {
  const event = new MemoryEvent(PLAN)
  const ask = (request: Parameters<MemoryEvent['ask']>[0], minute: number): void => {
    const refused = event.ask(request, OPENS_AT_MS + minute * MINUTE_MS)
    if (refused) throw new Error(`${refused.code}: ${refused.detail}`)
  }
  PLAN.flights
    .flatMap(({ ships }) => ships)
    .forEach((_, index) => {
      ask(callOf(index), 20)
    })
  ask({ kind: 'makeContact', shipId: 'sleet-2' }, 28)
  ask({ kind: 'startFlow', shipId: 'sleet-2' }, 29)
  ask({ kind: 'makeContact', shipId: 'rasp-2' }, 29)
  return event
}

function callOf(index: number): Parameters<MemoryEvent['ask']>[0] {
  const ships = PLAN.flights.flatMap((flight) => flight.ships)
  const ship = ships[index % ships.length]
  return { kind: 'callFuel', shipId: ship?.id, fuel: { value: 2_600 + index, unit: 'kg' }, covers: 'total' }
}
