import type { Unsent } from '../shared/entry/understanding.ts'

/** A call that has no answer yet, or was refused when it came through at last. */
export interface KeptCall {
  requestId: string
  /** As it goes out each time it is tried: with the time it was observed at. */
  request: Unsent & { atMs: number }
  /** When it was made, on this device's clock, ms; none where the time was said. The event's clock may be set meanwhile. */
  madeAtMs?: number
  /** How far that clock was behind the service's then, ms, where it was known: it may be set meanwhile too. */
  skewMs?: number
  sentence: string
  /** The service may have it already. */
  tried: boolean
  /** Why it was refused, in words. */
  refusal?: string
}

/** Where calls are kept while the page is closed, in the order they were put there. Several pages share it. */
export interface Shelf {
  read: () => KeptCall[]
  put: (call: KeptCall) => void
  drop: (requestId: string) => void
  /** Whether a call was put or read here; what is not there any more was then taken by another page. */
  hasHeld: (requestId: string) => boolean
}

/**
 * A shelf in the browser's own store, an entry for each call, so that two pages of one link do not write over each
 * other. Where the browser keeps nothing, calls last as long as the page.
 */
export function browserShelf(as: string, eventId: string, store: Storage | undefined = storeHere()): Shelf {
  const prefix = `ullage call ${as} ${eventId} `
  const keyOf = new Map<string, string>()
  /** Behind all that is there, although the device's clock was set back meanwhile. */
  const nextKey = (requestId: string): string => {
    const last = Number(keysOf(store, prefix).at(-1)?.slice(prefix.length).split(' ')[0] ?? 0)
    const turn = Math.max(Date.now(), (Number.isFinite(last) ? last : 0) + 1)
    return `${prefix}${String(turn).padStart(15, '0')} ${requestId}`
  }
  return {
    read: () =>
      keysOf(store, prefix).flatMap((key) => {
        const call = callIn(store?.getItem(key))
        if (call) keyOf.set(call.requestId, key)
        return call ? [call] : []
      }),
    put: (call) => {
      const key = keyOf.get(call.requestId) ?? nextKey(call.requestId)
      try {
        store?.setItem(key, JSON.stringify(call))
        if (store !== undefined) keyOf.set(call.requestId, key)
      } catch {
        // Full or forbidden: it lasts as long as the page. What it was before is not what it is now.
        keyOf.delete(call.requestId)
        store?.removeItem(key)
      }
    },
    drop: (requestId) => {
      const key = keyOf.get(requestId)
      keyOf.delete(requestId)
      if (key !== undefined) store?.removeItem(key)
    },
    hasHeld: (requestId) => keyOf.has(requestId)
  }
}

/** All calls that a browser keeps under a link, of whichever event. */
export const callsUnder = (as: string, store: Storage | undefined = storeHere()): KeptCall[] =>
  keysOf(store, `ullage call ${as} `).flatMap((key) => callIn(store?.getItem(key)) ?? [])

function keysOf(store: Storage | undefined, prefix: string): string[] {
  const keys = Array.from({ length: store?.length ?? 0 }, (_, index) => store?.key(index) ?? '')
  return keys.filter((key) => key.startsWith(prefix)).sort()
}

/** What another version of the page wrote may be anything. */
function callIn(text: string | null | undefined): KeptCall | undefined {
  try {
    const call = JSON.parse(text ?? '') as Partial<KeptCall> | null
    const whole =
      typeof call?.requestId === 'string' && typeof call.request?.atMs === 'number' && typeof call.sentence === 'string'
    return whole ? { ...(call as KeptCall), tried: call.tried === true } : undefined
  } catch {
    return undefined
  }
}

/** A browser may refuse the very question. */
function storeHere(): Storage | undefined {
  try {
    return localStorage
  } catch {
    return undefined
  }
}
