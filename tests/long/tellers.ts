/*
 * Clients of one event: each makes calls in order, over a line that breaks, and asks for each until it is answered. Half
 * of them by the outbox of the pages, the others by hand: with doubles in one instant, repeats of what was answered, and
 * other bodies under an id that was used.
 */
import type { RecordedAnswer } from '../../shared/contracts/answers.ts'
import { OBSERVED_REQUESTS } from '../../shared/contracts/kinds.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'
import { Refusal } from '../../client/api.ts'
import { openOutbox } from '../../client/outbox.ts'
import { Line, type Answer } from '../bench/line.ts'
import { SHIPS } from '../server/plan.ts'
import type { Told } from './checker.ts'

export interface Way {
  port: () => number
  eventId: string
  secret: string
  chance: () => number
  /** Event time now, ms. */
  nowMs: () => number
  /** The last fact some board has seen. */
  seq: () => number
}

const OBSERVED: ReadonlySet<string> = new Set(OBSERVED_REQUESTS)
const PASSING = new Set([429, 503, 507])
const RETRY_MS = 15
/** Nobody types more while the line is down. */
const MOST_KEPT = 6
const pause = (ms: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms))

/** A call as somebody would make it next; some are refused. */
export function nextRequest(
  { chance, nowMs, seq }: Way,
  lastAtMs: number,
  own: readonly number[]
): Unsent & { atMs: number } {
  const ships = Object.values(SHIPS)
  const shipId = ships[Math.floor(chance() * ships.length)] ?? SHIPS.alder1
  // What is told now was seen a little ago, and nobody tells backwards.
  const atMs = Math.max(lastAtMs, Math.round(nowMs() - chance() * 5_000))
  const kg = (least: number, most: number) => ({
    value: Math.round(least + chance() * (most - least)),
    unit: 'kg' as const
  })
  const dice = chance()
  const of = (asked: unknown) => ({ ...(asked as Unsent), atMs })
  if (dice < 0.6) return of({ kind: 'callFuel', shipId, fuel: kg(1500, 5000), covers: 'total' })
  if (dice < 0.66) return of({ kind: 'callTankerFuel', tankerId: 'rasp', fuel: kg(40_000, 60_000) })
  if (dice < 0.7)
    return of({ kind: 'setStation', tankerId: 'rasp', stationId: 'left', status: chance() < 0.3 ? 'suspect' : 'good' })
  if (dice < 0.74) return of({ kind: 'setPin', slotId: 'slot-2', pinned: chance() < 0.5, serveAnyway: false })
  if (dice < 0.8) return of({ kind: 'makeContact', shipId })
  if (dice < 0.86) return of({ kind: 'disconnect', shipId, how: 'whole' })
  if (dice < 0.9) {
    const sequences = [
      { stationId: 'left', slots: [slot(1, SHIPS.alder1), slot(2, SHIPS.alder2)] },
      { stationId: 'right', slots: [slot(3, SHIPS.kelp1)] }
    ]
    return of({ kind: 'setOrder', orders: [{ tankerId: 'rasp', sequences }], basedOnSeq: seq() })
  }
  const withdrawn = own[Math.floor(chance() * own.length)]
  return withdrawn === undefined
    ? of({ kind: 'joinShip', shipId })
    : of({ kind: 'withdrawFact', withdrawnSeq: withdrawn })
}
const slot = (index: number, shipId: string) => ({
  id: `slot-${String(index)}`,
  shipId,
  visitId: `${shipId.split('-')[0] ?? ''}-visit`
})

/** One connection at a time, opened anew when it breaks. */
class Sender {
  #line: Line | undefined
  constructor(readonly way: Way) {}

  /** The answer, or undefined where none came. */
  async post(body: object): Promise<Answer | undefined> {
    const { port, eventId, secret } = this.way
    try {
      const line = (this.#line ??= await Line.to(port()))
      return await line.ask('POST', pathOf('record', { eventId }), JSON.stringify(body), {
        authorization: `Bearer ${secret}`
      })
    } catch {
      this.close()
      return undefined
    }
  }
  close(): void {
    this.#line?.close()
    this.#line = undefined
  }
}

export interface Counts {
  acknowledged: number
  /** Without an answer, and so asked again. */
  unanswered: number
  repeated: number
}

const note = (told: Told, answer: Answer, counts: Counts): boolean => {
  if (PASSING.has(answer.status)) return false
  const body = JSON.parse(answer.body) as RecordedAnswer & { code?: string }
  if (answer.status !== 200) told.refusals.push(body.code ?? '')
  else {
    if (told.answers.length === 0) counts.acknowledged += 1
    if (body.repeated) counts.repeated += 1
    told.answers.push(body)
  }
  return true
}

const ownFacts = (told: readonly Told[]): number[] =>
  told.slice(-10).flatMap(({ answers: [answer] }) => (answer && answer.from === answer.to ? [answer.from] : []))

/** Calls made by hand until it is over. */
export async function byHand(name: string, way: Way, counts: Counts, isOver: () => boolean): Promise<Told[]> {
  const told: Told[] = []
  const senders = [new Sender(way), new Sender(way)] as const
  const until = async (one: Told, body: object, sender: Sender): Promise<void> => {
    for (;;) {
      const answer = await sender.post(body)
      if (answer && note(one, answer, counts)) return
      counts.unanswered += 1
      await pause(RETRY_MS * way.chance())
    }
  }
  for (let n = 0; !isOver(); n += 1) {
    const request = nextRequest(way, told.at(-1)?.atMs ?? 0, ownFacts(told))
    const one: Told = {
      requestId: `${name}-${String(n).padStart(8, '0')}`,
      atMs: request.atMs,
      answers: [],
      refusals: []
    }
    const body = { ...request, requestId: one.requestId }
    told.push(one)
    if (way.chance() < 0.15) await Promise.all(senders.map((sender) => until(one, body, sender)))
    else await until(one, body, senders[0])
    if (way.chance() < 0.1) await until(one, body, senders[1])
    if (one.answers.length > 0 && way.chance() < 0.03) {
      const other = { ...body, kind: 'joinShip', shipId: SHIPS.kelp1 }
      const reused = await senders[0].post(other)
      if (reused && !PASSING.has(reused.status) && reused.status !== 409) one.refusals.push('another body was taken')
    }
  }
  for (const sender of senders) sender.close()
  return told
}

/** Calls made through the outbox of a page, as fast as a few hands type them; what is kept goes out before it ends. */
export async function byOutbox(name: string, way: Way, counts: Counts, isOver: () => boolean): Promise<Told[]> {
  const told = new Map<string, Told>()
  const sender = new Sender(way)
  const shelf = new Map<string, Parameters<Parameters<typeof openOutbox>[0]['shelf']['put']>[0]>()
  let kept = 0
  const outbox = openOutbox({
    shelf: {
      read: () => [...shelf.values()],
      put: (call) => shelf.set(call.requestId, call),
      drop: (requestId) => shelf.delete(requestId),
      hasHeld: () => false
    },
    send: async (request, requestId) => {
      const one = told.get(requestId)
      if (!one) throw new Error(`${requestId} was sent before it was kept`)
      const answer = await sender.post({ ...request, requestId })
      if (answer && note(one, answer, counts)) {
        const last = one.answers.at(-1)
        if (last && answer.status === 200) return last as RecordedAnswer
        throw new Refusal(JSON.parse(answer.body) as { code: 'internal' })
      }
      counts.unanswered += 1
      throw new Refusal(undefined)
    },
    nowMs: way.nowMs,
    skewMs: () => 0,
    eventMs: ({ atMs }) => atMs,
    lost: () => false,
    inWords: () => Promise.resolve(name),
    onChange: (calls) => {
      // In the order they were made, whatever order they are sent in.
      for (const { requestId, request } of calls) {
        if (!told.has(requestId)) told.set(requestId, { requestId, atMs: request.atMs, answers: [], refusals: [] })
      }
      kept = calls.filter(({ refusal }) => refusal === undefined).length
    }
  })
  let lastAtMs = 0
  while (!isOver()) {
    const request = nextRequest(way, lastAtMs, [])
    // What is not observed does not wait in line.
    if (!OBSERVED.has(request.kind)) continue
    lastAtMs = request.atMs
    const answered = outbox.record(request, '').catch(() => undefined)
    if (way.chance() < 0.7) await answered
    void outbox.flush()
    while (kept >= MOST_KEPT) await pause(RETRY_MS).then(outbox.flush)
  }
  while (kept > 0) {
    await outbox.flush()
    await pause(RETRY_MS)
  }
  sender.close()
  return [...told.values()]
}
