import { onScopeDispose, shallowRef, watch, type ShallowRef } from 'vue'
import { FRAMES } from '../frames.ts'

/** What a part of the page shows, a few frames behind what it is made of: at once while the board is small. */
export function useInTurn<Value>(value: () => Value, isLarge: () => boolean): ShallowRef<Value> {
  const shown = shallowRef(value())
  const show = () => {
    shown.value = value()
  }
  watch(value, () => {
    if (shown.value !== undefined && isLarge()) FRAMES.ask(show)
    else show()
  })
  onScopeDispose(() => {
    FRAMES.drop(show)
  })
  return shown
}
