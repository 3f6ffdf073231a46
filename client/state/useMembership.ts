import { onScopeDispose, ref, shallowRef, watch, type Ref } from 'vue'
import type { Membership } from '../../shared/contracts/answers.ts'
import { isEnded, readMembership, Refusal } from '../api.ts'
import { refusalSentence } from '../words/refusal.ts'

/** Who this page acts as: the membership its address names. */
export function useMembership(linkId: () => string): {
  membership: Ref<Membership | undefined>
  refusal: Ref<string>
  /** The link opens nothing, or not any more. */
  ended: Ref<boolean>
  /** Asks once more. */
  again: () => void
} {
  const membership = shallowRef<Membership>()
  const refusal = ref('')
  const ended = ref(false)
  const turn = ref(0)
  watch(
    [linkId, turn],
    async ([id]) => {
      membership.value = undefined
      refusal.value = ''
      ended.value = false
      try {
        const asked = readMembership(id)
        const known = remembered(id)
        // In a tunnel no answer comes for long: until it does this browser is who it was.
        const timer = setTimeout(() => {
          if (known !== undefined && id === linkId()) membership.value ??= known
        }, PATIENCE_MS)
        const answer = await asked.finally(() => {
          clearTimeout(timer)
        })
        remember(answer)
        if (id === linkId() && !isSame(answer, membership.value)) membership.value = answer
      } catch (problem) {
        // Without contact this browser is who it was; what it asks for is judged when contact is back.
        const known = problem instanceof Refusal && problem.code === undefined ? remembered(id) : undefined
        if (isEnded(problem)) ended.value = id === linkId() && membership.value === undefined
        else if (known === undefined) refusal.value = await refusalSentence(problem)
        else if (id === linkId()) membership.value ??= known
      }
    },
    { immediate: true }
  )
  /** Another page of this browser has signed out. */
  const elsewhere = ({ key, newValue }: StorageEvent) => {
    if (key !== keyOf(linkId()) || newValue !== null) return
    membership.value = undefined
    ended.value = true
  }
  window.addEventListener('storage', elsewhere)
  onScopeDispose(() => {
    window.removeEventListener('storage', elsewhere)
  })
  return { membership, refusal, ended, again: () => (turn.value += 1) }
}

const PATIENCE_MS = 2_500

/** The page is not built anew for what it knew. */
const isSame = (one: Membership, other: Membership | undefined): boolean =>
  JSON.stringify(one) === JSON.stringify(other)

const keyOf = (linkId: string): string => `ullage link ${linkId}`

/** Which role and ship a link has; no secret. */
function remember(membership: Membership): void {
  try {
    localStorage.setItem(keyOf(membership.linkId), JSON.stringify(membership))
  } catch {
    // Full or forbidden: without contact the page does not open anew.
  }
}

function remembered(linkId: string): Membership | undefined {
  try {
    return (JSON.parse(localStorage.getItem(keyOf(linkId)) ?? 'null') as Membership | null) ?? undefined
  } catch {
    return undefined
  }
}
