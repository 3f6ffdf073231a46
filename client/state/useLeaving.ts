import { onScopeDispose, type Ref } from 'vue'
import { useAddress } from './useAddress.ts'

/** Asks before the page is left, while there is something to ask for. */
export function useLeaving(unsaved: Readonly<Ref<boolean>>, question: string): void {
  const beforeUnload = (event: BeforeUnloadEvent) => {
    if (unsaved.value) event.preventDefault()
  }
  window.addEventListener('beforeunload', beforeUnload)
  const unguard = useAddress().guard(() => !unsaved.value || window.confirm(question))
  onScopeDispose(() => {
    window.removeEventListener('beforeunload', beforeUnload)
    unguard()
  })
}
