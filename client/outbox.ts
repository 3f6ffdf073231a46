import type { RecordedAnswer } from '../shared/contracts/answers.ts'
import { OBSERVED_REQUESTS } from '../shared/contracts/kinds.ts'
import type { ProblemCode } from '../shared/contracts/problem.ts'
import type { Unsent } from '../shared/entry/understanding.ts'
import { newRequestId, Refusal } from './api.ts'
import type { KeptCall, Shelf } from './outbox-shelf.ts'

/*
 * Calls on their way to the service. What was observed is put on a shelf before it is sent and taken off it when it is
 * answered, so that neither a lost line nor a closed page loses it. One goes at a time, in the order they were made: a
 * later call never overtakes an earlier one. A repeat carries the id and the body of the first, so that it is recorded
 * once however often it is sent, and whichever page of the link sends it: what is on the shelf counts, and what was taken
 * off it is not sent any more.
 */

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
/** What was seen and done; that a slot was read is said in the air too. */
const KEPT_KINDS: ReadonlySet<string> = new Set([...OBSERVED_REQUESTS, 'seeSlot'])
/** Beats after which a call that another page took, and that is in no log, was taken back there. */
const LOOKS = 3

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
  /** Another page may have put calls on the shelf, or taken some. */
  look: () => void
}

export function openOutbox(parts: {
  shelf: Shelf
  send: (request: Unsent, requestId: string) => Promise<RecordedAnswer>
  /** Now on this device's clock, ms. */
  nowMs: () => number
  /** How far it is behind the service's, ms; while that is not known nothing goes out that did not say its time. */
  skewMs: () => number | undefined
  /** Event time at an instant of it, as far as this page knows. */
  eventMs: (made: { atMs: number; skewMs: number | undefined }) => number
  /** Whether a call is in the log that this page has. */
  isRecorded?: (requestId: string) => boolean
  /** Whether the line is known to be down: then nothing is tried. */
  lost: () => boolean
  /** Sends while no other page of the link does. */
  alone?: ((act: () => Promise<void>) => Promise<void>) | undefined
  inWords: (problem: unknown) => Promise<string>
  /** What is kept, refused ones included, each time it changes. */
  onChange: (kept: readonly KeptCall[]) => void
}): Outbox {
  let calls = parts.shelf.read()
  /** Those made on this page that somebody waits for. */
  const waiting = new Map<string, { done: (answer: RecordedAnswer) => void; fail: (problem: unknown) => void }>()
  /** Of all calls made on this page; whoever was let go may still ask. */
  const ends = new Map<string, { end: Promise<End>; settle: (end: End) => void; looks: number }>()
  let underWay: string | undefined
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
  function letOneGo(requestId: string) {
    waiting.get(requestId)?.fail(new Kept(requestId, ends.get(requestId)?.end ?? NEVER))
    waiting.delete(requestId)
  }
  function letGo() {
    for (const requestId of [...waiting.keys()]) letOneGo(requestId)
  }
  /** What is on the shelf counts; what is gone from it another page has sent or taken back. */
  function look() {
    const there = new Map(parts.shelf.read().map((call) => [call.requestId, call]))
    const isGone = ({ requestId }: KeptCall) => !there.has(requestId) && parts.shelf.hasHeld(requestId)
    for (const { requestId } of calls.filter(isGone)) if (requestId !== underWay) letOneGo(requestId)
    const known = new Set(calls.map(({ requestId }) => requestId))
    const next = [
      ...calls.filter((call) => !isGone(call)).map((call) => there.get(call.requestId) ?? call),
      ...[...there.values()].filter(({ requestId }) => !known.has(requestId))
    ]
    if (JSON.stringify(next) !== JSON.stringify(calls)) change(next)
  }
  /** The log tells which of the calls that another page took are recorded. */
  function settleGone() {
    for (const [requestId, one] of ends) {
      if (calls.some((call) => call.requestId === requestId)) continue
      one.looks += 1
      if (parts.isRecorded?.(requestId) === true) settle(requestId, 'recorded')
      else if (one.looks > LOOKS) settle(requestId, 'taken back')
    }
  }
  /** By the clocks that were in force when it was made, of the event and of the device, as far as they are known. */
  function timed(call: KeptCall): KeptCall {
    const { madeAtMs: atMs, skewMs = parts.skewMs() } = call
    if (typeof atMs !== 'number') return call
    const known = skewMs === undefined ? {} : { skewMs }
    return { ...call, ...known, request: { ...call.request, atMs: parts.eventMs({ atMs, skewMs }) } }
  }
  const mayGo = (call: KeptCall) => call.tried || call.madeAtMs === undefined || timed(call).skewMs !== undefined
  /** A refusal because of the time says that it is not recorded: it goes out anew where its time is known better now. */
  function timedAnew(call: KeptCall, problem: unknown): KeptCall | undefined {
    if (!(problem instanceof Refusal && problem.code === 'time-ahead')) return undefined
    const again = timed(call)
    return again.request.atMs < call.request.atMs ? { ...again, tried: false } : undefined
  }

  async function sent({ request, requestId }: KeptCall): Promise<RecordedAnswer> {
    try {
      return await parts.send(request, requestId)
    } catch (problem) {
      // Two pages timed it anew in one instant: it is recorded, once, as the first of them sent it.
      if (problem instanceof Refusal && problem.code === 'request-id-reused') return RECORDED_BEFORE
      throw problem
    }
  }

  /** Whether the next one may follow. */
  async function deliver(next: KeptCall): Promise<boolean> {
    // A repeat has the body of the first: the service may have it.
    const call = next.tried ? next : timed(next)
    // Whoever made it may have been let go by the time it is answered.
    const asker = () => waiting.get(call.requestId)
    try {
      put({ ...call, tried: true })
      const answer = await sent(call)
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
      // Another page may have taken it meanwhile.
      if (asker() || !calls.some(({ requestId }) => requestId === call.requestId)) take(call.requestId)
      else put({ ...call, tried: true, refusal: await parts.inWords(problem) })
      asker()?.fail(problem)
    }
    waiting.delete(call.requestId)
    return true
  }
  async function deliverAll() {
    await Promise.resolve()
    for (;;) {
      look()
      const next = calls.find(({ refusal }) => refusal === undefined)
      if (next === undefined) break
      underWay = next.requestId
      const goesOn = !parts.lost() && mayGo(next) && (await deliver(next))
      underWay = undefined
      if (goesOn) continue
      letGo()
      break
    }
    if (!parts.lost()) settleGone()
    // In the same step as the last look: what is made after it begins anew.
    flushing = undefined
  }
  const { alone = (act: () => Promise<void>) => act() } = parts
  const flush = () => (flushing ??= parts.lost() ? deliverAll() : alone(deliverAll))

  function made(request: Unsent, sentence: string): KeptCall {
    const requestId = newRequestId()
    const { atMs } = request
    if (atMs !== undefined) return { requestId, request: { ...request, atMs }, sentence, tried: false }
    return timed({ requestId, request: { ...request, atMs: 0 }, sentence, tried: false, madeAtMs: parts.nowMs() })
  }

  parts.onChange(calls)
  return {
    flush,
    letGo,
    look,
    record: (request, sentence) => {
      if (!KEPT_KINDS.has(request.kind)) return parts.send(request, newRequestId())
      look()
      const call = made(request, sentence)
      parts.shelf.put(call)
      change([...calls, call])
      let settle: (end: End) => void = () => undefined
      const end = new Promise<End>((settled) => (settle = settled))
      ends.set(call.requestId, { end, settle, looks: 0 })
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
      look()
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

/** What was recorded comes by the stream. */
const RECORDED_BEFORE: RecordedAnswer = { from: 0, to: 0, facts: [], repeated: true }
const NEVER = new Promise<End>(() => undefined)

const isPassing = (problem: unknown): boolean =>
  problem instanceof Refusal && (problem.code === undefined || PASSING.has(problem.code))
