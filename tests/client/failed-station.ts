import type { Fact } from '../../shared/contracts/facts.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import { NOW_MS } from './fixture.ts'

/* The demonstration plan with a station failed (constructed). */

export const plan = demoPlan(NOW_MS)
export const told = (seq: number, fact: object) =>
  ({
    v: 1,
    seq,
    at: NOW_MS,
    recordedAtMs: NOW_MS,
    atMs: NOW_MS,
    by: 'link',
    requestId: `request-${seq}`,
    ...fact
  }) as unknown as Fact
export const FACTS: readonly Fact[] = [
  told(1, { kind: 'planAdopted', revision: 1, plan }),
  told(2, { kind: 'eventOpened' }),
  told(3, { kind: 'stationStatus', tankerId: 'auger', stationId: 'centre', status: 'failed' })
]
