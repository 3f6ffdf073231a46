import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { shareOut, type Asked } from '../../../shared/order/share.ts'

/* Constructed throughout: checked against every choice there is. */
const KG_PER_LB = 0.45359237
const WEIGHTS = [16, 8, 4, 2, 1]

const asks = (most: number): fc.Arbitrary<Asked[]> =>
  fc
    .array(fc.record({ priority: fc.integer({ min: 1, max: 5 }), steps: fc.integer({ min: 0, max: 12 }) }), {
      minLength: 1,
      maxLength: most
    })
    .map((list) =>
      list.map(({ priority, steps }, index) => ({ slotId: `slot-${String(index)}`, priority, neededKg: steps * 100 }))
    )

describe('a short give', () => {
  it('c9: 60,000 lb for eight ships of 8,000 is 7,500 each, or one goes home', () => {
    const asked = 'ABCDEFGH'.split('').map((slotId) => ({ slotId, priority: 3, neededKg: 8000 * KG_PER_LB }))
    const { shared, home, lackingKg } = shareOut(60_000 * KG_PER_LB, asked)
    for (const portion of shared) expect(portion.givenKg / KG_PER_LB).toBeCloseTo(7500, 6)
    expect(home).toHaveLength(1)
    expect(lackingKg / KG_PER_LB).toBeCloseTo(4000, 6)
  })

  it('serves higher priorities whole, and shares alike inside the one that cannot be', () => {
    const { shared } = shareOut(1000, [
      { slotId: 'late', priority: 5, neededKg: 300 },
      { slotId: 'first', priority: 1, neededKg: 600 },
      { slotId: 'small', priority: 3, neededKg: 200 },
      { slotId: 'large', priority: 3, neededKg: 600 }
    ])
    expect(shared.map(({ slotId, givenKg }) => [slotId, givenKg])).toEqual([
      ['late', 0],
      ['first', 600],
      ['small', 100],
      ['large', 300]
    ])
  })

  it('is leximin inside a priority: no other way of sharing on a grid has a better worst share, then second worst', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 1, max: 6 }), { minLength: 1, maxLength: 4 }),
        fc.integer({ min: 0, max: 20 }),
        (needs, give) => {
          const asked = needs.map((need, index) => ({ slotId: String(index), priority: 2, neededKg: need }))
          const sorted = (given: readonly number[]): number[] =>
            given.map((kg, index) => kg / (needs[index] ?? 1)).sort((a, b) => a - b)
          const ours = sorted(shareOut(give, asked).shared.map((portion) => portion.givenKg))
          const grid = (index: number, left: number): number[][] => {
            const need = needs[index]
            if (need === undefined) return [[]]
            const rows: number[][] = []
            for (let half = 0; half <= 2 * Math.min(need, left); half++)
              for (const rest of grid(index + 1, left - half / 2)) rows.push([half / 2, ...rest])
            return rows
          }
          for (const other of grid(0, give)) {
            const theirs = sorted(other)
            const differs = theirs.findIndex((share, place) => Math.abs(share - (ours[place] ?? 0)) > 1e-9)
            if (differs >= 0) expect(theirs[differs]).toBeLessThan(ours[differs] ?? NaN)
          }
        }
      ),
      { numRuns: 150 }
    )
  })

  it('sends home the fewest, and of those the least weight: no choice of ships does better', () => {
    let somebodyHome = 0
    fc.assert(
      fc.property(asks(9), fc.integer({ min: 0, max: 60 }), (asked, give) => {
        const giveKg = give * 100
        const { home } = shareOut(giveKg, asked)
        if (home.length > 0) somebodyHome++
        const cost = (gone: readonly Asked[]): [number, number] => [
          gone.length,
          gone.reduce((sum, one) => sum + (WEIGHTS[one.priority - 1] ?? 0), 0)
        ]
        const ours = asked.filter((one) => home.includes(one.slotId))
        expect(sum(asked) - sum(ours)).toBeLessThanOrEqual(giveKg)
        const [count, weight] = cost(ours)
        for (let choice = 0; choice < 2 ** asked.length; choice++) {
          const gone = asked.filter((_, index) => (choice >> index) % 2 === 1)
          if (sum(asked) - sum(gone) > giveKg) continue
          const [otherCount, otherWeight] = cost(gone)
          expect(otherCount > count || (otherCount === count && otherWeight >= weight)).toBe(true)
        }
      }),
      { numRuns: 200 }
    )
    expect(somebodyHome).toBeGreaterThan(50)
  })

  it('never gives more than there is, and all of it where it is short', () => {
    fc.assert(
      fc.property(asks(12), fc.double({ min: 0, max: 9000, noNaN: true }), (asked, giveKg) => {
        const given = shareOut(giveKg, asked).shared.reduce((kg, portion) => kg + portion.givenKg, 0)
        expect(given).toBeCloseTo(Math.min(giveKg, sum(asked)), 5)
      })
    )
  })

  it('refuses figures that make no sense', () => {
    expect(() => shareOut(-1, [])).toThrow('giveKg must be at least 0, is -1')
    expect(() => shareOut(1, [{ slotId: 'x', priority: 1, neededKg: NaN }])).toThrow('neededKg of x')
    expect(() => shareOut(1, [{ slotId: 'x', priority: 6, neededKg: 1 }])).toThrow('priority of x is 6')
  })
})

const sum = (asked: readonly Asked[]): number => asked.reduce((kg, one) => kg + one.neededKg, 0)
