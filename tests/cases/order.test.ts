import { describe, expect, test } from 'vitest'
import { demand } from '../../shared/order/demand.ts'
import { giveKg } from '../../shared/order/ledger.ts'
import { judge, type Judged } from '../../shared/order/times.ts'
import { KG_PER_LB, MS_PER_MIN } from '../../shared/units.ts'
import { order, slot, station, tanker } from '../shared/order/make.ts'

/*
 * Constructed cases: arithmetic anyone can do by hand, no outside authority. Minutes and pounds as they were made.
 */

const minutes = (judged: Judged, of: 'startAtMs' | 'contactAtMs' | 'disconnectAtMs' | 'slackMs'): number[] =>
  judged.slots.map((one) => (one[of] ?? NaN) / MS_PER_MIN)
const lastMin = (judged: Judged): number => Math.max(...minutes(judged, 'disconnectAtMs'))

/** Ships that differ in nothing, each on a station for as long; dealt to the stations in turn. */
function like(ships: number, serviceMin: number, stations: number): Judged {
  const ids = Array.from({ length: ships }, (_, i) => `ship-${String(i)}`)
  const stationIds = Array.from({ length: stations }, (_, i) => `station-${String(i)}`)
  return judge(
    order({
      slots: ids.map((id) => slot(id, { serviceMs: serviceMin * MS_PER_MIN })),
      stations: stationIds.map((id) => station(id)),
      turns: Object.fromEntries(stationIds.map((id, k) => [id, ids.filter((_, i) => i % stations === k)]))
    })
  )
}

describe('constructed schedule cases', () => {
  test('c1: four ships of 5 min on one boom start at 0, 5, 10, 15 and end at 20', () => {
    const judged = like(4, 5, 1)
    expect(minutes(judged, 'startAtMs')).toEqual([0, 5, 10, 15])
    expect(lastMin(judged)).toBe(20)
  })

  test('c2: four ships of 8 min on two pods start at 0, 0, 8, 8 and end at 16', () => {
    const judged = like(4, 8, 2)
    expect(minutes(judged, 'startAtMs').sort((a, b) => a - b)).toEqual([0, 0, 8, 8])
    expect(lastMin(judged)).toBe(16)
  })

  test('c3: eight ships end at 40 on one boom of 5 min and at 32 on two pods of 8 min', () => {
    expect(lastMin(like(8, 5, 1))).toBe(40)
    expect(lastMin(like(8, 8, 2))).toBe(32)
  })

  test('c14: two ships with like loads take exactly half as long on two pods as on one hose', () => {
    expect(lastMin(like(2, 8, 2)) / lastMin(like(2, 8, 1))).toBe(0.5)
  })
})

describe('c7, constructed: four ships of 6 min whose deadlines differ', () => {
  // Name, fuel lb, bingo lb, burn lb/min.
  const ships = [
    ['A', 9000, 4000, 80],
    ['B', 6200, 3860, 75],
    ['C', 4600, 3860, 75],
    ['D', 7600, 3900, 75]
  ] as const
  const inTurn = (turn: string, serveAnyway = false): Judged =>
    judge(
      order({
        slots: ships.map(([id, fuelLb, abortLb, burnLbPerMin]) =>
          slot(
            id,
            {
              fuelKg: fuelLb * KG_PER_LB,
              abortKg: abortLb * KG_PER_LB,
              burnKgPerS: (burnLbPerMin * KG_PER_LB) / 60,
              targetKg: 12_000 * KG_PER_LB,
              serviceMs: 6 * MS_PER_MIN
            },
            { serveAnyway }
          )
        ),
        stations: [station('boom')],
        turns: { boom: turn.split('') }
      })
    )
  const of = (judged: Judged, id: string) => judged.slots.find((one) => one.slotId === id)

  test('the latest contacts are 62.5, 31.2, 9.87 and 49.33 min', () => {
    const judged = inTurn('CBDA')
    const latestMin = ['A', 'B', 'C', 'D'].map((id) => (of(judged, id)?.latestContactAtMs ?? NaN) / MS_PER_MIN)
    expect(latestMin).toEqual([62.5, 31.2, 9.87, 49.33].map((min) => expect.closeTo(min, 2) as number))
  })

  test('in the order A, B, C, D ship C would come 2.13 min past its latest contact and leaves', () => {
    const judged = inTurn('ABCD')
    expect(of(judged, 'C')).toMatchObject({ state: 'missed', contactAtMs: 12 * MS_PER_MIN, onLoadKg: 0 })
    expect((of(judged, 'C')?.pastMs ?? NaN) / MS_PER_MIN).toBeCloseTo(2.13, 2)
    expect(judged.reasons).toContainEqual(
      expect.objectContaining({ kind: 'past latest contact', slotId: 'C', severity: 'now' })
    )
    // Nobody waits for it: D takes its place.
    expect(of(judged, 'D')?.contactAtMs).toBe(12 * MS_PER_MIN)
    expect(judged.judgement.lostWeight).toBe(1)
  })

  test('served anyway, C takes its 6 min and stays marked', () => {
    const judged = inTurn('ABCD', true)
    expect(of(judged, 'C')).toMatchObject({ state: 'planned', contactAtMs: 12 * MS_PER_MIN })
    expect(of(judged, 'D')?.contactAtMs).toBe(18 * MS_PER_MIN)
    expect(judged.reasons.map((one) => one.kind)).toContain('past latest contact')
  })

  test('in the order C, B, D, A all come with 9.87, 25.2, 37.33 and 44.5 min in hand', () => {
    const judged = inTurn('CBDA')
    expect(judged.slots.map((one) => one.state)).toEqual(['planned', 'planned', 'planned', 'planned'])
    expect(minutes(judged, 'slackMs')).toEqual([9.87, 25.2, 37.33, 44.5].map((m) => expect.closeTo(m, 2) as number))
    expect(judged.judgement.lostWeight).toBe(0)
  })
})

describe('constructed cases of give', () => {
  test('c9: with 60,000 lb for eight ships of 8,000 the eighth contact ends 4,000 lb short', () => {
    const ids = 'ABCDEFGH'.split('')
    const judged = judge(
      order({
        slots: ids.map((id) => slot(id, { fuelKg: 0, targetKg: 8000 * KG_PER_LB, rateKgPerS: 20 })),
        stations: [station('boom')],
        tankers: [tanker('tanker', { giveKg: () => 60_000 * KG_PER_LB })],
        turns: { boom: ids }
      })
    )
    const [ledger] = judged.ledger
    expect(ledger?.dryAtSlotId).toBe('H')
    expect((ledger?.shortKg ?? NaN) / KG_PER_LB).toBeCloseTo(4000, 6)
    expect((ledger?.promisedKg ?? NaN) / KG_PER_LB).toBeCloseTo(60_000, 6)
    const onLoadsLb = judged.slots.map((one) => Math.round(one.onLoadKg / KG_PER_LB))
    expect(onLoadsLb).toEqual([8000, 8000, 8000, 8000, 8000, 8000, 8000, 4000])
    expect(judged.slots.map((one) => one.endedBy)).toEqual([...Array<string>(7).fill('target'), 'give'])
    expect(judged.reasons).toContainEqual(expect.objectContaining({ kind: 'tanker dry', slotId: 'H' }))
  })

  test('c10: a leaving time moved by 90 min at 10,500 lb/h leaves 74,250 of 90,000 lb; inside it a delay costs nothing', () => {
    const leavesAtMs = 120 * MS_PER_MIN
    const burnKgPerS = (10_500 * KG_PER_LB) / 3600
    const keepsKg = 30_000 * KG_PER_LB
    // Aboard such that 90,000 lb are to be had at the planned leaving time.
    const aboardKg = 90_000 * KG_PER_LB + keepsKg + burnKgPerS * 7200
    const give = (atMs: number): number =>
      giveKg({ mostTransferableKg: 1e9, aboardKg, aboardAtMs: 0, burnKgPerS, keepsKg, leavesAtMs: atMs })
    const afterWaitOf = (readyMin: number) =>
      judge(
        order({
          slots: [slot('A', { readyAtMs: readyMin * MS_PER_MIN, serviceMs: 10 * MS_PER_MIN })],
          stations: [station('boom')],
          tankers: [tanker('tanker', { leavesAtMs, giveKg: give })],
          turns: { boom: ['A'] }
        })
      )
    const moved = afterWaitOf(200)
    expect((moved.ledger[0]?.giveKg ?? NaN) / KG_PER_LB).toBeCloseTo(74_250, 6)
    expect(moved.ledger[0]?.heldMs).toBe(90 * MS_PER_MIN)
    expect(moved.reasons).toContainEqual(expect.objectContaining({ kind: 'tanker held late', byS: 5400 }))
    for (const readyMin of [0, 60, 110]) {
      expect((afterWaitOf(readyMin).ledger[0]?.giveKg ?? NaN) / KG_PER_LB).toBeCloseTo(90_000, 6)
      expect(afterWaitOf(readyMin).reasons).toEqual([expect.objectContaining({ kind: 'late push' })])
    }
  })

  test('c11: 24 receivers of 7,000 lb in 60 min at 12 an hour need 2 tankers by time, 3 by give', () => {
    const need = demand({
      receivers: 24,
      onLoadKg: 7000 * KG_PER_LB,
      windowMs: 60 * MS_PER_MIN,
      serviceMs: 5 * MS_PER_MIN,
      givePerTankerKg: 57_143 * KG_PER_LB
    })
    expect(need).toEqual({ tankersByTime: 2, tankersByGive: 3, tankers: 3, binds: 'give' })
  })
})
