import { ref, watch } from 'vue'
import type { PlanAnswer } from '../../shared/contracts/answers.ts'
import { computeOrder } from '../api.ts'
import { labelsOf } from '../labels.ts'
import { publishQuestion } from '../publish.ts'
import { PUBLISH } from '../words/publish.ts'

/**
 * Publishing, with a question first where the plan does not work, or where somebody saved a newer one meanwhile. It is of the saved revision, which the page need not show:
 * the service works it out. Where it cannot, the service says so when it is to publish.
 */
export function usePublish(answer: () => PlanAnswer | undefined, publish: () => Promise<string>) {
  const question = ref('')
  const drop = () => (question.value = '')
  watch(() => answer()?.revision, drop)

  /** What is to be asked of the newest revision; empty where it works, or cannot be worked out here. */
  async function doubtOf({ plan, revision }: PlanAnswer): Promise<string> {
    const view = await computeOrder(plan).catch(() => undefined)
    return view === undefined ? '' : publishQuestion(view, labelsOf(plan), revision)
  }
  async function go() {
    const newer = await publish()
    const now = answer()
    if (newer === '' || now === undefined) return
    const doubt = await doubtOf(now)
    if (answer()?.revision !== now.revision) return
    question.value = `${newer} ${doubt === '' ? PUBLISH.newest(now.revision) : doubt}`
  }

  return {
    question,
    drop,
    ask: async () => {
      const asked = answer()
      if (asked === undefined) return
      const doubt = await doubtOf(asked)
      if (answer()?.revision !== asked.revision) return
      question.value = doubt
      if (doubt === '') await go()
    },
    publish: async () => {
      drop()
      await go()
    }
  }
}
