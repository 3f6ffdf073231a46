/**
 * Plays the crews of the demonstration over the public API: reads the event's log, says what is due, and takes its
 * answers into the same fold as every board. Begun again it goes on from the log.
 */
import { randomUUID } from 'node:crypto'
import { setTimeout as pause } from 'node:timers/promises'
import type { LogAnswer, Membership, RecordedAnswer } from '../../shared/contracts/answers.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { eventTime } from '../../shared/live/clock.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../../shared/live/state.ts'
import { MS_PER_MIN } from '../../shared/units.ts'
import { saidNext, type Said } from './script.ts'

/** From the opening on: what has happened by the time people look, and an hour more. */
const PLAYED_MIN = 95
/** How often it looks, real time. */
const LOOK_EVERY_MS = 2_000
/** How finely it goes through what has happened before it began, event time. */
const CATCH_UP_STEP_MS = 5_000
/** What was refused is not said again for so long: somebody else may be running the event. */
const SAY_AGAIN_MS = 60_000

export interface Played {
  /** Origin of the service. */
  address: string
  /** Of a link that may write for every ship: coordinator or commander. */
  secret: string
  signal: AbortSignal
}

/** Why the play ended. */
export type Ending = 'stopped' | 'played out' | 'event closed' | 'not open'

/**
 * Plays until the hour is over, the event closes, or the signal comes.
 * @throws Error when the link does not open an event or the service cannot be reached
 */
export async function play(played: Played): Promise<Ending> {
  const { signal } = played
  const call = caller(played)
  const { eventId } = await call<Membership>('POST', pathOf('signIn'), { secret: played.secret })
  if (eventId === null) throw new Error('This link opens no event.')
  let state = await readOn(call, emptyState(eventId))
  if (!state.opened) return 'not open'
  const opensAtMs = state.plan?.opensAtMs ?? 0
  const untilMs = opensAtMs + PLAYED_MIN * MS_PER_MIN
  const refusedAtMs = new Map<string, number>()
  let atMs = Math.max(opensAtMs, lastObservedMs(state))
  while (!signal.aborted) {
    const nowMs = Math.round(eventTime(state.clock, Date.now()))
    if (nowMs - atMs > CATCH_UP_STEP_MS) atMs += CATCH_UP_STEP_MS
    else {
      await pause(LOOK_EVERY_MS, undefined, { signal }).catch(() => undefined)
      state = await readOn(call, state)
      atMs = Math.round(eventTime(state.clock, Date.now()))
    }
    if (state.closed) return 'event closed'
    if (atMs > untilMs) return 'played out'
    for (const said of saidNext(state, atMs)) {
      if (isStopped(signal)) return 'stopped'
      const key = JSON.stringify({ ...said, atMs: undefined, fuel: undefined, offLoad: undefined })
      if (atMs - (refusedAtMs.get(key) ?? -Infinity) < SAY_AGAIN_MS) continue
      const recorded = await say(call, eventId, said)
      if (!recorded) refusedAtMs.set(key, atMs)
      else if (recorded.from === state.seq + 1) state = recorded.facts.reduce(reduce, state)
      else state = await readOn(call, state)
    }
  }
  return 'stopped'
}

// The signal changes while others are awaited, which a plain look at its field would hide from the compiler.
const isStopped = (signal: AbortSignal): boolean => signal.aborted

function lastObservedMs(state: LiveState): number {
  const last = [...state.ships.values(), ...state.tankerCalls.values()].map((facts) => facts.at(-1)?.atMs ?? 0)
  return Math.max(0, ...last)
}

type Call = <Answer>(method: 'GET' | 'POST', path: string, body?: unknown) => Promise<Answer>

class Refused extends Error {
  readonly status: number
  constructor(status: number, text: string) {
    super(`${String(status)} ${text}`)
    this.status = status
  }
}

function caller({ address, secret }: Played): Call {
  return async <Answer>(method: 'GET' | 'POST', path: string, body?: unknown): Promise<Answer> => {
    const answer = await fetch(new URL(path, address), {
      method,
      headers: {
        authorization: `Bearer ${secret}`,
        ...(body === undefined ? {} : { 'content-type': 'application/json' })
      },
      ...(body === undefined ? {} : { body: JSON.stringify(body) })
    })
    if (!answer.ok) throw new Refused(answer.status, await answer.text())
    return (await answer.json()) as Answer
  }
}

/** The state with whatever was recorded since. */
async function readOn(call: Call, state: LiveState): Promise<LiveState> {
  const log = await call<LogAnswer>(
    'GET',
    `${pathOf('readLog', { eventId: state.eventId })}?after=${String(state.seq)}`
  )
  const next = log.facts.reduce(reduce, state)
  return log.more ? readOn(call, next) : next
}

/** Undefined when it was refused: the event has gone another way than the script. */
async function say(call: Call, eventId: string, said: Said): Promise<RecordedAnswer | undefined> {
  try {
    return await call<RecordedAnswer>('POST', pathOf('record', { eventId }), { ...said, requestId: randomUUID() })
  } catch (error) {
    if (error instanceof Refused && (error.status === 409 || error.status === 422)) return undefined
    throw error
  }
}
