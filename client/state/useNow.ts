import { onScopeDispose, ref, type Ref } from 'vue'

/** Real time by the service's clock, ms, once a second on the second. `skewMs` is how far this browser's clock is behind. */
export function useNow(skewMs: Ref<number>): { now: Ref<number>; refresh: () => void } {
  const now = ref(Date.now() + skewMs.value)
  let timer: ReturnType<typeof setTimeout> | undefined
  const refresh = () => {
    now.value = Date.now() + skewMs.value
  }
  const tick = () => {
    refresh()
    timer = setTimeout(tick, 1000 - (now.value % 1000))
  }
  tick()
  onScopeDispose(() => {
    clearTimeout(timer)
  })
  return { now, refresh }
}
