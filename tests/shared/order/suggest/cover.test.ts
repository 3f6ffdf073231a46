import { describe, expect, test } from 'vitest'
import { cheapest, excessOf, multipliers, type Column, type Cover } from '../../../../shared/order/suggest/cover.ts'
import { chance } from '../chance.ts'

/*
 * Small choices of columns (constructed), and every one of them dealt out column by column.
 */

interface Case {
  readonly columns: readonly Column[]
  readonly cover: Cover
}

function drawn(seed: number): Case {
  const { whole, yes } = chance(seed)
  const items = whole(2, 7)
  const counts = Array.from({ length: whole(1, 3) }, () => whole(1, 3))
  const columns: Column[] = []
  for (let set = 1; set < 1 << items; set++) {
    const its = Array.from({ length: items }, (_, item) => item).filter((item) => (set & (1 << item)) !== 0)
    for (const kind of counts.keys()) {
      if (its.length > 4 || yes(0.4)) continue
      // In each third case all cost nothing: then it is only asked whether there is a choice.
      columns.push({ items: its, kind, cost: seed % 3 === 0 ? 0 : whole(0, 12) * its.length })
    }
  }
  return { columns, cover: { items, counts, most: 10_000 } }
}

function least({ columns, cover }: Case): number {
  let best = Infinity
  const deal = (taken: number, left: readonly number[], cost: number): void => {
    if (taken === (1 << cover.items) - 1) best = Math.min(best, cost)
    const item = Array.from({ length: cover.items }, (_, i) => i).find((i) => (taken & (1 << i)) === 0)
    if (item === undefined) return
    for (const { items, kind, cost: more } of columns) {
      const set = items.reduce((bits, one) => bits | (1 << one), 0)
      if (!items.includes(item) || (set & taken) !== 0 || (left[kind] ?? 0) === 0) continue
      deal(
        taken | set,
        left.map((count, k) => (k === kind ? count - 1 : count)),
        cost + more
      )
    }
  }
  deal(0, cover.counts, 0)
  return best
}

const work = () => ({ count: 0, most: 1_000_000, stop: undefined, stopped: false })

describe('choices of columns', () => {
  test('none costs less than the multipliers say, and the cheapest is found, in 300 cases', () => {
    let [none, met] = [0, 0]
    for (let seed = 1; seed <= 300; seed++) {
      const { columns, cover } = drawn(seed)
      const best = least({ columns, cover })
      const by = multipliers(columns, cover, work())
      const { choice, whole } = cheapest(columns, { ...cover, work: work(), nodes: 100_000 }, by)
      expect(whole, String(seed)).toBe(true)
      for (const column of columns) expect(excessOf(column, by), String(seed)).toBeGreaterThan(-1e-6)
      if (best === Infinity) {
        none++
        expect(choice, String(seed)).toBeUndefined()
        continue
      }
      expect(by.least, String(seed)).toBeLessThanOrEqual(best + 1e-6)
      if (by.least > best - 1 + 1e-6) met++
      expect(choice?.cost, String(seed)).toBe(best)
      const items = choice?.columns.flatMap((c) => columns[c]?.items ?? []).sort((a, b) => a - b)
      expect(items, String(seed)).toEqual(Array.from({ length: cover.items }, (_, i) => i))
    }
    console.info(`of 300 ${String(none)} have no choice; the bound leaves nothing open in ${String(met)} of the others`)
    expect(none).toBeGreaterThanOrEqual(10)
    expect(met).toBeGreaterThanOrEqual(150)
  })

  test('says that there is none when too few of a kind are left, though parts of columns would do', () => {
    // Three items in pairs: in parts half of each pair covers them, with one and a half columns.
    const pairs = [
      [0, 1],
      [0, 2],
      [1, 2]
    ].map((items): Column => ({ items, kind: 0, cost: 0 }))
    const cover = { items: 3, counts: [2], most: 0 }
    const by = multipliers(pairs, cover, work())
    expect(by.least).toBeLessThanOrEqual(1e-6)
    expect(cheapest(pairs, { ...cover, work: work(), nodes: 100 }, by)).toEqual({ choice: undefined, whole: true })
    const one = { ...cover, counts: [1] }
    expect(multipliers(pairs, one, work()).least).toBeGreaterThan(0)
  })

  test('does not say that all were gone through when it stops before', () => {
    const { columns, cover } = drawn(7)
    const by = multipliers(columns, cover, work())
    expect(cheapest(columns, { ...cover, work: work(), nodes: 0 }, by).whole).toBe(false)
  })
})
