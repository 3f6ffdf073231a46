import { ref, watch } from 'vue'
import type { PlanAnswer } from '../../shared/contracts/answers.ts'
import { computeOrder } from '../api.ts'
import { labelsOf } from '../labels.ts'
import { publishQuestion } from '../publish.ts'

/**
 * Publishing, with a question first where the plan does not work. It is of the saved revision, which the page need not show:
 * the service works it out. Where it cannot, the service says so when it is to publish.
 */
export function usePublish(answer: () => PlanAnswer | undefined, publish: () => Promise<void>) {
  const question = ref('')
  const drop = () => (question.value = '')
  watch(() => answer()?.revision, drop)

  return {
    question,
    drop,
    ask: async () => {
      const asked = answer()
      if (asked === undefined) return
      const { plan, revision } = asked
      const view = await computeOrder(plan).catch(() => undefined)
      if (answer()?.revision !== revision) return
      question.value = view === undefined ? '' : publishQuestion(view, labelsOf(plan), revision)
      if (question.value === '') await publish()
    },
    publish: async () => {
      drop()
      await publish()
    }
  }
}
