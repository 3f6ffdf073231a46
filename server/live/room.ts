import { hash } from 'node:crypto'
import type { Fact, FactOf, NewFact } from '../../shared/contracts/facts.ts'
import type { EventId, LinkId, RequestId, ShipId } from '../../shared/contracts/ids.ts'
import { FACT_VERSION } from '../../shared/contracts/kinds.ts'
import type { Reading, ReadingOutcome, ReadingsBody } from '../../shared/contracts/readings.ts'
import type { AnyRequest } from '../../shared/contracts/requests.ts'
import { eventTime } from '../../shared/live/clock.ts'
import { decide, type Instant } from '../../shared/live/decide.ts'
import type { ProblemCode } from '../../shared/contracts/problem.ts'
import type { Who } from '../../shared/live/permissions.ts'
import { takeReadings, type Looked } from '../../shared/live/readings.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../../shared/live/state.ts'
import type { Clock } from '../clock.ts'
import { Problem } from '../problem.ts'
import { StoreBroken, StoreFull, type Outcome, type Store } from '../store/store.ts'
import type { Pool } from '../work/pool.ts'
import { EventSearch } from '../work/search.ts'
import type { Journal } from './journal.ts'
import { Bodies } from './bodies.ts'
import { Lines } from './lines.ts'
import { endOfPage } from './page.ts'
import { Stream } from './stream.ts'

/** What a request came to: the facts from..to, to = from - 1 when there were none. */
interface Answer {
  from: number
  to: number
  repeated: boolean
}

/** The same with the facts as a JSON list. */
interface Told extends Answer {
  facts: string
}

/** What was decided and is not safe yet. */
interface Pending extends Outcome {
  committing: Promise<Told>
}

interface RoomParts {
  store: Pick<Store, 'trouble' | 'outcome'>
  journal: Journal
  clock: Clock
  version: string
  pool: Pool
  /** The room's memory can no longer be trusted: forget it. */
  onLost(): void
}

/**
 * One event as it runs: the only place where its facts are decided. Requests are decided on the pending state at
 * once; answers, reads and frames know only what is committed.
 */
export class Room {
  readonly eventId: EventId
  readonly stream: Stream
  readonly bodies = new Bodies()
  readonly search: EventSearch
  readonly #parts: RoomParts
  /** Requests whose outcome is safe: the store tells it to the few who ask again. */
  readonly #kept = new Set<string>()
  readonly #waiting = new Map<string, Pending>()
  /** By feed, so that none can make the readings of another look old. */
  readonly #looked = new Map<string, Looked>()
  /** The committed facts as JSON. */
  readonly #lines = new Lines()
  #committed: LiveState
  #pending: LiveState
  #lost = false

  constructor(eventId: EventId, log: { facts: readonly Fact[]; outcomes: readonly Outcome[] }, parts: RoomParts) {
    this.eventId = eventId
    this.#parts = parts
    this.#committed = log.facts.reduce(reduce, emptyState(eventId))
    this.#pending = this.#committed
    for (const fact of log.facts) this.#lines.push(JSON.stringify(fact))
    for (const { requestId } of log.outcomes) this.#kept.add(requestId)
    const { version, clock, store } = parts
    this.stream = new Stream(this, {
      ...{ eventId, version, clock, trouble: () => store.trouble ?? null },
      eventClock: () => this.#committed.clock
    })
    this.search = new EventSearch(this, {
      pool: parts.pool,
      clock: parts.clock,
      show: (view) => {
        this.stream.show(view)
      }
    })
  }

  /** The state of what is committed. */
  get state(): LiveState {
    return this.#committed
  }

  /** The last committed fact. */
  get seq(): number {
    return this.#lines.count
  }

  /** Whether somebody looks, waits or searches in it. */
  get isBusy(): boolean {
    return this.stream.size > 0 || this.#pending !== this.#committed || this.search.isRunning
  }

  /** Event time now. */
  get eventMs(): number {
    return eventTime(this.#committed.clock, this.#parts.clock.nowMs())
  }

  endOfPage(from: number): number {
    return endOfPage(this.#lines, from)
  }

  /** A page of the log after a sequence number, as JSON, and whether there is more. */
  logAfter(after: number): Buffer {
    const from = Math.min(after, this.seq) + 1
    const to = this.endOfPage(from)
    const told = `"from":${String(from)},"to":${String(to)},"more":${String(to < this.seq)}`
    return this.factsWithin({ from, to }, `{"eventId":"${this.eventId}",${told},"facts":[`, ']}')
  }

  /** Committed facts as a JSON list, both ends included. */
  facts(span: { from: number; to: number }): string {
    return `[${this.#lines.text(span)}]`
  }

  /** The same without the brackets, as bytes, between two texts. */
  factsWithin(span: { from: number; to: number }, before: string, after: string): Buffer {
    return this.#lines.within(span, before, after)
  }

  /**
   * Decides, and gives the answer as JSON when the outcome is safe.
   * @throws Problem with the reason of a refusal; `outcome-unknown` when the commit failed
   */
  async ask(request: AnyRequest, who: Who): Promise<string> {
    const { requestId } = request
    const asked = request.kind === 'adoptPlan' ? { ...request, plan: undefined } : request
    const bodyHash = hashOf(asked, who)
    const told =
      this.#before(requestId, bodyHash) ??
      this.#record(requestId, bodyHash, this.#signed(this.#decide(request, who), requestId, who))
    const { from, to, facts, repeated } = await told
    return `{"from":${String(from)},"to":${String(to)},"facts":${facts},"repeated":${String(repeated)}}`
  }

  /**
   * Records those of a batch of readings that tell something; settles when they are safe. A batch of which nothing was
   * recorded leaves no trace: sent again, it is looked at anew.
   * @throws Problem as `ask`
   */
  async take({ requestId, readings }: ReadingsBody, who: Who): Promise<Answer & { readings: ReadingOutcome[] }> {
    const bodyHash = hashOf(readings, who)
    const before = this.#before(requestId, bodyHash)
    if (before !== undefined) return this.#again(await before, readings)
    const taken = takeReadings(this.#pending, readings, this.#instant(), this.#lookedOf(who.linkId))
    if ('refusal' in taken) throw new Problem(taken.refusal.code, { detail: taken.refusal.detail, requestId })
    const { seq } = this.#pending
    const outcomes = taken.outcomes.map((one): ReadingOutcome =>
      'factIndex' in one ? { outcome: 'recorded', seq: seq + 1 + one.factIndex } : one
    )
    if (taken.facts.length === 0) return { from: seq + 1, to: seq, repeated: false, readings: outcomes }
    const { from, to } = await this.#record(requestId, bodyHash, this.#signed(taken.facts, requestId, who))
    return { from, to, repeated: false, readings: outcomes }
  }

  /** True of a request that was recorded before, or is being. */
  knows(requestId: string): boolean {
    return this.#kept.has(requestId) || this.#waiting.has(requestId)
  }

  #lookedOf(linkId: string): Looked {
    const looked = this.#looked.get(linkId) ?? new Map<ShipId, number>()
    this.#looked.set(linkId, looked)
    return looked
  }

  /** What a batch came to that was answered before: what was recorded of it is in the log. */
  #again({ facts: text, ...answer }: Told, sent: readonly Reading[]): Answer & { readings: ReadingOutcome[] } {
    const facts = JSON.parse(text) as FactOf<'fuelCalled'>[]
    const readings = sent.map(({ shipId, atMs }): ReadingOutcome => {
      const index = facts.findIndex((fact) => fact.shipId === shipId && fact.atMs === (atMs ?? fact.atMs))
      const [fact] = index < 0 ? [] : facts.splice(index, 1)
      return fact ? { outcome: 'recorded', seq: fact.seq } : { outcome: 'dropped', why: 'answered before' }
    })
    return { ...answer, readings }
  }

  /**
   * What comes of a request that was made before; undefined for a new one. Told in the same step, so that of two equal
   * requests in one turn the second finds the first.
   */
  #before(requestId: string, bodyHash: string): Promise<Told> | undefined {
    if (this.#lost) throw new Problem('outcome-unknown', { requestId })
    return this.knows(requestId) ? this.#repeated(requestId, bodyHash) : undefined
  }

  async #repeated(requestId: string, bodyHash: string): Promise<Told> {
    const waiting = this.#waiting.get(requestId)
    const known = waiting ?? (await this.#parts.store.outcome(this.eventId, requestId as RequestId))
    if (known === undefined) throw new Problem('outcome-unknown', { requestId })
    if (known.bodyHash !== bodyHash) throw new Problem('request-id-reused', { requestId })
    await waiting?.committing
    const { from, to } = known
    return { from, to, facts: this.facts({ from, to }), repeated: true }
  }

  #record(requestId: string, bodyHash: string, facts: Fact[]): Promise<Told> {
    const from = this.#pending.seq + 1
    const to = this.#pending.seq + facts.length
    // Put into text once: for the answer, frames and pages of the log.
    const lines = facts.map((fact) => JSON.stringify(fact))
    const pending = facts.reduce(reduce, this.#pending)
    this.#pending = pending
    const outcome = { requestId: requestId as RequestId, from, to, bodyHash }
    const committing = new Promise<Told>((resolve, reject) => {
      this.#parts.journal.append({
        batch: { eventId: this.eventId, facts, outcome },
        kept: () => {
          this.#waiting.delete(requestId)
          this.#kept.add(requestId)
          this.#committed = pending
          for (const line of lines) this.#lines.push(line)
          resolve({ from, to, facts: `[${lines.join(',')}]`, repeated: false })
          this.stream.wake()
        },
        lost: (error, tried) => {
          reject(new Problem(this.#undo(requestId, error, tried), { requestId }))
        }
      })
    })
    // Field by field: one set after a spread takes many times as long.
    this.#waiting.set(requestId, { requestId: outcome.requestId, from, to, bodyHash, committing })
    return committing
  }

  #instant(): Instant {
    const realMs = this.#parts.clock.nowMs()
    return { realMs, eventMs: Math.round(eventTime(this.#pending.clock, realMs)) }
  }

  #decide(request: AnyRequest, who: Who): NewFact[] {
    const decided = decide(this.#pending, request, who, this.#instant())
    if ('facts' in decided) return decided.facts
    const { code, detail, errors } = decided.refusal
    throw new Problem(code, { detail, requestId: request.requestId, ...(errors === undefined ? {} : { errors }) })
  }

  /** The facts as the log has them. */
  #signed(facts: readonly NewFact[], requestId: string, who: Who): Fact[] {
    // What is the same for all goes first: fields set after a spread take thirty times as long.
    return facts.map((fact, index) => ({
      eventId: this.eventId,
      seq: this.#pending.seq + index + 1,
      v: FACT_VERSION,
      recordedAtMs: this.#parts.clock.nowMs(),
      by: who.linkId as LinkId,
      requestId: requestId as RequestId,
      ...fact
    }))
  }

  /** What was decided and is not safe: forgotten where nothing of it was kept, with the whole room where that is unknown. */
  #undo(requestId: string, error: unknown, tried: boolean): ProblemCode {
    const isFull = error instanceof StoreFull
    const isBroken = error instanceof StoreBroken
    if (!isFull && !isBroken) {
      this.#lose()
      return 'outcome-unknown'
    }
    // Whatever else was pending is undone in the same turn: all of it stood behind the write that failed.
    this.#pending = this.#committed
    this.#waiting.delete(requestId)
    if (isFull) return 'store-full'
    return tried && error.isUnknown ? 'outcome-unknown' : 'store-broken'
  }

  /** Call once a second. */
  tick(): void {
    this.stream.tick()
    this.bodies.tick()
  }

  #lose(): void {
    if (this.#lost) return
    this.#lost = true
    this.#parts.onLost()
    void this.search.stop()
    this.stream.end('outcome-unknown')
  }
}

/** The fold of a log that is in the store. */
export async function openRoom(eventId: EventId, parts: RoomParts & { store: Store }): Promise<Room> {
  return new Room(eventId, await parts.store.log(eventId), parts)
}

/**
 * What tells a repeat from another request under the same id. A schema has put the fields into its own order, so
 * equal bodies give equal text. A plan is named by its revision, which never changes.
 */
function hashOf(asked: unknown, who: Who): string {
  return hash('sha256', JSON.stringify([who.linkId, asked]), 'base64url')
}
