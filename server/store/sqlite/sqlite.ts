import Database from 'better-sqlite3'
import { and, asc, desc, eq, isNull, sql } from 'drizzle-orm'
import { drizzle, type BetterSQLite3Database } from 'drizzle-orm/better-sqlite3'
import { chmodSync, mkdirSync } from 'node:fs'
import { dirname } from 'node:path'
import type { Fact } from '../../../shared/contracts/facts.ts'
import type { EventId, LinkId } from '../../../shared/contracts/ids.ts'
import type { Plan } from '../../../shared/contracts/plan.ts'
import {
  StoreFull,
  type Batch,
  type EventSummary,
  type Link,
  type NewLink,
  type NewRevision,
  type Outcome,
  type Revision,
  type Store
} from '../store.ts'
import { migrate } from './migrations.ts'
import { events, facts, links, planRevisions, requests } from './schema.ts'

/** Waited for a lock that another process (a backup) holds. */
const BUSY_MS = 5_000
const SYNCHRONOUS_FULL = 2

const linkColumns = {
  linkId: links.linkId,
  role: links.role,
  eventId: links.eventId,
  shipId: links.shipId,
  createdAtMs: links.createdAtMs,
  revokedAtMs: links.revokedAtMs
}

/**
 * A store in one SQLite file, made when it is not there.
 * @throws Error when the file cannot be used, or was made by a newer version
 */
export function openSqlite(file: string): SqliteStore {
  mkdirSync(dirname(file), { recursive: true, mode: 0o700 })
  const database = new Database(file)
  try {
    // Hashes of secrets and everybody's plans: for the service alone.
    chmodSync(file, 0o600)
    prepare(database)
    migrate(database)
    return new SqliteStore(database)
  } catch (error) {
    database.close()
    throw error
  }
}

/** The driver is built with NORMAL in WAL mode, which loses acknowledged rows in a power cut: FULL is set and asserted. */
function prepare(database: Database.Database): void {
  database.pragma('journal_mode = WAL')
  database.pragma('synchronous = FULL')
  database.pragma('foreign_keys = ON')
  database.pragma(`busy_timeout = ${String(BUSY_MS)}`)
  const mode = database.pragma('journal_mode', { simple: true })
  const synchronous = database.pragma('synchronous', { simple: true })
  if (mode !== 'wal' || synchronous !== SYNCHRONOUS_FULL) {
    throw new Error(
      `the database would not be durable: journal_mode ${String(mode)}, synchronous ${String(synchronous)}`
    )
  }
}

export class SqliteStore implements Store {
  readonly #database: Database.Database
  readonly #tables: BetterSQLite3Database
  readonly #append: (batches: readonly Batch[]) => void
  readonly #linkOf: ReturnType<typeof prepareLinkOf>

  constructor(database: Database.Database) {
    this.#database = database
    this.#tables = drizzle({ client: database })
    this.#append = appendTo(database, this.#tables)
    this.#linkOf = prepareLinkOf(this.#tables)
  }

  /** How safe a commit is, as the connection itself tells it. */
  get durability() {
    const value = (name: string) => this.#database.pragma(name, { simple: true })
    return {
      journalMode: value('journal_mode'),
      synchronous: value('synchronous'),
      foreignKeys: value('foreign_keys')
    }
  }

  createEvent({ eventId, plan, savedAtMs, savedBy }: NewRevision): Promise<void> {
    return answer(() => {
      this.#tables.transaction((tables) => {
        tables.insert(events).values({ eventId, createdAtMs: savedAtMs }).run()
        tables.insert(planRevisions).values({ eventId, revision: 1, document: plan, savedAtMs, savedBy }).run()
      })
    })
  }

  events(): Promise<EventSummary[]> {
    return answer(() => this.#summaries().all())
  }

  event(eventId: EventId): Promise<EventSummary | undefined> {
    return answer(() => this.#summaries(eventId).get())
  }

  #summaries(eventId?: EventId) {
    // Tables are named outright: a column of a selected expression comes without its table, and the subquery would
    // then compare a fact's event with itself.
    const published = sql<number | null>`(
      SELECT json_extract(fact.body, '$.revision') FROM facts fact
      WHERE fact.event_id = plan_revisions.event_id AND fact.kind = 'planAdopted'
      ORDER BY fact.seq DESC LIMIT 1)`
    const newest = sql`(
      SELECT max(newest.revision) FROM plan_revisions newest WHERE newest.event_id = ${planRevisions.eventId})`
    return this.#tables
      .select({
        eventId: planRevisions.eventId,
        name: sql<string>`json_extract(${planRevisions.document}, '$.name')`,
        revision: planRevisions.revision,
        publishedRevision: published
      })
      .from(planRevisions)
      .where(
        and(eq(planRevisions.revision, newest), eventId === undefined ? undefined : eq(planRevisions.eventId, eventId))
      )
      .orderBy(desc(planRevisions.savedAtMs), asc(planRevisions.eventId))
  }

  revision(eventId: EventId, revision?: number): Promise<Revision | undefined> {
    return answer(() => {
      const found = this.#tables
        .select()
        .from(planRevisions)
        .where(
          and(
            eq(planRevisions.eventId, eventId),
            revision === undefined ? undefined : eq(planRevisions.revision, revision)
          )
        )
        .orderBy(desc(planRevisions.revision))
        .limit(1)
        .get()
      if (found === undefined) return undefined
      return { eventId, revision: found.revision, savedAtMs: found.savedAtMs, plan: found.document }
    })
  }

  saveRevision(next: NewRevision & { revisionSeen: number }): Promise<number | undefined> {
    const { eventId, plan, savedAtMs, savedBy, revisionSeen } = next
    return answer(() =>
      this.#tables.transaction((tables) => {
        const newest = tables
          .select({ revision: sql<number | null>`max(${planRevisions.revision})` })
          .from(planRevisions)
          .where(eq(planRevisions.eventId, eventId))
          .get()?.revision
        if (newest !== revisionSeen) return undefined
        const revision = newest + 1
        tables.insert(planRevisions).values({ eventId, revision, document: plan, savedAtMs, savedBy }).run()
        return revision
      })
    )
  }

  log(eventId: EventId): Promise<{ facts: Fact[]; outcomes: Outcome[] }> {
    return answer(() =>
      this.#tables.transaction((tables) => {
        const rows = tables.select().from(facts).where(eq(facts.eventId, eventId)).orderBy(asc(facts.seq)).all()
        const plans = new Map<unknown, Plan>()
        for (const { kind, body } of rows) {
          if (kind !== 'planAdopted' || plans.has(body['revision'])) continue
          const adopted = tables
            .select({ document: planRevisions.document })
            .from(planRevisions)
            .where(and(eq(planRevisions.eventId, eventId), eq(planRevisions.revision, Number(body['revision']))))
            .get()
          if (adopted === undefined) throw new Error(`no revision ${String(body['revision'])} of ${eventId}`)
          plans.set(body['revision'], adopted.document)
        }
        const outcomes = tables
          .select({ requestId: requests.requestId, from: requests.from, to: requests.to, bodyHash: requests.bodyHash })
          .from(requests)
          .where(eq(requests.eventId, eventId))
          .all()
        return { facts: rows.map((row) => factOf(row, plans)), outcomes }
      })
    )
  }

  append(batches: readonly Batch[]): Promise<void> {
    return answer(() => {
      try {
        this.#append(batches)
      } catch (error) {
        if (codeOf(error) === 'SQLITE_FULL') throw new StoreFull('the disk is full', { cause: error })
        throw error
      }
    })
  }

  addLink(link: NewLink): Promise<void> {
    return answer(() => {
      this.#tables.insert(links).values(link).run()
    })
  }

  links(eventId: EventId): Promise<Link[]> {
    return answer(() =>
      this.#tables
        .select(linkColumns)
        .from(links)
        .where(eq(links.eventId, eventId))
        .orderBy(asc(links.createdAtMs), asc(links.linkId))
        .all()
    )
  }

  linkOf(secretHash: string): Promise<Link | undefined> {
    return answer(() => this.#linkOf.get({ secretHash }))
  }

  revokeLink({ eventId, linkId, atMs }: { eventId: EventId; linkId: LinkId; atMs: number }): Promise<boolean> {
    return answer(() => {
      const { changes } = this.#tables
        .update(links)
        .set({ revokedAtMs: atMs })
        .where(and(eq(links.eventId, eventId), eq(links.linkId, linkId), isNull(links.revokedAtMs)))
        .run()
      return changes > 0
    })
  }

  isEmpty(): Promise<boolean> {
    return answer(() => {
      const found = this.#tables.get<{ n: number }>(sql`SELECT EXISTS (SELECT 1 FROM events)
        OR EXISTS (SELECT 1 FROM links) AS n`)
      return found.n === 0
    })
  }

  close(): Promise<void> {
    return answer(() => {
      this.#database.close()
    })
  }
}

/** Asked by every request. */
function prepareLinkOf(tables: BetterSQLite3Database) {
  return tables
    .select(linkColumns)
    .from(links)
    .where(eq(links.secretHash, sql.placeholder('secretHash')))
    .prepare()
}

/** One transaction for all batches, with statements prepared once: the busiest path of the service. */
function appendTo(database: Database.Database, tables: BetterSQLite3Database): (batches: readonly Batch[]) => void {
  const slot = sql.placeholder
  const lastSeq = tables
    .select({ seq: sql<number>`coalesce(max(${facts.seq}), 0)` })
    .from(facts)
    .where(eq(facts.eventId, slot('eventId')))
    .prepare()
  const addFact = tables
    .insert(facts)
    .values({
      eventId: slot('eventId'),
      seq: slot('seq'),
      v: slot('v'),
      kind: slot('kind'),
      atMs: slot('atMs'),
      recordedAtMs: slot('recordedAtMs'),
      by: slot('by'),
      requestId: slot('requestId'),
      body: slot('body')
    })
    .prepare()
  const addOutcome = tables
    .insert(requests)
    .values({
      eventId: slot('eventId'),
      requestId: slot('requestId'),
      from: slot('from'),
      to: slot('to'),
      bodyHash: slot('bodyHash')
    })
    .prepare()
  const transaction = database.transaction((batches: readonly Batch[]) => {
    for (const batch of batches) {
      const { eventId, outcome } = batch
      const last = lastSeq.get({ eventId })?.seq ?? 0
      if (outcome.from !== last + 1) {
        throw new Error(`a gap in the log of ${eventId}: ${String(outcome.from)} does not follow ${String(last)}`)
      }
      for (const fact of batch.facts) addFact.run(rowOf(fact))
      addOutcome.run({ eventId, ...outcome })
    }
  })
  return (batches) => {
    transaction.immediate(batches)
  }
}

/** The plan of an adoption stands in its revision already and is not kept twice. */
function rowOf(fact: Fact) {
  const { eventId, seq, v, kind, atMs, recordedAtMs, by, requestId, ...body } = fact
  const kept = 'plan' in body ? { revision: body.revision } : body
  return { eventId, seq, v, kind, atMs, recordedAtMs, by, requestId, body: kept }
}

function factOf({ body, ...envelope }: typeof facts.$inferSelect, plans: ReadonlyMap<unknown, Plan>): Fact {
  const plan = envelope.kind === 'planAdopted' ? { plan: plans.get(body['revision']) } : {}
  // What the log holds was checked when it was recorded; its trigger lets nobody change it since.
  return { ...envelope, ...body, ...plan } as unknown as Fact
}

function codeOf(error: unknown): unknown {
  if (typeof error !== 'object' || error === null) return undefined
  if ('code' in error) return error.code
  return 'cause' in error ? codeOf(error.cause) : undefined
}

/** SQLite answers at once; the port promises. */
function answer<T>(give: () => T): Promise<T> {
  return new Promise((resolve) => {
    resolve(give())
  })
}
