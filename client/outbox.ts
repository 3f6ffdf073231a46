import type { RecordedAnswer } from '../shared/contracts/answers.ts'
import { OBSERVED_REQUESTS } from '../shared/contracts/kinds.ts'
import type { ProblemCode } from '../shared/contracts/problem.ts'
import type { Unsent } from '../shared/entry/understanding.ts'
import { newRequestId, Refusal } from './api.ts'

/*
 * Calls on their way to the service. What was observed is put on a shelf before it is sent and taken off it when it is
 * answered, so that neither a lost line nor a closed page loses it. One goes at a time, in the order they were made: a
 * later call never overtakes an earlier one. A repeat carries the id and the body of the first, so that it is recorded
 * once however often it is sent.
 */

/** A call that has no answer yet, or was refused when it came through at last. */
export interface KeptCall {
  requestId: string
  /** As it goes out each time it is tried: with the time it was observed at. */
  request: Unsent & { atMs: number }
  /** When it was made, on this device's clock, ms; none where the time was said. The event's clock may be set meanwhile. */
  madeAtMs?: number
  sentence: string
  /** The service may have it already. */
  tried: boolean
  /** Why it was refused, in words. */
  refusal?: string
}

/** Where calls are kept while the page is closed, in the order they were put there. */
export interface Shelf {
  read: () => KeptCall[]
  put: (call: KeptCall) => void
  drop: (requestId: string) => void
}

/** What became of a kept call. */
export type End = 'recorded' | 'refused' | 'taken back'

/** The call is kept and goes out by itself. */
export class Kept extends Error {
  constructor(
    readonly requestId: string,
    /** Settles while the page is open. */
    readonly end: Promise<End>
  ) {
    super('kept')
  }
}
/** Whoever made the call has taken it back. */
export class TakenBack extends Error {}

/** These end by themselves; any other refusal is an answer. */
const PASSING: ReadonlySet<ProblemCode> = new Set<ProblemCode>([
  'outcome-unknown',
  // The same link may be renewed, and what was called under it goes out then.
  'no-membership',
  'store-full',
  'store-broken',
  'too-many-requests',
  'busy'
])
const OBSERVED: ReadonlySet<string> = new Set(OBSERVED_REQUESTS)

export interface Outbox {
  /**
   * Settles with the answer.
   * @throws Refusal of the service; Kept when it goes out later
   */
  record: (request: Unsent, sentence: string) => Promise<RecordedAnswer>
  /** Sends what waits; call when the line is back, and now and then. */
  flush: () => Promise<void>
  /** The line is down: whoever waits for an answer is told that it comes later. */
  letGo: () => void
  /** Puts a refused call where it is seen until somebody takes it away. */
  setAside: (request: Unsent, sentence: string, refusal: string) => void
  /** Takes a call away that was refused, or that surely never went out; says whether it did. */
  drop: (requestId: string) => boolean
}

export function openOutbox(parts: {
  shelf: Shelf
  send: (request: Unsent, requestId: string) => Promise<RecordedAnswer>
  /** Now on this device's clock, ms. */
  nowMs: () => number
  /** Event time at an instant of it, as far as this page knows. */
  eventMs: (madeAtMs: number) => number
  /** Whether the line is known to be down: then nothing is tried. */
  lost: () => boolean
  inWords: (problem: unknown) => Promise<string>
  /** What is kept, refused ones included, each time it changes. */
  onChange: (kept: readonly KeptCall[]) => void
}): Outbox {
  let calls = parts.shelf.read()
  /** Those made on this page that somebody waits for. */
  const waiting = new Map<string, { done: (answer: RecordedAnswer) => void; fail: (problem: unknown) => void }>()
  /** Of all calls made on this page; whoever was let go may still ask. */
  const ends = new Map<string, { end: Promise<End>; settle: (end: End) => void }>()
  let flushing: Promise<void> | undefined

  const change = (next: KeptCall[]) => {
    calls = next
    parts.onChange(calls)
  }
  function put(call: KeptCall) {
    parts.shelf.put(call)
    change(calls.map((one) => (one.requestId === call.requestId ? call : one)))
  }
  function settle(requestId: string, end: End) {
    ends.get(requestId)?.settle(end)
    ends.delete(requestId)
  }
  function take(requestId: string) {
    parts.shelf.drop(requestId)
    change(calls.filter((one) => one.requestId !== requestId))
  }
  function letGo() {
    for (const [requestId, { fail }] of waiting) {
      const { end = NEVER } = ends.get(requestId) ?? {}
      fail(new Kept(requestId, end))
    }
    waiting.clear()
  }
  /** By the clock that was in force when it was made. */
  function timed(call: KeptCall): KeptCall {
    if (typeof call.madeAtMs !== 'number') return call
    return { ...call, request: { ...call.request, atMs: parts.eventMs(call.madeAtMs) } }
  }
  /** A refusal because of the time says that it is not recorded: it goes out anew where its time is known better now. */
  function timedAnew(call: KeptCall, problem: unknown): KeptCall | undefined {
    if (!(problem instanceof Refusal && problem.code === 'time-ahead')) return undefined
    const again = timed(call)
    return again.request.atMs < call.request.atMs ? { ...again, tried: false } : undefined
  }

  /** Whether the next one may follow. */
  async function deliver(next: KeptCall): Promise<boolean> {
    // A repeat has the body of the first: the service may have it.
    const call = next.tried ? next : timed(next)
    // Whoever made it may have been let go by the time it is answered.
    const asker = () => waiting.get(call.requestId)
    try {
      put({ ...call, tried: true })
      const answer = await parts.send(call.request, call.requestId)
      settle(call.requestId, 'recorded')
      take(call.requestId)
      asker()?.done(answer)
    } catch (problem) {
      if (isPassing(problem)) return false
      const again = timedAnew(call, problem)
      if (again) {
        put(again)
        return true
      }
      settle(call.requestId, 'refused')
      if (asker()) take(call.requestId)
      else put({ ...call, tried: true, refusal: await parts.inWords(problem) })
      asker()?.fail(problem)
    }
    waiting.delete(call.requestId)
    return true
  }
  async function deliverAll() {
    await Promise.resolve()
    for (;;) {
      const next = calls.find(({ refusal }) => refusal === undefined)
      if (next === undefined) break
      if (!parts.lost() && (await deliver(next))) continue
      letGo()
      break
    }
    // In the same step as the last look: what is made after it begins anew.
    flushing = undefined
  }
  const flush = () => (flushing ??= deliverAll())

  function made(request: Unsent, sentence: string) {
    const requestId = newRequestId()
    if (request.atMs !== undefined) return { requestId, request: { ...request, atMs: request.atMs }, sentence }
    const madeAtMs = parts.nowMs()
    return { requestId, request: { ...request, atMs: parts.eventMs(madeAtMs) }, sentence, madeAtMs }
  }

  parts.onChange(calls)
  return {
    flush,
    letGo,
    record: (request, sentence) => {
      if (!OBSERVED.has(request.kind)) return parts.send(request, newRequestId())
      const call = { ...made(request, sentence), tried: false }
      parts.shelf.put(call)
      change([...calls, call])
      let settle: (end: End) => void = () => undefined
      const end = new Promise<End>((settled) => (settle = settled))
      ends.set(call.requestId, { end, settle })
      const answer = new Promise<RecordedAnswer>((done, fail) => waiting.set(call.requestId, { done, fail }))
      void flush()
      return answer
    },
    setAside: (request, sentence, refusal) => {
      const call = { ...made(request, sentence), tried: true, refusal }
      parts.shelf.put(call)
      change([...calls, call])
    },
    drop: (requestId) => {
      const call = calls.find((one) => one.requestId === requestId)
      if (call === undefined || (call.tried && call.refusal === undefined)) return false
      settle(requestId, call.refusal === undefined ? 'taken back' : 'refused')
      take(requestId)
      waiting.get(requestId)?.fail(new TakenBack())
      waiting.delete(requestId)
      return true
    }
  }
}

const NEVER = new Promise<End>(() => undefined)

const isPassing = (problem: unknown): boolean =>
  problem instanceof Refusal && (problem.code === undefined || PASSING.has(problem.code))

/**
 * A shelf in the browser's own store, an entry for each call, so that two pages of one link do not write over each
 * other. Where the browser keeps nothing, calls last as long as the page.
 */
export function browserShelf(as: string, eventId: string, store: Storage | undefined = storeHere()): Shelf {
  const prefix = `ullage call ${as} ${eventId} `
  const keyOf = new Map<string, string>()
  let turn = 0
  const nextKey = (requestId: string): string => {
    turn += 1
    return `${prefix}${String(Date.now()).padStart(15, '0')} ${String(turn).padStart(6, '0')} ${requestId}`
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
      keyOf.set(call.requestId, key)
      try {
        store?.setItem(key, JSON.stringify(call))
      } catch {
        // Full or forbidden: it lasts as long as the page.
      }
    },
    drop: (requestId) => {
      const key = keyOf.get(requestId)
      keyOf.delete(requestId)
      if (key !== undefined) store?.removeItem(key)
    }
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
