import type { NewFact } from '../contracts/facts.ts'
import type { Fault, ProblemCode } from '../contracts/problem.ts'
import type { Brief } from '../plan/brief.ts'
import { massIn, type Reported } from '../units.ts'
import type { MassUnit, VolumeUnit } from '../contracts/kinds.ts'
import type { LiveState } from './state.ts'

/** What a request is answered: the facts it makes, or why it makes none. */
export interface Refusal {
  code: ProblemCode
  detail: string
  errors?: Fault[]
}
export type Decision = { facts: NewFact[] } | { refusal: Refusal }

/** What a request is decided on. */
export interface Ground {
  state: LiveState
  /** The plan in force. */
  plan: Brief
  /** Observed time of the request, event time. */
  atMs: number
}

export const refuse = (code: ProblemCode, detail: string): Decision => ({ refusal: { code, detail } })

/** One field of the request is at fault: what stands there, and which limit it breaks. */
export function refuseField(
  code: ProblemCode,
  fault: { path: string; value: string; limit: string; why: string }
): Decision {
  const { path, value, limit, why } = fault
  return { refusal: { code, detail: `${why}: ${limit}`, errors: [{ path, value, limit, message: why }] } }
}

/** A fuel above what there can be, in the unit it was asked in where that is a mass. */
export function refuseFuel(
  code: ProblemCode,
  { path, fuel, mostKg, why }: { path: string; fuel: Reported<MassUnit | VolumeUnit>; mostKg: number; why: string }
): Decision {
  const unit = fuel.unit === 'lb' ? 'lb' : 'kg'
  const limit = `at most ${String(Math.floor(massIn(unit, mostKg)))} ${unit}`
  return refuseField(code, { path, value: `${String(fuel.value)} ${fuel.unit}`, limit, why })
}
