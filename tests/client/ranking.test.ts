import { describe, expect, it } from 'vitest'
import { settle, SETTLE_MS, type Ranking } from '../../client/ranking.ts'

const none: Ranking = { shown: [], since: new Map() }
const free = (nowMs: number) => ({ nowMs, held: false })

describe('the order of rows', () => {
  it('takes the ranking as it is when rows first appear', () => {
    expect(settle(none, ['a', 'b', 'c'], free(0)).shown).toEqual(['a', 'b', 'c'])
  })

  it('swaps rows only when their difference has lasted', () => {
    let ranking = settle(none, ['a', 'b', 'c'], free(0))
    ranking = settle(ranking, ['b', 'a', 'c'], free(1_000))
    expect(ranking.shown).toEqual(['a', 'b', 'c'])
    ranking = settle(ranking, ['b', 'a', 'c'], free(1_000 + SETTLE_MS - 1))
    expect(ranking.shown).toEqual(['a', 'b', 'c'])
    ranking = settle(ranking, ['b', 'a', 'c'], free(1_000 + SETTLE_MS))
    expect(ranking.shown).toEqual(['b', 'a', 'c'])
  })

  it('forgets a difference that did not last', () => {
    let ranking = settle(none, ['a', 'b'], free(0))
    ranking = settle(ranking, ['b', 'a'], free(1_000))
    ranking = settle(ranking, ['a', 'b'], free(2_000))
    ranking = settle(ranking, ['b', 'a'], free(SETTLE_MS))
    expect(settle(ranking, ['b', 'a'], free(1_000 + SETTLE_MS)).shown).toEqual(['a', 'b'])
  })

  it('never moves held rows, and moves them at once when they are let go', () => {
    let ranking = settle(none, ['a', 'b'], free(0))
    for (let nowMs = 1_000; nowMs < 20_000; nowMs += 1_000) {
      ranking = settle(ranking, ['b', 'a'], { nowMs, held: true })
      expect(ranking.shown).toEqual(['a', 'b'])
    }
    expect(settle(ranking, ['b', 'a'], free(20_000)).shown).toEqual(['b', 'a'])
  })

  it('puts new rows where they rank and takes away those that are gone', () => {
    const ranking = settle(none, ['a', 'b'], free(0))
    expect(settle(ranking, ['c', 'a', 'b'], free(1)).shown).toEqual(['c', 'a', 'b'])
    expect(settle(ranking, ['b'], free(1)).shown).toEqual(['b'])
  })

  it('reaches any ranking that stays', () => {
    const wanted = ['e', 'c', 'a', 'd', 'b']
    let ranking = settle(none, ['a', 'b', 'c', 'd', 'e'], free(0))
    for (let nowMs = 1; nowMs < 3 * SETTLE_MS; nowMs += 500) ranking = settle(ranking, wanted, free(nowMs))
    expect(ranking.shown).toEqual(wanted)
  })
})
