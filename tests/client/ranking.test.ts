import { describe, expect, it } from 'vitest'
import { effectScope, nextTick, shallowRef } from 'vue'
import { settle, SETTLE_MS, urgencyOf, type Ranking, type Urgency } from '../../client/ranking.ts'
import { useRanking } from '../../client/state/useRanking.ts'
import type { View } from '../../shared/contracts/view.ts'
import { viewOf } from './fixture.ts'

const none: Ranking = { shown: [], since: new Map() }
const calm = (): Urgency => 'calm'
const free = (nowMs: number) => ({ nowMs, held: false, urgency: calm })

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

  it('moves a held row only when it comes to "soon" or "now"', () => {
    const urgency = (id: string): Urgency => (id === 'd' ? 'now' : id === 'c' ? 'soon' : 'calm')
    const ranking = settle(none, ['a', 'b', 'c', 'd'], free(0))
    const held = settle(ranking, ['d', 'c', 'b', 'a'], { nowMs: 60_000, held: true, urgency })
    expect(held.shown).toEqual(['d', 'c', 'a', 'b'])
  })

  it('never moves held rows, and moves them at once when they are let go', () => {
    let ranking = settle(none, ['a', 'b'], free(0))
    for (let nowMs = 1_000; nowMs < 20_000; nowMs += 1_000) {
      ranking = settle(ranking, ['b', 'a'], { nowMs, held: true, urgency: calm })
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

  it('never delays a row that comes to "soon" or "now"', () => {
    const pressing = (urgent: Record<string, Urgency>) => ({
      ...free(1_000),
      urgency: (id: string): Urgency => urgent[id] ?? 'calm'
    })
    const ranking = settle(none, ['a', 'b', 'c', 'd'], free(0))
    expect(settle(ranking, ['d', 'a', 'b', 'c'], pressing({ d: 'soon' })).shown).toEqual(['d', 'a', 'b', 'c'])
    expect(settle(ranking, ['d', 'a', 'b', 'c'], pressing({ d: 'now', a: 'soon' })).shown).toEqual(['d', 'a', 'b', 'c'])
    // It passes whoever is less pressed, and waits below whoever is as much.
    expect(settle(ranking, ['d', 'a', 'b', 'c'], pressing({ d: 'now', a: 'now' })).shown).toEqual(['a', 'd', 'b', 'c'])
    // Two of one kind settle as ever.
    const both = pressing({ a: 'soon', b: 'soon' })
    const later = settle(ranking, ['b', 'a', 'c', 'd'], both)
    expect(later.shown).toEqual(['a', 'b', 'c', 'd'])
    expect(settle(later, ['b', 'a', 'c', 'd'], { ...both, nowMs: 1_000 + SETTLE_MS }).shown).toEqual([
      'b',
      'a',
      'c',
      'd'
    ])
    // Typing or choosing holds the rest, never what presses.
    expect(settle(ranking, ['d', 'b', 'a', 'c'], { ...pressing({ d: 'now' }), held: true }).shown).toEqual([
      'd',
      'a',
      'b',
      'c'
    ])
  })

  it('counts a ship as pressed as its row is marked', () => {
    const [ship] = viewOf().ships
    if (!ship?.margin) throw new Error('the fixture has a ship with a margin')
    const at = (marginS: number, pastS?: number) =>
      urgencyOf(
        { ...ship, margin: ship.margin && { ...ship.margin, marginS } },
        pastS === undefined ? undefined : { pastS, state: 'planned' },
        300
      )
    expect([at(-1), at(0), at(299), at(300), at(900, 10), at(900, 0)]).toEqual([
      'now',
      'soon',
      'soon',
      'calm',
      'now',
      'calm'
    ])
    expect(urgencyOf({ ...ship, margin: null }, undefined, 300)).toBe('calm')
    expect(urgencyOf(ship, { pastS: 0, state: 'missed' }, 300)).toBe('now')
  })

  it('counts a ship without an abort base as pressed while it has a contact ahead, and not before or after', () => {
    const [ship] = viewOf().ships
    if (!ship) throw new Error('the fixture has a ship')
    const lone = { ...ship, margin: null, abortBaseId: null }
    const urgency = (over: Partial<typeof lone>) => urgencyOf({ ...lone, ...over }, undefined, 300)
    expect([urgency({ status: 'inbound' }), urgency({ status: 'waiting' })]).toEqual(['now', 'now'])
    expect([urgency({ status: 'on task' }), urgency({ status: 'recovering' })]).toEqual(['calm', 'calm'])
    expect(urgency({ status: 'inbound', slotId: null })).toBe('calm')
  })
})

describe('the rows of a board', () => {
  const ranked = (order: readonly string[], atMs: number): View => {
    const { ships, ...view } = viewOf({ atMs, slots: [] })
    const calm = { margin: null, status: 'on task' as const }
    return { ...view, ships: ships.map((ship) => ({ ...ship, ...calm, rank: order.indexOf(ship.shipId) + 1 })) }
  }

  it('move once a second at most where nothing presses', async () => {
    const [a, b, c] = ['alder-21', 'alder-22', 'sleet-11']
    const view = shallowRef<View | undefined>(ranked([a, b, c], 0))
    const scope = effectScope()
    const order = scope.run(() =>
      useRanking(
        view,
        () => false,
        () => 300
      )
    )
    const after = async (wanted: readonly string[], atMs: number) => {
      view.value = ranked(wanted, atMs)
      await nextTick()
      return order?.value
    }
    await after([b, a, c], 1_000)
    await after([b, c, a], 1_500)
    expect(await after([b, c, a], 1_000 + SETTLE_MS)).toEqual([b, a, c])
    // The other two have changed places for long enough, and stand a little more.
    expect(await after([b, c, a], 1_500 + SETTLE_MS)).toEqual([b, a, c])
    expect(await after([b, c, a], 2_000 + SETTLE_MS)).toEqual([b, c, a])
    scope.stop()
  })
})
