import { computed, ref } from 'vue'
import { whereOf } from '../address.ts'

const path = ref(location.pathname)
const where = computed(() => whereOf(path.value))

window.addEventListener('popstate', () => {
  if (location.pathname === path.value) return
  // The browser has gone already: who stays goes on from here.
  if (mayLeave()) path.value = location.pathname
  else history.pushState(null, '', path.value)
})
/** Links to our own pages change the page without loading it anew. */
document.addEventListener('click', (event) => {
  const link = event.target instanceof Element ? event.target.closest('a') : null
  const held = event.ctrlKey || event.metaKey || event.shiftKey || event.altKey || event.button !== 0
  if (link === null || held || event.defaultPrevented || !link.pathname.startsWith('/as/')) return
  if (link.origin !== location.origin || link.hash !== '' || link.hasAttribute('download')) return
  event.preventDefault()
  if (mayLeave()) go(link.pathname)
})
/** Each is asked before a link is followed, and when the browser goes back or on. */
const guards = new Set<() => boolean>()
const mayLeave = (): boolean => [...guards].every((mayGo) => mayGo())
function guard(mayGo: () => boolean): () => void {
  guards.add(mayGo)
  return () => {
    guards.delete(mayGo)
  }
}

/** Goes to a page of ours; `replace` leaves no way back to this one. */
function go(to: string, { replace = false }: { replace?: boolean } = {}): void {
  if (replace) history.replaceState(null, '', to)
  else history.pushState(null, '', to)
  path.value = location.pathname
  window.scrollTo(0, 0)
}

/** Where the browser is: one for the whole page. */
export const useAddress = () => ({ where, go, guard })
