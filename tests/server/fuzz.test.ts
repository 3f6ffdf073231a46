import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { PROBLEMS, type ProblemCode } from '../../shared/contracts/problem.ts'
import type { RouteName } from '../../shared/contracts/routes.ts'
import { places, replaced, strange } from '../make/strange.ts'
import { OPENS_AT_MS, SHIPS, smallPlan } from './plan.ts'
import { freshId, fuelCall, service } from './service.ts'

/** Beside those that schemas.test.ts makes. */
const RUNS = 2_200
/** Of the processor, whatever else the machine does meanwhile. */
const MOST_CPU_MS = 1_000

describe('a request that is wrong in one place', () => {
  const bodies: [RouteName, unknown][] = [
    ['importPlan', smallPlan()],
    ['computeOrder', { plan: smallPlan(), orders: smallPlan().orders, atMs: OPENS_AT_MS + 1 }],
    [
      'computeOnLoad',
      {
        receiverType: smallPlan().receiverTypes[0],
        fuelDensity: smallPlan().fuelDensity,
        fitted: [],
        fuelNow: { value: 2000, unit: 'kg' },
        externals: 'off',
        stationRate: { value: 500, unit: 'kg/min' },
        onLoad: { kind: 'fixed', fuel: { value: 900, unit: 'kg' } }
      }
    ],
    ['record', fuelCall(SHIPS.alder1, 3000)],
    ['record', { kind: 'makeContact', shipId: SHIPS.alder1, slotId: 'slot-1', tankerId: 'rasp', stationId: 'left' }],
    ['record', { kind: 'setOrder', orders: smallPlan().orders, basedOnSeq: 2 }],
    ['record', { kind: 'withdrawFact', withdrawnSeq: 3 }],
    ['record', { kind: 'disconnect', shipId: SHIPS.alder1, how: 'partial', offLoad: { value: 300, unit: 'kg' } }],
    ['record', { kind: 'setReady', shipId: SHIPS.alder2, readyAtMs: OPENS_AT_MS + 2_400_000 }],
    ['record', { kind: 'setNoShow', shipId: SHIPS.kelp1, noShow: true }],
    ['record', { kind: 'setPriority', flightId: 'kelp', priority: 2 }],
    [
      'record',
      { kind: 'setOnLoad', shipId: SHIPS.alder2, onLoad: { kind: 'fixed', fuel: { value: 900, unit: 'kg' } } }
    ],
    ['record', { kind: 'setTankerTimes', tankerId: 'rasp', onStationAtMs: OPENS_AT_MS + 60_000 }],
    ['record', { kind: 'setGive', tankerId: 'rasp', keeps: { value: 9_000, unit: 'kg' } }],
    ['record', { kind: 'setBase', baseId: 'north', open: true }],
    [
      'record',
      {
        kind: 'addReceiver',
        callSign: 'Sleet 1',
        receiverTypeId: 'type-a',
        fuel: { value: 2000, unit: 'kg' },
        tankerId: 'rasp',
        fitted: [],
        recoveryBaseId: 'north',
        priority: 2,
        readyAtMs: OPENS_AT_MS + 1_200_000,
        onLoad: { kind: 'internals' }
      }
    ],
    ['createLink', { role: 'crew', shipId: SHIPS.alder1 }],
    ['publishPlan', { revision: 1 }],
    [
      'takeReadings',
      {
        readings: [
          { shipId: SHIPS.alder1, atMs: OPENS_AT_MS + 50_000, fuel: { value: 3000, unit: 'kg' }, covers: 'total' },
          { shipId: SHIPS.kelp1, atMs: OPENS_AT_MS + 55_000, fuel: { value: 6000, unit: 'lb' }, covers: 'internal' }
        ]
      }
    ],
    ['startSearch', { kind: 'repair', maySpread: ['alder'], judgements: 5 }]
  ]
  const wrong = fc.constantFrom(...bodies).chain(([name, body]) =>
    fc.record({
      name: fc.constant(name),
      body: fc.tuple(fc.constantFrom(...places(body)), strange).map(([at, by]) => replaced(body, at, by))
    })
  )

  it(`is answered in time and by a code of the list, never by a fault of ours (${String(RUNS)} requests)`, async () => {
    const { call, owner, openEvent } = await service({ isLimited: false })
    const { eventId } = await openEvent()
    // The computing thread starts when it is first needed.
    await call('computeOrder', { body: {} })
    const seen = new Map<number, number>()
    await fc.assert(
      fc.asyncProperty(wrong, async ({ name, body }) => {
        const isAsked =
          ['record', 'publishPlan', 'takeReadings'].includes(name) && typeof body === 'object' && body !== null
        const sent = isAsked && !Array.isArray(body) ? { requestId: freshId(), ...body } : body
        const cpu = process.cpuUsage()
        const { status, body: answer } = await call(name, {
          as: owner,
          parameters: { eventId },
          body: JSON.stringify(sent)
        })
        const spent = process.cpuUsage(cpu)
        expect((spent.user + spent.system) / 1000).toBeLessThan(MOST_CPU_MS)
        seen.set(status, (seen.get(status) ?? 0) + 1)
        if (status < 300) return
        expect(status, JSON.stringify(answer)).toBeLessThan(500)
        expect(PROBLEMS[answer.code as ProblemCode][0]).toBe(status)
      }),
      { numRuns: RUNS }
    )
    // It must have been both: wrong values refused, and strange but right ones taken.
    expect([...seen.keys()]).toEqual(expect.arrayContaining([200, 400, 422]))
  }, 120_000)
})
