import { lossesOf, type Losses } from '../shared/live/lost.ts'
import { emptyState } from '../shared/live/state.ts'
import type { Plan } from '../shared/contracts/plan.ts'

/* Works out beside the page what is lost with each thing of a plan: as many judgements as it has tankers, stations, bases. */

export interface LossesAsked {
  turn: number
  plan: Plan
  nowMs: number
}
export interface LossesTold {
  turn: number
  losses: Losses | undefined
}

addEventListener('message', ({ data: { turn, plan, nowMs } }: MessageEvent<LossesAsked>) => {
  const told: LossesTold = { turn, losses: lossesOf({ ...emptyState('computed'), plan }, nowMs) }
  postMessage(told)
})
