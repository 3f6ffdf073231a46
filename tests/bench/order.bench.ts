import { bench, describe } from 'vitest'
import { judgementOf } from '../../shared/order/answer.ts'
import { serviceAt } from '../../shared/order/curves.ts'
import { settle } from '../../shared/order/settle.ts'
import { timetableOf } from '../../shared/order/timetable.ts'
import { judge } from '../../shared/order/times.ts'
import { fleet } from '../shared/order/fleet.ts'

describe('judging an order of 24 ships', () => {
  const input = fleet(0)
  const table = timetableOf(input)
  settle(table, table.ordered)
  // The bare thing: one look into each ship's curve, without knowing who comes when.
  const looks = table.rows.map((row) => ({ curve: row.curves.find((one) => one !== undefined), at: row.contactAtMs }))

  bench('from a timetable: instants, fuel and judgement', () => {
    settle(table, table.ordered)
    judgementOf(table, table.ordered)
  })

  bench('bare: 24 looks into service curves', () => {
    for (const { curve, at } of looks) if (curve !== undefined) serviceAt(curve, at)
  })

  bench('whole: from plain input to slots, ledger and reasons', () => {
    judge(input)
  })
})
