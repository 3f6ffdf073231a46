import { pathOf } from '../shared/contracts/routes.ts'
import type { SearchView } from '../shared/contracts/search.ts'
import { SILENCE_MS, type FrameIn, type FrameOut } from '../shared/contracts/stream.ts'
import type { ContactState } from './words/contact.ts'

/*
 * The live socket of one event. States: connecting (never heard yet, and not for long), live, silent (open, but nothing
 * heard), retrying (closed, waiting or opening again, or never heard in the time a silence is said in), ended (the link
 * opens nothing any more: nothing is tried again). Whatever is heard makes it live, once what was missed is folded: old
 * figures are never said to be of now. Silence and closing end that.
 */

/** Said a little early, so that the page is never late to say it. */
const SILENT_AFTER_MS = SILENCE_MS - 700
/** A silent socket may come back by itself; after this it is opened anew. */
const ABANDON_AFTER_MS = 4 * SILENCE_MS
const OPEN_WITHIN_MS = 5_000
const FIRST_RETRY_MS = 400
/** A service that is started anew is back within seconds: so long it is tried often, and a thousand pages are back with it. */
const SOON_MS = 20_000
const LONGEST_SOON_MS = 2_000
const LONGEST_RETRY_MS = 10_000

export interface StreamParts {
  as: string
  eventId: string
  /** What is folded already; the stream resumes after it. */
  seq: () => number
  /** What is folded is of another log than the service's: nothing of it is of now. */
  foreign?: () => boolean
  /** The stream opens after it, and does not wait for it longer than for any answer. */
  ready?: Promise<unknown>
  onFrame: (frame: FrameOut) => void
  onState: (state: ContactState) => void
  /** The search for a better order, each time it changes. */
  onSearch?: (search: SearchView) => void
  /** Whether the link opens nothing any more; asked when a socket is refused, since a browser does not tell why it was. */
  hasEnded?: () => Promise<boolean>
}

/** Opens the stream and keeps it open until the answer is called. */
export function openStream(parts: StreamParts): () => void {
  const { as, eventId, seq, foreign = () => false, ready, onFrame, onState, onSearch } = parts
  const { hasEnded = () => Promise.resolve(false) } = parts
  let socket: WebSocket | undefined
  let attempts = 0
  /** Since when nothing was heard and it is tried again, ms. */
  let lostAtMs = 0
  let closed = false
  let heard = false
  /** Long enough without a word that the figures are not of now, although none ever came. */
  let late = false
  /** The last fact there was when the socket opened: what comes before it was missed. */
  let missedTo = 0
  const timers = new Set<ReturnType<typeof setTimeout>>()

  const after = (delayMs: number, act: () => void) => {
    const timer = setTimeout(() => {
      timers.delete(timer)
      act()
    }, delayMs)
    timers.add(timer)
  }
  const quiet = () => {
    for (const timer of timers) clearTimeout(timer)
    timers.clear()
  }

  const lost = () => {
    onState(heard || late ? 'retrying' : 'connecting')
  }

  function open() {
    if (closed) return
    quiet()
    lost()
    const address = new URL(pathOf('stream', { eventId }), location.href)
    address.protocol = address.protocol === 'https:' ? 'wss:' : 'ws:'
    address.searchParams.set('as', as)
    address.searchParams.set('after', String(foreign() ? 0 : seq()))
    const opened = new WebSocket(address)
    socket = opened
    after(OPEN_WITHIN_MS, retry)
    let greeted = false
    opened.onmessage = ({ data }) => {
      greeted = true
      if (socket === opened) hear(String(data))
    }
    opened.onclose = () => {
      if (socket !== opened) return
      retry()
      if (!greeted) void look()
    }
  }

  async function look() {
    if ((await hasEnded().catch(() => false)) && !closed) end()
  }

  function end() {
    stop()
    onState('ended')
  }

  function hear(text: string) {
    const frame = JSON.parse(text) as FrameOut
    quiet()
    heard = true
    attempts = 0
    if (frame.kind === 'hello') missedTo = frame.seq
    after(SILENT_AFTER_MS, () => {
      onState('silent')
    })
    after(ABANDON_AFTER_MS, retry)
    onFrame(frame)
    if (frame.kind === 'problem' && frame.code === 'no-membership') {
      end()
      return
    }
    if (!foreign() && seq() >= missedTo) onState('live')
    if (frame.kind === 'search') onSearch?.(frame.search)
    // The service counts messages: one answer a beat is what it waits for.
    if (frame.kind === 'beat') say({ kind: 'seen', seq: seq() })
  }

  function say(frame: FrameIn) {
    if (socket?.readyState === WebSocket.OPEN) socket.send(JSON.stringify(frame))
  }

  function retry() {
    if (closed) return
    quiet()
    const abandoned = socket
    socket = undefined
    abandoned?.close()
    lost()
    if (attempts === 0) lostAtMs = Date.now()
    const longestMs = Date.now() - lostAtMs < SOON_MS ? LONGEST_SOON_MS : LONGEST_RETRY_MS
    const fullMs = Math.min(longestMs, FIRST_RETRY_MS * 2 ** attempts)
    attempts += 1
    // Half of it by chance: a thousand pages must not come back in one instant.
    after(fullMs * (0.5 + Math.random() / 2), open)
  }

  const first = () => {
    if (socket === undefined && attempts === 0) open()
  }
  if (ready === undefined) first()
  else void ready.then(first, first)
  const lateTimer = setTimeout(() => {
    late = true
    if (heard) return
    first()
    lost()
  }, SILENT_AFTER_MS)
  function stop() {
    closed = true
    clearTimeout(lateTimer)
    quiet()
    const last = socket
    socket = undefined
    last?.close()
  }
  return stop
}
