import { shallowRef, watch, type Ref, type ShallowRef } from 'vue'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { View } from '../../shared/contracts/view.ts'
import type { Losses } from '../../shared/live/lost.ts'
import type { LossesAsked, LossesTold } from '../losses-worker.ts'

let worker: Worker | undefined
let turn = 0
const waiting = new Map<number, (losses: Losses | undefined) => void>()
/** Asked once for each plan, whoever shows it. */
const known = new WeakMap<Plan, { nowMs: number; answer: Promise<Losses | undefined> }>()

function ask(plan: Plan, nowMs: number): Promise<Losses | undefined> {
  const before = known.get(plan)
  if (before?.nowMs === nowMs) return before.answer
  worker ??= started()
  const asked: LossesAsked = { turn: ++turn, plan, nowMs }
  const answer = new Promise<Losses | undefined>((resolve) => waiting.set(asked.turn, resolve))
  worker.postMessage(asked)
  known.set(plan, { nowMs, answer })
  return answer
}

function started(): Worker {
  const made = new Worker(new URL('../losses-worker.ts', import.meta.url), { type: 'module' })
  made.addEventListener('message', ({ data }: MessageEvent<LossesTold>) => {
    waiting.get(data.turn)?.(data.losses)
    waiting.delete(data.turn)
  })
  return made
}

/** What is lost with each thing of a plan, worked out beside the page; of the plan before until it is there. */
export function useLosses(
  shown: Readonly<Ref<{ plan: Plan; view: Pick<View, 'atMs'> } | undefined>>
): ShallowRef<Losses | undefined> {
  const losses = shallowRef<Losses>()
  watch(
    shown,
    async (now) => {
      if (now === undefined) return
      const found = await ask(now.plan, now.view.atMs)
      if (now === shown.value) losses.value = found
    },
    { immediate: true }
  )
  return losses
}
