import { computed, shallowRef, type ComputedRef } from 'vue'
import type { Draft } from '../../shared/tables/table.ts'
import { begun, redone, stepped, undone, type History } from '../plan/history.ts'

export interface Tables {
  draft: ComputedRef<Draft>
  /** A step that can be undone. */
  step: (next: Draft) => void
  undo: () => void
  redo: () => void
  mayUndo: ComputedRef<boolean>
  mayRedo: ComputedRef<boolean>
}

/** The tables of a draft, with every step that led to them. */
export function useTables(beginning: Draft): Tables {
  const history = shallowRef<History<Draft>>(begun(beginning))
  return {
    draft: computed(() => history.value.now),
    step: (next) => {
      history.value = stepped(history.value, next)
    },
    undo: () => {
      history.value = undone(history.value)
    },
    redo: () => {
      history.value = redone(history.value)
    },
    mayUndo: computed(() => history.value.past.length > 0),
    mayRedo: computed(() => history.value.future.length > 0)
  }
}
