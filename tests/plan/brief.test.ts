import { describe, expect, it } from 'vitest'
import { brief } from '../../shared/plan/brief.ts'
import { OPENS_AT_MS, paperPlan } from '../make/plan.ts'

/* Constructed: the paper plan with what a plan may leave out. */
const MIN = 60_000

describe('what a plan may leave out', () => {
  it('is resolved as if nothing excluded anything, stations were open all the time and flights stayed together', () => {
    const resolved = brief(paperPlan())
    const boom = resolved.stations.get('kelp/boom')
    expect(boom).toMatchObject({
      excludes: [],
      methodChangeMs: 0,
      opensAtMs: OPENS_AT_MS,
      closesAtMs: Infinity
    })
    expect(resolved.flights.get('alder')).toMatchObject({ maySpread: false, mayTakeInternalsOnly: false })
    expect(resolved.ships.get('alder-21')?.onLoads.size).toBe(0)
  })

  it('is resolved by station key, both ways, inside the window, and by visit', () => {
    const resolved = brief(
      paperPlan((document) => {
        const [type] = document['tankerTypes'] as { stations: { excludes?: string[] }[] }[]
        if (type?.stations[1]) type.stations[1].excludes = ['boom']
        ;(document['rules'] as { methodChangeMin?: number }).methodChangeMin = 4
        const [tanker] = document['tankers'] as { windows?: object[] }[]
        if (tanker)
          tanker.windows = [
            { stationId: 'boom', opensAtMs: OPENS_AT_MS + 10 * MIN, closesAtMs: OPENS_AT_MS + 90 * MIN }
          ]
        const [flight] = document['flights'] as Record<string, unknown>[]
        if (flight) {
          flight['maySpread'] = true
          flight['mayTakeInternalsOnly'] = true
          const [ship] = flight['ships'] as { onLoads?: object[] }[]
          if (ship) ship.onLoads = [{ visitId: 'fill', onLoad: { kind: 'full' } }]
        }
      })
    )
    expect(resolved.stations.get('kelp/boom')).toMatchObject({
      excludes: ['kelp/hose'],
      methodChangeMs: 4 * MIN,
      opensAtMs: OPENS_AT_MS + 10 * MIN,
      closesAtMs: OPENS_AT_MS + 90 * MIN
    })
    expect(resolved.stations.get('kelp/hose')).toMatchObject({
      excludes: ['kelp/boom'],
      methodChangeMs: 4 * MIN,
      opensAtMs: OPENS_AT_MS,
      closesAtMs: Infinity
    })
    expect(resolved.flights.get('alder')).toMatchObject({ maySpread: true, mayTakeInternalsOnly: true })
    expect(resolved.ships.get('alder-21')?.onLoads.get('fill')).toEqual({ kind: 'full' })
    expect(resolved.ships.get('alder-22')?.onLoads.size).toBe(0)
  })
})
