import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'
import { comparisons, type Comparison } from './comparison.ts'
import ids from './ids.json' with { type: 'json' }
import { AREAS, CHECKS, LEFT_OUT, ROWS } from './registry.ts'

const made = comparisons()
const nameOf = ({ id, figure }: Comparison): string => (figure === undefined ? id : `${id} ${figure}`)

const line = (cells: readonly string[]): string => cells.join(' | ')
function printed(): string {
  const lines = made.map((one) =>
    line([
      nameOf(one),
      String(one.expected),
      String(Number(one.computed.toPrecision(15))),
      one.error.toExponential(1),
      one.tolerance.toExponential(1),
      one.fromMemory ? 'from memory, no gate' : 'gate',
      one.source
    ])
  )
  const without = [
    ...Object.entries(LEFT_OUT),
    ...Object.entries(CHECKS).flatMap(([id, check]) =>
      Object.entries(check.without ?? {}).map(([figure, reason]) => [`${id} ${figure}`, reason] as const)
    )
  ].map(([id, reason]) => line([id, 'not computed', reason]))
  return [
    line(['row', 'published', 'computed', 'error', 'tolerance', 'gate', 'source']),
    ...lines,
    ...without
  ].join('\n')
}

describe('published values', () => {
  it('are each computed by exactly one check, or left out with a reason', () => {
    console.log(printed())
    const counts = Object.fromEntries(AREAS.map((area) => [area, ids.filter((one) => one.area === area).length]))
    expect(counts).toEqual({
      units: 12,
      fuel: 18,
      wind: 4,
      geodesy: 22,
      'fuel-burn': 13,
      breguet: 7,
      'reserve-rule': 11
    })
    const used = [...Object.keys(CHECKS), ...Object.keys(LEFT_OUT)]
    expect(used.toSorted()).toEqual(ids.map((one) => one.id).toSorted())
    for (const reason of Object.values(LEFT_OUT)) expect(reason.length).toBeGreaterThan(10)
  })

  it('stand in one file each, under the area they belong to', () => {
    for (const area of AREAS) {
      const wanted = ids.filter((one) => one.area === area).map((one) => one.id)
      expect(ROWS[area].map((row) => row.id)).toEqual(wanted)
    }
    const folder = fileURLToPath(new URL('.', import.meta.url))
    const files = readdirSync(folder).filter((name) => name.endsWith('.json') && name !== 'ids.json')
    const everywhere = files.flatMap((name) =>
      [...readFileSync(folder + name, 'utf8').matchAll(/"id": "([^"]+)"/g)].map((found) => found[1])
    )
    expect(everywhere.length).toBe(new Set(everywhere).size)
  })

  it('name every figure of theirs: computed, or without a computation for a reason', () => {
    for (const area of AREAS) {
      for (const row of ROWS[area]) {
        const check = CHECKS[row.id]
        if (check === undefined || typeof row.expected === 'number' || check.against !== undefined) continue
        const without = Object.keys(check.without ?? {})
        const computed = made.flatMap((one) => (one.id === row.id ? (one.figure ?? []) : []))
        expect([...computed, ...without].toSorted(), row.id).toEqual(Object.keys(row.expected).toSorted())
      }
    }
  })

  it.each(made.filter((one) => !one.fromMemory).map((one) => [nameOf(one), one] as const))(
    '%s is what was published',
    (_, one) => {
      expect(one.error).toBeLessThanOrEqual(one.tolerance)
    }
  )

  it('recalled from memory have a figure of ours beside them, whatever it is', () => {
    const recalled = made.filter((one) => one.fromMemory)
    expect(recalled.map((one) => one.id)).toContain('breguet-anderson-endurance')
    for (const one of recalled) expect(Number.isFinite(one.computed), one.id).toBe(true)
  })
})
