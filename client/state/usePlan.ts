import { computed, ref, shallowRef, type ComputedRef, type Ref } from 'vue'
import type { PlanAnswer } from '../../shared/contracts/answers.ts'
import type { Fault } from '../../shared/contracts/problem.ts'
import type { View } from '../../shared/contracts/view.ts'
import { computeOrder, importPlan, publishPlan, readPlan, Refusal } from '../api.ts'
import { labelsOf, type Labels } from '../labels.ts'
import { PLAN } from '../words/plan.ts'
import { refusalSentence } from '../words/refusal.ts'

export interface PlanPage {
  answer: Ref<PlanAnswer | undefined>
  /** The newest revision as it works out, seen at its opening. */
  view: Ref<View | undefined>
  labels: ComputedRef<Labels | undefined>
  refusal: Ref<string>
  told: Ref<string>
  faults: Ref<{ list: readonly Fault[]; count: number }>
  take: (file: string) => Promise<void>
  publish: () => Promise<void>
}

/** The newest revision of a plan, with what a commander does to it. */
export function usePlan(as: string, eventId: string): PlanPage {
  const answer = shallowRef<PlanAnswer>()
  const view = shallowRef<View>()
  const refusal = ref('')
  const told = ref('')
  const faults = shallowRef<{ list: readonly Fault[]; count: number }>({ list: [], count: 0 })

  async function attempt(act: () => Promise<void>) {
    refusal.value = ''
    told.value = ''
    faults.value = { list: [], count: 0 }
    try {
      await act()
    } catch (problem) {
      refusal.value = await refusalSentence(problem)
      if (problem instanceof Refusal) faults.value = { list: problem.faults, count: problem.faultCount }
    }
  }
  async function load() {
    const read = await readPlan(as, eventId)
    view.value = await computeOrder(read.plan)
    answer.value = read
  }
  void attempt(load)

  return {
    answer,
    view,
    labels: computed(() => (answer.value === undefined ? undefined : labelsOf(answer.value.plan))),
    refusal,
    told,
    faults,
    take: (file) =>
      attempt(async () => {
        const { revision } = await importPlan(as, eventId, file)
        await load()
        told.value = PLAN.imported(revision)
      }),
    publish: () =>
      attempt(async () => {
        const revision = answer.value?.revision
        if (revision === undefined) return
        await publishPlan(as, eventId, revision)
        await load()
        told.value = PLAN.published(revision)
      })
  }
}
