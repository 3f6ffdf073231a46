/** All of the library, for whoever copies from it into a plan. */
import type { Plan, ReceiverType, TankerType } from '../contracts/plan.ts'
import { RECEIVERS } from './receivers.ts'
import { DEFAULT_RULES } from './rules.ts'
import { TANKERS } from './tankers.ts'

export interface Library {
  readonly receivers: readonly ReceiverType[]
  readonly tankers: readonly TankerType[]
  /** Rules to begin a plan with. */
  readonly rules: Plan['rules']
}

const LIBRARY: Library = { receivers: RECEIVERS, tankers: TANKERS, rules: DEFAULT_RULES }

/** Types and rules to begin a plan with; the basis of each figure in them is told by `basisOf`. */
export const library = (): Library => LIBRARY
