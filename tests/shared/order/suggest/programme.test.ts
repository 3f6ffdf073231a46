import loadHighs from 'highs'
import { describe, expect, test } from 'vitest'
import { Programme, type Entries, type Row } from '../../../../shared/order/suggest/programme.ts'
import { chance } from '../chance.ts'

/** What a row may lack, each at this cost. */
const FINE = 1_000

interface Case {
  readonly rows: readonly Row[]
  readonly columns: readonly Entries[]
}

/** Rows and columns (constructed); in two of three cases every row can have what it must. */
function drawn(seed: number): Case {
  const { whole, yes } = chance(seed)
  const musts = whole(3, 8)
  const rows = [
    ...Array.from({ length: musts }, () => ({ amount: 1, must: true })),
    ...Array.from({ length: whole(1, 3) }, () => ({ amount: whole(1, 3), must: false }))
  ]
  const columns = Array.from({ length: whole(5, 40) }, () => ({
    rows: [...Array.from({ length: musts }, (_, row) => row).filter(() => yes(0.4)), whole(musts, rows.length - 1)],
    cost: whole(0, 20)
  }))
  const single = Array.from({ length: seed % 3 === 0 ? 0 : musts }, (_, row) => ({ rows: [row], cost: 30 }))
  return { rows, columns: [...columns, ...single] }
}

function leastOf(highs: Awaited<ReturnType<typeof loadHighs>>, { rows, columns }: Case): number {
  const terms = [
    ...columns.map(({ cost }, c) => `${String(cost)} x${String(c)}`),
    ...rows.flatMap(({ must }, row) => (must ? [`${String(FINE)} l${String(row)}`] : []))
  ]
  const lines = rows.map(({ amount, must }, row) => {
    const its = columns.flatMap((column, c) => (column.rows.includes(row) ? [`x${String(c)}`] : []))
    if (must) its.push(`l${String(row)}`)
    return its.length === 0 ? '' : ` r${String(row)}: ${its.join(' + ')} ${must ? '=' : '<='} ${String(amount)}`
  })
  const solved = highs.solve(
    `Minimize\n obj: ${terms.join(' + ')}\nSubject To\n${lines.filter(Boolean).join('\n')}\nEnd\n`
  )
  if (solved.Status !== 'Optimal') throw new RangeError(`highs says ${solved.Status}`)
  return solved.ObjectiveValue
}

const work = () => ({ count: 0, most: Infinity, stop: undefined, stopped: false })

describe('columns taken in part', () => {
  // Source: highs, a linear programme solver of its own, on the same rows and columns.
  test('come to what highs comes to in 120 cases, all at once or as they come', async () => {
    const highs = await loadHighs()
    let [lacking, parts] = [0, 0]
    for (let seed = 1; seed <= 120; seed++) {
      const { rows, columns } = drawn(seed)
      const least = leastOf(highs, { rows, columns })
      const atOnce = new Programme(rows, FINE)
      for (const column of columns) atOnce.add(column)
      atOnce.run(work())
      const coming = new Programme(rows, FINE)
      for (const column of columns) {
        coming.add(column)
        coming.run(work())
      }
      for (const one of [atOnce, coming]) {
        // Where something is lacking a row that has it once keeps it: no less then.
        if (least >= FINE / 4) expect(one.value(), String(seed)).toBeGreaterThan(least - 1e-2)
        else expect(one.value(), String(seed)).toBeCloseTo(least, 2)
        // At the prices nothing is cheaper, so that no whole choice comes to less than they do.
        expect(Math.min(...columns.map((column) => one.reducedOf(column)))).toBeGreaterThan(-1e-4)
        const cost = one.taken().reduce((sum, { column, part }) => sum + part * (columns[column]?.cost ?? 0), 0)
        if (least < FINE / 4) expect(Math.abs(cost - least)).toBeLessThan(0.1)
      }
      if (least >= FINE / 4) lacking++
      if (atOnce.taken().some(({ part }) => part > 0.1 && part < 0.9)) parts++
    }
    console.info(`${String(lacking)} cases lack something, ${String(parts)} take columns in part`)
    expect(lacking).toBeGreaterThan(4)
    expect(parts).toBeGreaterThan(20)
  })

  test('end where the work ends, or enough is said', () => {
    const { rows, columns } = drawn(7)
    const made = () => {
      const one = new Programme(rows, FINE)
      for (const column of columns) one.add(column)
      return one
    }
    const short = { ...work(), most: 1 }
    made().run(short)
    expect(short.count).toBe(2)
    let asked = 0
    made().run(work(), () => ++asked === 2)
    expect(asked).toBe(2)
  })
})
