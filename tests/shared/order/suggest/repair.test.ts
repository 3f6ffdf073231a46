import { describe, expect, test } from 'vitest'
import { compareJudgements } from '../../../../shared/order/judgement.ts'
import { orderRefusals } from '../../../../shared/order/rules.ts'
import { repair } from '../../../../shared/order/suggest/repair.ts'
import { suggest, type Ask } from '../../../../shared/order/suggest/search.ts'
import { judge, type OrderIn, type Sequences } from '../../../../shared/order/times.ts'
import { fleet } from '../fleet.ts'
import type { OneTank } from '../make.ts'
import { bestOf, everyOrder } from './brute.ts'
import { KINDS, smallCases, type SmallCase } from './cases.ts'

const CASES_EACH = 42

const ask = ({ input, mayUse, maySpread }: SmallCase): Ask<OneTank> => ({ input, mayUse, maySpread, judgements: 2_000 })
const everywhere = (input: OrderIn<OneTank>) =>
  new Map(input.slots.map((slot) => [slot.id, input.stations.map((station) => station.id)]))
const stationOf = (sequences: Sequences, slotId: string) =>
  [...sequences].find(([, inTurn]) => inTurn.includes(slotId))?.[0]

/** The order of a fleet as a search leaves it, and one of its stations failed since. */
function afterFailure(): OrderIn<OneTank> {
  const input = fleet(0)
  const { sequences } = suggest({ input, mayUse: everywhere(input), judgements: 3_000 })
  const [failed] = input.stations
  const stations = input.stations.map((one) => (one === failed ? { ...one, takesNew: false } : one))
  return { ...input, stations, sequences, inForce: sequences }
}

describe('an order mended', { timeout: 120_000 }, () => {
  test('breaks no rule, moves nobody pinned or in contact, and is never worse than the order in force', () => {
    let moved = 0
    let lost = 0
    let lostMended = 0
    let lostAtLeast = 0
    for (const kind of KINDS) {
      for (const { one, seed } of smallCases(kind, CASES_EACH)) {
        const about = `${kind} ${String(seed)}`
        const { input } = one
        const inForce = input.inForce ?? input.sequences
        const found = repair(ask(one))
        expect(found.judged, about).toEqual(judge({ ...input, sequences: found.sequences, inForce }))
        expect(compareJudgements(found.judgement, found.before), about).toBeLessThanOrEqual(0)
        expect(found.moved.length, about).toBe(found.judgement.moved)
        if (found.sequences !== inForce) {
          const stationIds = new Set(input.stations.map(({ id }) => id))
          expect(orderRefusals({ sequences: found.sequences, inForce, slots: input.slots, stationIds }), about).toEqual(
            []
          )
        }
        for (const { id, pinned, fixed } of input.slots) {
          if (pinned || fixed) expect(stationOf(found.sequences, id), about).toBe(stationOf(inForce, id))
        }
        moved += found.moved.length
        lost += found.before.lostWeight
        lostMended += found.judgement.lostWeight
        lostAtLeast += bestOf(one, everyOrder(one)).lostWeight
      }
    }
    console.info(`weight lost: ${String(lost)} in force, ${String(lostMended)} mended, ${String(lostAtLeast)} at least`)
    expect(moved).toBeGreaterThan(100)
    // What it leaves lost that some order would save is a small part of what is lost now.
    expect(lostMended - lostAtLeast).toBeLessThan(0.1 * (lost - lostAtLeast))
  })

  test('leaves alone whoever it need not move: an order in which nothing goes wrong stays', () => {
    let stayed = 0
    for (const kind of KINDS) {
      for (const { one } of smallCases(kind, CASES_EACH)) {
        const { lostWeight, shortage, lateness } = judge(one.input).judgement
        if (lostWeight + shortage + lateness > 0) continue
        expect(repair(ask(one)).moved).toEqual([])
        stayed++
      }
    }
    expect(stayed).toBeGreaterThanOrEqual(10)
  })

  test('finds places for the ships of a failed station, and moves fewer than an order anew', () => {
    const input = afterFailure()
    const asked = { input, mayUse: everywhere(input), judgements: 3_000 }
    const mended = repair(asked)
    const anew = suggest({ ...asked, judgements: 20_000 })
    expect(mended.before.lostWeight).toBeGreaterThan(0)
    expect(mended.judgement.lostWeight).toBe(anew.judgement.lostWeight)
    expect(mended.moved.length).toBeLessThan(anew.moved.length)
  })

  test('places whoever stands nowhere yet', () => {
    const input = fleet(0)
    const [someone] = input.slots
    const sequences = new Map([...input.sequences].map(([id, ids]) => [id, ids.filter((one) => one !== someone?.id)]))
    const found = repair({
      input: { ...input, sequences, inForce: sequences },
      mayUse: everywhere(input),
      judgements: 500
    })
    expect(stationOf(found.sequences, someone?.id ?? '')).toBeDefined()
  })

  test('is the same for the same input, keeps to its budget and stops when told', () => {
    const input = afterFailure()
    const asked = { input, mayUse: everywhere(input), judgements: 200 }
    const first = repair(asked)
    expect(repair(asked)).toEqual(first)
    expect(first.work.judgements).toBeLessThanOrEqual(200)
    let questions = 0
    const stopped = repair({ ...asked, judgements: 1e9, stop: () => ++questions > 1 })
    expect(stopped.work.stopped).toBe(true)
    expect(stopped.work.judgements).toBeLessThan(200)
  })
})
