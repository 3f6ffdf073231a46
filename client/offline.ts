/*
 * The page without contact: a small worker keeps the files of the page, and nothing else, so that the slot page opens
 * without a network where the browser lets it, which is where TLS is.
 */

/** Starts the worker and hands it the files this page was made of, which came before it was there. */
export async function keepPage(): Promise<void> {
  if (!('serviceWorker' in navigator) || !window.isSecureContext) return
  try {
    await navigator.serviceWorker.register('/sw.js')
    const { active } = await navigator.serviceWorker.ready
    const files = performance
      .getEntriesByType('resource')
      .map(({ name }) => new URL(name))
      .filter(({ origin, pathname }) => origin === location.origin && pathname.startsWith('/assets/'))
      .map(({ pathname }) => pathname)
    active?.postMessage({ kind: 'keep', files: [...new Set(files)] })
  } catch {
    // Private windows and locked-down phones have none: the page works while it is open.
  }
}
