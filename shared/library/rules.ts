/** Rules to begin a plan with: times at the tanker, and what is to be left on landing. Each can be changed in the plan. */
import type { PlanRules } from '../contracts/plan.ts'
import { kt, lb } from './figures.ts'

/** The basis of each figure stands in basis.ts. */
export const DEFAULT_RULES = {
  hookUpBoomMin: 1.5,
  hookUpDrogueMin: 2,
  changeoverWithinFlightMin: 0.5,
  changeoverBoomMin: 2,
  changeoverDrogueMin: 3,
  methodChangeMin: 10,
  reformMin: 1.5,
  lateMarginMin: 5,
  staleAfterMin: 10,
  jokerAllowance: lb(1000),
  landingReserve: {
    kind: 'greatest',
    of: [
      { kind: 'minutes', holdingMin: 20 },
      { kind: 'share', sharePercent: 10, floor: lb(0) },
      { kind: 'rendezvous', sharePercent: 10 }
    ]
  },
  windFromDeg: 0,
  windSpeed: kt(0)
} satisfies PlanRules
