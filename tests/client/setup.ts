import { afterAll } from 'vitest'

// Files share a window: what one leaves behind is no start for the next.
afterAll(() => {
  localStorage.clear()
  sessionStorage.clear()
  document.body.replaceChildren()
})
