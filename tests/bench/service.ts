import { requiredKg, abortKg } from '../../shared/plan/limits.ts'
import { serveAt, serviceTable } from '../../shared/tanks/service.ts'
import { startState } from '../../shared/tanks/sheet.ts'
import { found, MINUTE_MS, OPENS_AT_MS, pairOf, RESOLVED } from './demo.ts'
import { interleaved, latencies, rowOf, type Row } from './timing.ts'

const BATCHES = 80

/** The whole service curve of one ship, against as many single contacts as the curve has corners. */
export function serviceRows(): Row[] {
  const { ship, flight, station, tanker } = pairOf('thistle-1', 'sorrel/left')
  const visit = found(flight.visits[0], 'its visit')
  const readyAtMs = OPENS_AT_MS + 40 * MINUTE_MS
  const service = {
    readyAtMs,
    untilAtMs: OPENS_AT_MS + 7 * 60 * MINUTE_MS,
    burnKgPerS: flight.refuellingFlowKgPerS * ship.dragFactor,
    stationRateKgPerS: station.rateKgPerS,
    abortKg: abortKg(RESOLVED, ship, tanker.trackId),
    target: {
      kind: 'required' as const,
      requiredKg: requiredKg(RESOLVED, flight, ship, visit),
      pushAtMs: visit.plannedPushAtMs
    }
  }
  const state = startState(ship.sheet, 3_200, 'selected')
  const table = () => serviceTable(ship.sheet, state, service)
  const corners = table().contactAtMs
  const bare = () => corners.reduce((sum, atMs) => sum + serveAt(ship.sheet, state, service, atMs).onLoadKg, 0)
  const ours = () => table().onLoadKg.reduce((sum, kg) => sum + kg, 0)
  if (Math.abs(ours() - bare()) > 1e-3 * corners.length) throw new Error('the single contacts give another curve')

  const times = interleaved({ ours, bare }, BATCHES)
  const us = (name: 'ours' | 'bare') => latencies(times[name].map((ms) => ms * 1_000))
  return [rowOf(`service curve of one ship, ${String(corners.length)} corners`, 'µs', BATCHES, us('ours'), us('bare'))]
}
