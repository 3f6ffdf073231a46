import { z } from 'zod'
import { requestId } from '../../shared/contracts/ids.ts'
import { seqCount } from '../../shared/contracts/quantities.ts'
import { readPlan } from '../../shared/plan/read.ts'
import { readJson } from '../json.ts'
import { misfit, Problem } from '../problem.ts'

/** What a plan stands in, where it is sent. */
const ENVELOPES = {
  createPlan: z.strictObject({ requestId: requestId.optional(), plan: z.unknown() }),
  savePlan: z.strictObject({ revisionSeen: seqCount, plan: z.unknown() }),
  /** Nothing: the body is the plan. */
  importPlan: undefined
} as const
export type PlanBody = keyof typeof ENVELOPES

/**
 * A body with a plan in it, from its text. The plan is read by the one reader of plans, which knows the rules that span
 * fields, and whose faults point into the plan itself, not into the body around it.
 * @throws Problem `not-json`, `bad-request` for the body around the plan, `plan-refused` for the plan
 */
export function readPlanBody(kind: PlanBody, text: string): unknown {
  const input = readJson(text)
  const envelope = ENVELOPES[kind]
  if (envelope === undefined) return planIn(input)
  const body = envelope.safeParse(input)
  if (!body.success) throw misfit(body.error, input)
  return { ...body.data, plan: planIn(body.data.plan) }
}

function planIn(input: unknown): unknown {
  const read = readPlan(input)
  if ('plan' in read) return read.plan
  throw new Problem('plan-refused', { errors: read.faults, errorCount: read.count })
}
