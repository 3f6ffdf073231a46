import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { feed, feedUntil } from '../../../shared/tanks/feed.ts'
import {
  serveAt,
  serviceTable,
  type Service,
  type ServiceTable,
  type ServiceTarget
} from '../../../shared/tanks/service.ts'
import { capacityKg, countedKg, startState, usableKg } from '../../../shared/tanks/sheet.ts'
import { anySheet, anyShip, group, holding, kelp, rate, sheet } from './ships.ts'

// Small instants: an instant of today is a double good to 2.4e-4 ms, which alone is worth more than 1e-6 kg.
const readyAtMs = 1_000_000
const untilAtMs = readyAtMs + 5_400_000

function read(
  table: ServiceTable,
  contactAtMs: number
): Record<'disconnectAtMs' | 'onLoadKg' | 'arriveKg' | 'leaveKg', number> {
  const after = Math.max(
    1,
    table.contactAtMs.findIndex((atMs) => atMs >= contactAtMs)
  )
  const from = table.contactAtMs[after - 1] ?? NaN
  const share = (contactAtMs - from) / ((table.contactAtMs[after] ?? NaN) - from)
  const along = (row: readonly number[]): number => {
    const low = row[after - 1] ?? NaN
    return low + share * ((row[after] ?? NaN) - low)
  }
  return {
    disconnectAtMs: along(table.disconnectAtMs),
    onLoadKg: along(table.onLoadKg),
    arriveKg: along(table.fuelAtContactKg),
    leaveKg: along(table.fuelAtDisconnectKg)
  }
}

const anyTarget = fc.oneof(
  fc.constantFrom<ServiceTarget>({ kind: 'full' }, { kind: 'internals' }),
  rate(10, 6000).map((onLoadKg): ServiceTarget => ({ kind: 'onLoad', onLoadKg })),
  fc
    .record({
      requiredKg: rate(0, 8000),
      pushAtMs: fc.integer({ min: readyAtMs, max: untilAtMs + 1_000_000 })
    })
    .map((asked): ServiceTarget => ({ kind: 'required', ...asked }))
)

/** Disconnect by the table, linear between its corners. */
function disconnectOf({ contactAtMs, disconnectAtMs }: ServiceTable, atMs: number): number {
  const after = Math.max(
    1,
    contactAtMs.findIndex((corner) => corner >= atMs)
  )
  const [x0 = 0, x1 = 0] = [contactAtMs[after - 1], contactAtMs[after]]
  const [y0 = 0, y1 = 0] = [disconnectAtMs[after - 1], disconnectAtMs[after]]
  return y0 + (x1 > x0 ? (atMs - x0) / (x1 - x0) : 0) * (y1 - y0)
}

describe('the service of a waiting ship', () => {
  it('is exact in its corners for a ship simple enough to do by hand', () => {
    // Constructed. Feed 1000 full at 10 kg/s, burn 1 kg/s, station 20: contact after w s needs w kg, gained at 9 kg/s.
    const of = sheet([group({ role: { kind: 'feed' } })])
    const service: Service = {
      readyAtMs,
      untilAtMs: readyAtMs + 900_000,
      burnKgPerS: 1,
      stationRateKgPerS: 20,
      abortKg: 400,
      target: { kind: 'full' }
    }
    const table = serviceTable(of, holding(of, [1000]), service)
    expect(table.contactAtMs).toEqual([readyAtMs, readyAtMs + 900_000])
    expect(table.disconnectAtMs[0]).toBeCloseTo(readyAtMs, 3)
    expect(table.disconnectAtMs[1]).toBeCloseTo(readyAtMs + 1_000_000, 3)
    expect(table.onLoadKg[1]).toBeCloseTo(1000, 6)
    expect(table.fuelAtContactKg[1]).toBeCloseTo(100, 6)
    expect(table.fuelAtDisconnectKg[1]).toBeCloseTo(1000, 6)
    expect(table.latestContactAtMs).toBe(readyAtMs + 600_000)
  })

  it('has one row when there is no time to wait', () => {
    const of = sheet([group({ role: { kind: 'feed' } })])
    const table = serviceTable(of, holding(of, [500]), {
      readyAtMs,
      untilAtMs: readyAtMs,
      burnKgPerS: 1,
      stationRateKgPerS: 20,
      abortKg: 500,
      target: { kind: 'full' }
    })
    expect(table.contactAtMs).toEqual([readyAtMs])
    expect(table.onLoadKg[0]).toBeCloseTo(5000 / 9, 6)
    expect(table.latestContactAtMs).toBe(readyAtMs)
  })

  it('agrees with the single contact at random instants, on any ship and for any target', () => {
    fc.assert(
      fc.property(
        anyShip,
        anyTarget,
        rate(0.2, 3.9),
        rate(4, 90),
        fc.array(fc.integer({ min: 1, max: 53_999 }), { minLength: 20, maxLength: 20 }),
        ({ sheet: of, state }, target, burnKgPerS, stationRateKgPerS, tenths) => {
          const service: Service = { readyAtMs, untilAtMs, burnKgPerS, stationRateKgPerS, abortKg: 500, target }
          const table = serviceTable(of, state, service)
          expect(table.contactAtMs[0]).toBe(readyAtMs)
          expect(table.contactAtMs.at(-1)).toBe(untilAtMs)
          for (const tenthsS of tenths) {
            // Off the grid of the figures, so that no contact falls on a jump.
            const contactAtMs = readyAtMs + 100 * tenthsS + 12.3456789
            const served = serveAt(of, state, service, contactAtMs)
            const row = read(table, contactAtMs)
            expect(Math.abs(row.disconnectAtMs - contactAtMs - 1000 * served.durationS)).toBeLessThan(1)
            expect(Math.abs(row.onLoadKg - served.onLoadKg)).toBeLessThan(1e-6)
            expect(Math.abs(row.arriveKg - usableKg(of, served.atContact))).toBeLessThan(1e-6)
            expect(Math.abs(row.leaveKg - usableKg(of, served.state))).toBeLessThan(1e-6)
          }
        }
      ),
      { numRuns: 150 }
    )
  })

  it('is exact at the first and the last instant too, where the feed group gets more than the engines drink', () => {
    fc.assert(
      fc.property(anyShip, anyTarget, rate(0.05, 0.5), ({ sheet: of, state }, target, burnKgPerS) => {
        const feed = of.groups[of.feedIndex]
        if (feed === undefined) throw new Error('no feed group')
        const asked = of.groups.reduce((sum, one) => sum + one.tankCount * one.fillRateKgPerS, 0)
        const share = Math.min(1, Math.min(45, of.maxRateKgPerS) / asked)
        fc.pre(share * feed.fillRateKgPerS > burnKgPerS + 0.01)
        const service: Service = { readyAtMs, untilAtMs, burnKgPerS, stationRateKgPerS: 45, abortKg: 500, target }
        const table = serviceTable(of, state, service)
        for (const [index, contactAtMs] of [
          [0, readyAtMs],
          [table.contactAtMs.length - 1, untilAtMs]
        ] as const) {
          const served = serveAt(of, state, service, contactAtMs)
          expect(table.disconnectAtMs[index]).toBeCloseTo(contactAtMs + 1000 * served.durationS, 1)
          expect(table.onLoadKg[index]).toBeCloseTo(served.onLoadKg, 5)
          expect(table.fuelAtContactKg[index]).toBeCloseTo(usableKg(of, served.atContact), 5)
        }
      })
    )
  })

  it('rises strictly in contact, and never disconnects earlier for a later contact', () => {
    // Ships whose feed group is full while others hold fuel: the usual case, burn below every transfer rate.
    fc.assert(
      fc.property(
        anySheet,
        fc.double({ min: 0.2, max: 1, noNaN: true }),
        anyTarget,
        rate(0.05, 0.3),
        (of, fuelShare, target, burnKgPerS) => {
          const service: Service = { readyAtMs, untilAtMs, burnKgPerS, stationRateKgPerS: 40, abortKg: 500, target }
          const table = serviceTable(of, startState(of, fuelShare * capacityKg(of), 'selected'), service)
          for (let i = 1; i < table.contactAtMs.length; i++) {
            expect(table.contactAtMs[i]).toBeGreaterThan(table.contactAtMs[i - 1] ?? NaN)
            expect(table.disconnectAtMs[i]).toBeGreaterThanOrEqual((table.disconnectAtMs[i - 1] ?? NaN) - 1e-2)
          }
        }
      ),
      { numRuns: 150 }
    )
  })

  it('gives as latest contact the instant counted fuel falls to abort fuel', () => {
    const start = startState(kelp, 5000, 'selected')
    const service: Service = {
      readyAtMs,
      untilAtMs,
      burnKgPerS: 1.1,
      stationRateKgPerS: 30,
      abortKg: 900,
      target: { kind: 'full' }
    }
    const latest = serviceTable(kelp, start, service).latestContactAtMs ?? NaN
    const waitedS = (latest - readyAtMs) / 1000
    expect(countedKg(kelp, feed(kelp, start, 1.1, waitedS).state)).toBeCloseTo(900, 3)
    expect(waitedS).toBeCloseTo(feedUntil(kelp, start, 1.1, 'counted', 900, 5400) ?? NaN, 3)
    expect(serviceTable(kelp, start, { ...service, abortKg: 0 }).latestContactAtMs).toBe(
      readyAtMs + 1000 * (feedUntil(kelp, start, 1.1, 'counted', 0, 5400) ?? NaN)
    )
    const early = { ...service, untilAtMs: readyAtMs + 60_000 }
    expect(serviceTable(kelp, start, early).latestContactAtMs).toBeUndefined()
  })

  it('is not misled where two groups close at one instant, as round figures make them do', () => {
    // Constructed: feed and body are full; 600 kg of the aft tank at 2 kg/s take 300 s by hand.
    const round = sheet([
      group({ id: 'feed', role: { kind: 'feed' }, capacityKg: 1000 }),
      group({ id: 'body', capacityKg: 2000, fillRateKgPerS: 2 }),
      group({ id: 'aft', capacityKg: 1000, role: { kind: 'reserve', releasedBelowKg: 0 }, fillRateKgPerS: 2 })
    ])
    const start = holding(round, [1000, 2000, 400])
    const service: Service = {
      readyAtMs,
      untilAtMs: readyAtMs + 1_200_000,
      burnKgPerS: 1,
      stationRateKgPerS: 40,
      abortKg: 0,
      target: { kind: 'required', requiredKg: 4000 - 1e-7, pushAtMs: 0 }
    }
    const table = serviceTable(round, start, service)
    for (let contactS = 0; contactS <= 1200; contactS += 50) {
      const served = serveAt(round, start, service, readyAtMs + contactS * 1000)
      expect(disconnectOf(table, readyAtMs + contactS * 1000)).toBeCloseTo(
        readyAtMs + (contactS + served.durationS) * 1000,
        0
      )
    }
    expect((disconnectOf(table, readyAtMs) - readyAtMs) / 1000).toBeCloseTo(300, 3)
  })

  it('puts the latest contact before ready where counted fuel is below abort fuel by then', () => {
    // Constructed: 71 kg unusable, so 429 kg count; 371 kg too little at 2 kg/s.
    const start = startState(kelp, 500, 'selected')
    const service: Service = {
      readyAtMs,
      untilAtMs: readyAtMs + 600_000,
      burnKgPerS: 2,
      stationRateKgPerS: 40,
      abortKg: 800,
      target: { kind: 'full' }
    }
    expect(serviceTable(kelp, start, service).latestContactAtMs).toBeCloseTo(readyAtMs - (371 / 2) * 1000, 3)
    // Nothing is burned: it is below now, and was ever.
    expect(serviceTable(kelp, start, { ...service, burnKgPerS: 0 }).latestContactAtMs).toBe(readyAtMs)
    // A dry feed group that gets less than it drinks: all that is aboard counts for nothing.
    const thin = sheet([
      group({ id: 'feed', role: { kind: 'feed' }, transferRateKgPerS: 0 }),
      group({ id: 'body', transferRateKgPerS: 0.5 })
    ])
    const dry = serviceTable(thin, holding(thin, [0, 900]), { ...service, abortKg: 600 })
    expect(dry.latestContactAtMs).toBeCloseTo(readyAtMs - (600 / 2) * 1000, 3)
  })

  it('ends a single contact at the give or at the window', () => {
    const start = startState(kelp, 3000, 'selected')
    const service = { readyAtMs, burnKgPerS: 1, stationRateKgPerS: 40, target: { kind: 'full' } as const }
    const served = serveAt(kelp, start, service, readyAtMs + 60_000, { giveKg: 500 })
    expect(served.endedBy).toBe('give')
    expect(served.onLoadKg).toBeCloseTo(500, 6)
    expect(usableKg(kelp, served.atContact)).toBeCloseTo(3000 - 71 - 60, 6)
    expect(serveAt(kelp, start, service, readyAtMs, { windowS: 12 })).toMatchObject({
      durationS: 12,
      endedBy: 'window'
    })
  })

  it('refuses a contact before the ship is ready and a horizon that ends before it', () => {
    const start = startState(kelp, 3000, 'selected')
    const service: Service = {
      readyAtMs: 1000,
      untilAtMs: 500,
      burnKgPerS: 1,
      stationRateKgPerS: 40,
      abortKg: 0,
      target: { kind: 'full' }
    }
    expect(() => serviceTable(kelp, start, service)).toThrow('untilAtMs must be at least 1000, is 500')
    expect(() => serveAt(kelp, start, service, 999)).toThrow('contactAtMs must be at least 1000, is 999')
  })
})
