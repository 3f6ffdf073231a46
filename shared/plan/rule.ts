import type { Plan } from '../contracts/plan.ts'

export type Value = string | number | boolean | undefined
/** One fault: where, what stands there, what it may be, and why. */
export type Note = (path: string, value: Value, limit: string, message: string) => void
export type Rule = (plan: Plan, note: Note) => void
