import { shallowRef, type ShallowRef } from 'vue'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { Incoming } from '../plan/incoming.ts'

export interface IncomingFile {
  /** What is looked at before it is taken; undefined while nothing is. */
  incoming: ShallowRef<Incoming | undefined>
  look: (text: string) => Promise<void>
  drop: () => void
}

/** A file that is shown before it is imported. */
export function useIncoming(over: () => Plan | undefined): IncomingFile {
  const incoming = shallowRef<Incoming>()
  return {
    incoming,
    look: async (text) => {
      const { incomingOf } = await import('../plan/incoming.ts')
      incoming.value = incomingOf(text, over())
    },
    drop: () => {
      incoming.value = undefined
    }
  }
}
