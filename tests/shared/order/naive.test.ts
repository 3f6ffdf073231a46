import { describe, expect, test } from 'vitest'
import { judge } from '../../../shared/order/times.ts'
import { naive, naiveJudgement } from './naive.ts'
import { inputOf, randomCase } from './random.ts'

// In the last a ship is found to miss only after contacts that begin later were dealt with, and give binds.
const seeds = [...Array.from({ length: 400 }, (_, i) => i + 1), 973]

describe('a judge written another way', () => {
  test('agrees on states, instants, fuel, pushes, ledger and judgement of 401 random orders', () => {
    const met = {
      missed: 0,
      gone: 0,
      cut: 0,
      circle: 0,
      again: 0,
      held: 0,
      window: 0,
      fixed: 0,
      ways: 0,
      tops: 0,
      topsMissed: 0,
      shut: 0,
      waits: 0,
      changes: 0,
      restless: 0
    }
    for (const seed of seeds) {
      const given = randomCase(seed)
      const judged = judge(inputOf(given))
      const answer = naive(given)
      if (answer === undefined) {
        met.restless++
        continue
      }
      for (const one of judged.slots) {
        const other = answer.slots.get(one.slotId)
        const about = `seed ${String(seed)} ${one.slotId}`
        expect(one.state, about).toBe(other?.state)
        if (other === undefined || one.state === 'gone') continue
        if (one.state === 'missed') {
          // Where stations exclude each other the two find a miss at other times, with other instants.
          const shuts = given.stations.some(({ excludes }) => excludes !== undefined)
          if (!Number.isNaN(other.contactAtMs) && !shuts) {
            expect(one.contactAtMs, about).toBeCloseTo(other.contactAtMs, 1)
            expect(one.pastMs, about).toBeCloseTo(other.pastMs, 1)
          }
          continue
        }
        expect(one.contactAtMs, about).toBeCloseTo(other.contactAtMs, 1)
        expect(one.disconnectAtMs, about).toBeCloseTo(other.disconnectAtMs, 1)
        expect(one.onLoadKg, about).toBeCloseTo(other.onLoadKg, 3)
        expect(one.fuelAtDisconnectKg, about).toBeCloseTo(other.fuelAtDisconnectKg, 3)
        if (one.slotId.endsWith('again')) met.again++
        if (one.slotId.endsWith('top')) met.tops++
        if (one.waitsForSlotId !== undefined) met.shut++
        const asked = given.ships.find(({ slot }) => slot.id === one.slotId)?.slot.notBeforeMs
        if (asked === one.startAtMs) met.waits++
        if (one.endedBy === 'window') met.window++
        const changeoverMs = given.stations.find(({ id }) => id === one.stationId)?.changeoverMs
        if (changeoverMs !== undefined && one.aheadSlotId !== undefined) met.changes++
        const { wayMs } = given.ships.find(({ slot }) => slot.id === one.slotId)?.ship ?? {}
        if ((wayMs?.[one.stationId] ?? 0) > 0) met.ways++
      }
      for (const push of judged.pushes) {
        expect(push.pushAtMs, `seed ${String(seed)}`).toBeCloseTo(answer.pushes.get(push.pushGroupId) ?? NaN, 1)
      }
      for (const row of judged.ledger) {
        expect(row.dryAtSlotId, `seed ${String(seed)}`).toBe(answer.dry.get(row.tankerId))
        expect(row.promisedKg, `seed ${String(seed)}`).toBeCloseTo(answer.promisedKg.get(row.tankerId) ?? NaN, 3)
        expect(row.leavesAtMs, `seed ${String(seed)}`).toBeCloseTo(answer.leavesAtMs.get(row.tankerId) ?? NaN, 1)
        if (row.heldMs > 0) met.held++
      }
      expect(naiveJudgement(given, answer), `seed ${String(seed)}`).toEqual(judged.judgement)
      met.topsMissed += judged.slots.filter((one) => one.state === 'missed' && one.slotId.endsWith('top')).length
      met.missed += judged.slots.filter((one) => one.state === 'missed').length
      met.gone += judged.slots.filter((one) => one.state === 'gone').length
      met.fixed += given.ships.filter((one) => one.slot.fixed !== undefined).length
      met.cut += judged.slots.filter((one) => one.endedBy === 'give').length
      met.circle += judged.reasons.filter((one) => one.kind === 'waits in a circle').length
    }
    // The random orders do hold what can go wrong.
    expect(
      Math.min(
        met.missed,
        met.gone,
        met.cut,
        met.circle,
        met.again,
        met.held,
        met.window,
        met.fixed,
        met.ways,
        met.tops,
        met.topsMissed,
        met.shut,
        met.waits,
        met.changes
      )
    ).toBeGreaterThan(5)
    expect(met.restless).toBe(0)
  }, 30_000)
})
