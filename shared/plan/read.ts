/** From anything that claims to be a plan to a plan, or to every fault it has. */
import { SIZES } from '../contracts/bounds.ts'
import { faultsOf } from '../contracts/faults.ts'
import { plan as planSchema, type Plan } from '../contracts/plan.ts'
import type { Fault } from '../contracts/problem.ts'
import { again } from './again.ts'
import { planFaults } from './check.ts'

export type Read = { plan: Plan } | { faults: Fault[]; count: number }

const one = (path: string, value: string, limit: string, message: string): Read => ({
  faults: [{ path, value, limit, message }],
  count: 1
})

/** True when nothing is nested deeper than the limit; walks without recursion, so depth itself cannot hurt. */
function shallow(input: unknown, depth: number): boolean {
  let layer: unknown[] = [input]
  for (let level = 0; layer.length > 0; level++) {
    if (level > depth) return false
    layer = layer.flatMap((value): unknown[] =>
      typeof value === 'object' && value !== null ? Object.values(value) : []
    )
  }
  return true
}

/**
 * Reads a plan whole or refuses it whole: nesting first, then the schema, then the rules that span fields. It has the very
 * parts of one that was read before, where they say the same.
 */
export function readPlan(input: unknown, before?: unknown): Read {
  if (!shallow(input, SIZES.depth))
    return one('', 'a document', `at most ${String(SIZES.depth)} levels of nesting`, 'nested too deep')
  const parsed = planSchema.safeParse(input)
  if (!parsed.success) return faultsOf(parsed.error, input)
  const plan = again(before, parsed.data)
  const faults = planFaults(plan)
  if (faults.length > 0) return { faults: faults.slice(0, SIZES.errors), count: faults.length }
  return { plan }
}
