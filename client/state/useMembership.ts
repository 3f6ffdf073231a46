import { ref, shallowRef, watch, type Ref } from 'vue'
import type { Membership } from '../../shared/contracts/answers.ts'
import { readMembership } from '../api.ts'
import { refusalSentence } from '../words/refusal.ts'

/** Who this page acts as: the membership its address names. */
export function useMembership(linkId: () => string): { membership: Ref<Membership | undefined>; refusal: Ref<string> } {
  const membership = shallowRef<Membership>()
  const refusal = ref('')
  watch(
    linkId,
    async (id) => {
      membership.value = undefined
      refusal.value = ''
      try {
        const answer = await readMembership(id)
        if (id === linkId()) membership.value = answer
      } catch (problem) {
        refusal.value = await refusalSentence(problem)
      }
    },
    { immediate: true }
  )
  return { membership, refusal }
}
