/*
 * Keeps the page itself for a phone without contact: the one page and its files, whose names change with their content.
 * What the service answers is never kept here, nor looked at.
 */
const CACHE = 'ullage-page-1'
const PAGE = '/'
/** In a tunnel a request is neither answered nor refused: the kept page comes after this. */
const PATIENCE_MS = 2500
/** Files of several versions; the oldest go first. */
const MOST_FILES = 120

self.addEventListener('install', (event) => {
  event.waitUntil(keep([PAGE]).then(() => self.skipWaiting()))
})
self.addEventListener('activate', (event) => {
  event.waitUntil(forgetOthers().then(() => self.clients.claim()))
})
self.addEventListener('message', (event) => {
  const { kind, files } = event.data ?? {}
  if (kind === 'keep' && Array.isArray(files)) event.waitUntil(keep(files.filter(isFile)))
})
self.addEventListener('fetch', (event) => {
  const { request } = event
  const { origin, pathname } = new URL(request.url)
  if (request.method !== 'GET' || origin !== self.location.origin) return
  if (request.mode === 'navigate' && !pathname.startsWith('/api')) event.respondWith(page(event))
  else if (isFile(pathname)) event.respondWith(file(request))
})

const isFile = (path) => typeof path === 'string' && (path.startsWith('/assets/') || path === '/icon.svg')

async function keep(paths) {
  const cache = await caches.open(CACHE)
  for (const path of paths) {
    if (path !== PAGE && (await cache.match(path)) !== undefined) continue
    const answer = await fetch(path, { credentials: 'omit' }).catch(() => undefined)
    if (answer?.ok) await cache.put(path, answer)
  }
  const files = (await cache.keys()).filter(({ url }) => isFile(new URL(url).pathname))
  for (const old of files.slice(0, Math.max(0, files.length - MOST_FILES))) await cache.delete(old)
}

async function forgetOthers() {
  for (const name of await caches.keys()) if (name !== CACHE) await caches.delete(name)
}

/** The newest page there is; the one that is kept when none comes. */
async function page(event) {
  const newest = fetched(event.request)
  // What comes later is kept for the next time.
  event.waitUntil(newest)
  const kept = await caches.match(PAGE)
  if (kept === undefined) return (await newest) ?? Response.error()
  return (await Promise.race([newest, late()])) ?? kept
}

const late = () => new Promise((done) => setTimeout(done, PATIENCE_MS))

/** Nothing where no network or no service is. */
async function fetched(request) {
  try {
    const answer = await fetch(request)
    if (answer.ok && answer.headers.get('content-type')?.startsWith('text/html')) {
      const copy = answer.clone()
      await caches.open(CACHE).then((cache) => cache.put(PAGE, copy))
    }
    // A proxy that cannot reach the service has a page of its own to say so.
    if (answer.status < 500) return answer
  } catch {
    // No network.
  }
  return undefined
}

/** A file is the same for ever: the kept one first. */
async function file(request) {
  const kept = await caches.match(request)
  if (kept !== undefined) return kept
  const answer = await fetch(request)
  if (answer.ok) {
    const copy = answer.clone()
    await caches.open(CACHE).then((cache) => cache.put(request, copy))
  }
  return answer
}
