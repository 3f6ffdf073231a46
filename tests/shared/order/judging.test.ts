import { describe, expect, test } from 'vitest'
import { judgementOf } from '../../../shared/order/answer.ts'
import { Judging } from '../../../shared/order/judging.ts'
import { settle } from '../../../shared/order/settle.ts'
import type { OrderIn } from '../../../shared/order/times.ts'
import { served, timetableOf, type SlotRow, type Timetable, type Turns } from '../../../shared/order/timetable.ts'
import { chance } from './chance.ts'
import { fleet } from './fleet.ts'
import type { OneTank } from './make.ts'
import { inputOf, randomCase } from './random.ts'

const CHANGES = 12

/** One or two slots taken out and put in anywhere, now and then nowhere; what is not touched is the same array. */
function changed(turns: Turns<OneTank>, movable: readonly SlotRow<OneTank>[], by: ReturnType<typeof chance>) {
  let next = [...turns]
  for (let count = by.whole(1, 2); count > 0 && movable.length > 0; count--) {
    const row = movable[by.whole(0, movable.length - 1)] as SlotRow<OneTank>
    next = next.map((inTurn) => (inTurn.includes(row) ? inTurn.filter((one) => one !== row) : inTurn))
    const station = by.whole(0, next.length - 1)
    const here = next[station] ?? []
    const flown = here.filter((one) => one.slot.fixed !== undefined).length
    if (!by.yes(0.1)) next[station] = here.toSpliced(by.whole(flown, here.length), 0, row)
  }
  return next
}

/** All that is filled, but for the instants of a lost slot: where it would have been hangs on when it was found lost. */
const filled = (table: Timetable<OneTank>) => ({
  rows: table.rows.map((row) => [
    row.slot.id,
    row.state,
    row.cause,
    row.station?.index,
    row.turn,
    ...(served(row) ? instantsOf(row) : [])
  ]),
  pushes: table.groups.map(({ pushAtMs, pending }) => [pushAtMs, pending]),
  tankers: table.tankers.map((row) => [row.promisedKg, row.givenKg, row.shortKg, row.dryAt?.index, row.leavesAtMs])
})

const instantsOf = (row: SlotRow<OneTank>) => [
  row.ahead?.index,
  row.waitsFor?.index,
  row.startAtMs,
  row.contactAtMs,
  row.disconnectAtMs,
  row.onLoadKg,
  row.fuelAtDisconnectKg
]

function follow(input: OrderIn<OneTank>, seed: number): { orders: number; lost: number; dry: number } {
  const by = chance(seed + 3_000)
  const [table, other] = [timetableOf(input), timetableOf(input)]
  const judging = new Judging(table)
  const movable = table.rows.filter(({ slot }) => slot.fixed === undefined && !slot.gone)
  let turns: Turns<OneTank> = table.ordered
  let lost = 0
  for (let change = 0; change <= CHANGES; change++) {
    const about = `seed ${String(seed)}, change ${String(change)}`
    const judgement = judging.judgement(turns)
    const afresh = turns.map((inTurn) => inTurn.map(({ index }) => other.rows[index] as SlotRow<OneTank>))
    settle(other, afresh)
    expect(JSON.stringify(filled(table)), about).toBe(JSON.stringify(filled(other)))
    expect(judgement, about).toEqual(judgementOf(other, afresh))
    lost += judgement.lostWeight
    turns = changed(turns, movable, by)
  }
  return { orders: CHANGES + 1, lost, dry: other.tankers.filter(({ dryAt }) => dryAt !== undefined).length }
}

describe('orders judged one after the other', () => {
  test('are judged, and filled in, as each would be by itself', () => {
    let [orders, lost, dry] = [0, 0, 0]
    for (let seed = 1; seed <= 300; seed++) {
      const given = randomCase(seed)
      const found = follow(inputOf(given, new Map(Object.entries(given.turns))), seed)
      orders += found.orders
      lost += found.lost
      dry += found.dry
    }
    for (let seed = 1; seed <= 5; seed++) orders += follow(fleet(seed), seed).orders
    console.info(`${String(orders)} orders; weight lost ${String(lost)}, ${String(dry)} tankers dry at last`)
    expect(lost).toBeGreaterThan(1_000)
    expect(dry).toBeGreaterThan(20)
  })
})
