import type { EventId } from '../../shared/contracts/ids.ts'
import type { SearchView } from '../../shared/contracts/search.ts'
import type { Clock } from '../clock.ts'
import { mintSearchId } from '../auth/secret.ts'
import type { Told, Wanted } from './messages.ts'
import type { Job, Pool } from './pool.ts'

/** Between two better orders on the boards, ms. */
const SHOW_EVERY_MS = 250

/** What is needed of a room. */
interface Log {
  readonly eventId: EventId
  readonly seq: number
  readonly eventMs: number
  facts(span: { from: number; to: number }): string
}

interface SearchParts {
  pool: Pool
  clock: Clock
  /** Takes the view as JSON to every board. */
  show(view: string): void
}

/** Everything of a view but what travels as JSON. */
type Head = Omit<SearchView, 'proposal' | 'proof' | 'judgedAtSeq'>

interface Search {
  head: Head
  told: Told | undefined
  /** As JSON. */
  proof: string
  job: Job
  over: Promise<void>
}

/** The search of one event: the last one asked for, as it stands. A new one ends the one before. */
export class EventSearch {
  readonly #log: Log
  readonly #parts: SearchParts
  #search: Search | undefined
  #window: NodeJS.Timeout | undefined
  #waiting = false

  constructor(log: Log, parts: SearchParts) {
    this.#log = log
    this.#parts = parts
  }

  /** The view as JSON; undefined when nobody has asked for a search. */
  get view(): string | undefined {
    if (!this.#search) return undefined
    const { head, told, proof } = this.#search
    const rest = `"proposal":${told?.proposal ?? 'null'},"judgedAtSeq":${String(told?.seq ?? head.basedOnSeq)},"proof":${proof}`
    return `${JSON.stringify(head).slice(0, -1)},${rest}}`
  }

  get isRunning(): boolean {
    const status = this.#search?.head.status
    return status === 'queued' || status === 'running'
  }

  /** Asks for a search, and gives its view. */
  start(by: string, wanted: Wanted): string {
    const { pool, clock } = this.#parts
    const log = this.#log
    if (this.#search) pool.stop(this.#search.job)
    let over: () => void = () => undefined
    const search: Search = {
      head: {
        searchId: mintSearchId(),
        by,
        kind: wanted.kind,
        startedAtMs: clock.nowMs(),
        basedOnSeq: log.seq,
        status: 'queued'
      },
      told: undefined,
      proof: 'null',
      over: new Promise((resolve) => (over = resolve)),
      job: {
        eventId: log.eventId,
        wanted,
        log: (after) => {
          const { seq, eventMs } = log
          return { facts: log.facts({ from: after + 1, to: seq }), seq, atMs: Math.round(eventMs) }
        },
        begun: (seq) => {
          Object.assign(search.head, { status: 'running', basedOnSeq: seq })
          this.#tell(search, true)
        },
        better: (told) => {
          search.told = told
          this.#tell(search, false)
        },
        ended: (end) => {
          search.head.status = end.status
          if (end.why) search.head.why = end.why
          search.proof = end.proof ?? search.proof
          search.told = end.told ?? search.told
          over()
          this.#tell(search, true)
        }
      }
    }
    this.#search = search
    pool.add(search.job)
    if (search.head.status === 'queued') this.#tell(search, true)
    return this.view ?? ''
  }

  /** Ends the search; settles when it has ended. */
  async stop(): Promise<void> {
    if (!this.#search) return
    const { job, over } = this.#search
    this.#parts.pool.stop(job)
    await over
  }

  /** The page need not hear of every better order, but of the last. */
  #tell(search: Search, atOnce: boolean): void {
    if (search !== this.#search) return
    if (this.#window !== undefined && !atOnce) {
      this.#waiting = true
      return
    }
    clearTimeout(this.#window)
    this.#waiting = false
    this.#window = setTimeout(() => {
      this.#window = undefined
      if (this.#waiting && this.#search) this.#tell(this.#search, false)
    }, SHOW_EVERY_MS).unref()
    this.#parts.show(this.view ?? '')
  }
}
