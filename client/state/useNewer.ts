import { onScopeDispose } from 'vue'

/** Gently: a plan is saved every few minutes, and what is published is guarded by the service. */
const EVERY_MS = 15_000

/** Looks again and again whether there is something newer, while the page is in sight, and at once when it comes back. */
export function useNewer(look: () => Promise<void>): void {
  let busy = false
  const lookOnce = async () => {
    if (busy || document.visibilityState === 'hidden') return
    busy = true
    // Without contact nothing newer can be seen: the next look tells.
    await look().catch(() => undefined)
    busy = false
  }
  const again = () => void lookOnce()
  const timer = setInterval(again, EVERY_MS)
  document.addEventListener('visibilitychange', again)
  onScopeDispose(() => {
    clearInterval(timer)
    document.removeEventListener('visibilitychange', again)
  })
}
