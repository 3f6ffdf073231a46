import { AREAS, CHECKS, ROWS, type Area, type TruthRow } from './registry.ts'

/** One figure of a row beside the project's own. */
export interface Comparison {
  readonly area: Area
  readonly id: string
  /** Its name in a row of several. */
  readonly figure: string | undefined
  readonly expected: number
  readonly computed: number
  readonly error: number
  readonly tolerance: number
  readonly unit: string
  readonly source: string
  /** A row that was recalled, not read: shown, never a gate. */
  readonly fromMemory: boolean
}

/** Both numbers of every row that has a computation, in the order of the rows. */
export function comparisons(): readonly Comparison[] {
  return AREAS.flatMap((area) => ROWS[area].flatMap((row) => comparisonsOf(area, row)))
}

const asFigures = (figures: number | Readonly<Record<string, number | string>>) =>
  typeof figures === 'number' ? { '': figures } : figures

function comparisonsOf(area: Area, row: TruthRow): readonly Comparison[] {
  const check = CHECKS[row.id]
  if (check === undefined) return []
  const computed = asFigures(check.of(row.inputs, row))
  const expected = asFigures(check.against?.(row) ?? row.expected)
  return Object.entries(expected).flatMap(([figure, value]) => {
    if (check.without?.[figure] !== undefined) return []
    const ours = Number(computed[figure] ?? NaN)
    return {
      area,
      id: row.id,
      figure: figure === '' ? undefined : figure,
      expected: Number(value),
      computed: ours,
      error: Math.abs(ours - Number(value)),
      tolerance: check.tolerance?.[figure] ?? toleranceOf(row, figure, Number(value)),
      unit: row.unit,
      source: row.source,
      fromMemory: row.seen.includes('FROM MEMORY')
    }
  })
}

/** An exact row allows what the machine's own numbers round: 1e-12 of the value. */
function toleranceOf({ id, tolerance }: TruthRow, figure: string, expected: number): number {
  if (tolerance['exact'] === true) return 1e-12 * Math.abs(expected)
  const own = tolerance[figure] ?? tolerance['abs']
  if (typeof own === 'number') return own
  if (typeof tolerance['rel'] === 'number') return tolerance['rel'] * Math.abs(expected)
  throw new RangeError(`row ${id} has no tolerance for ${figure}`)
}
