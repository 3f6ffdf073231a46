import type { Plan } from '../../shared/contracts/plan.ts'
import type { Fault } from '../../shared/contracts/problem.ts'
import { readPlan } from '../../shared/plan/read.ts'
import { differences } from '../../shared/tables/differences.ts'
import { draftOf } from '../../shared/tables/draft.ts'
import type { Difference } from '../../shared/tables/table.ts'
import { toldFaults, type ToldFault } from './told.ts'

/*
 * A plan file read on this page before any of it is sent, by the rules the service reads it with. It needs the schemas, and
 * comes in a bundle of its own.
 */

export type Incoming =
  | {
      text: string
      plan: Plan
      /** Against the plan it would take the place of; undefined where it would be an event of its own. */
      changes: readonly Difference[] | undefined
    }
  | { text: string; faults: readonly (Fault | ToldFault)[]; count: number }

/** What a file holds, or everything it is refused for. */
export function incomingOf(text: string, over: Plan | undefined): Incoming {
  let document: unknown
  try {
    document = JSON.parse(text)
  } catch {
    const value = text.trim() === '' ? 'nothing' : text.trim().slice(0, SHOWN_LETTERS)
    return { text, faults: [{ path: '', value, limit: 'a plan as it is exported', message: 'no JSON' }], count: 1 }
  }
  const read = readPlan(document)
  if ('faults' in read) return { text, faults: toldFaults(read.faults, document), count: read.count }
  const { plan } = read
  return { text, plan, changes: over === undefined ? undefined : differences(draftOf(over), draftOf(plan)) }
}

/** Of a file that is none, as much as shows what it is. */
const SHOWN_LETTERS = 60
