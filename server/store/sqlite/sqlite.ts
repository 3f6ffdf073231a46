import type { Database } from 'better-sqlite3'
import { and, asc, desc, eq, isNull, sql } from 'drizzle-orm'
import { drizzle, type BetterSQLite3Database } from 'drizzle-orm/better-sqlite3'
import type { Fact } from '../../../shared/contracts/facts.ts'
import type { EventId, LinkId, RequestId } from '../../../shared/contracts/ids.ts'
import type {
  Batch,
  EventSummary,
  Link,
  NewLink,
  NewRevision,
  Outcome,
  Revision,
  RevisionSummary,
  Soon,
  Store,
  StoreTrouble,
  WholeEvent
} from '../store.ts'
import { Disk } from './disk.ts'
import { appendTo } from './rows.ts'
import { events, links, planRevisions } from './schema.ts'
import { LinkMemory } from './link-memory.ts'
import { deleteWhole, keepWhole, logOf, outcomeOf, untouchedBefore, wholeOf } from './whole.ts'

const linkColumns = {
  linkId: links.linkId,
  role: links.role,
  eventId: links.eventId,
  shipId: links.shipId,
  createdAtMs: links.createdAtMs,
  expiresAtMs: links.expiresAtMs,
  revokedAtMs: links.revokedAtMs,
  lastUsedAtMs: links.lastUsedAtMs
}

/** A transaction that reads before it writes must not find, when it writes, that another process was quicker. */
const IMMEDIATE = { behavior: 'immediate' } as const

export class SqliteStore implements Store {
  readonly #database: Database
  readonly #tables: BetterSQLite3Database
  readonly #disk: Disk
  readonly #append: (batches: readonly Batch[]) => void
  readonly #linkOf: ReturnType<typeof prepareLinkOf>
  readonly #linkMemory = new LinkMemory()

  constructor(database: Database) {
    this.#database = database
    this.#disk = new Disk(database)
    this.#tables = drizzle({ client: database })
    this.#append = appendTo(database)
    this.#linkOf = prepareLinkOf(this.#tables)
  }

  get trouble(): StoreTrouble | undefined {
    return this.#disk.trouble
  }

  onTrouble(hear: (trouble: StoreTrouble | undefined) => void): void {
    this.#disk.onTrouble(hear)
  }

  /** SQLite answers at once; the port promises. */
  #read<T>(give: () => T): Promise<T> {
    return answer(() => this.#disk.read(give))
  }

  #write<T>(act: () => T): Promise<T> {
    return answer(() => this.#disk.write(act))
  }

  #writeLarge<T>(act: () => T): Promise<T> {
    return answer(() => this.#disk.writeLarge(act))
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
    return this.#writeLarge(() => {
      this.#tables.transaction((tables) => {
        tables.insert(events).values({ eventId, createdAtMs: savedAtMs }).run()
        tables.insert(planRevisions).values({ eventId, revision: 1, document: plan, savedAtMs, savedBy }).run()
      })
    })
  }

  events(): Promise<EventSummary[]> {
    return this.#read(() => this.#summaries().all())
  }

  event(eventId: EventId): Promise<EventSummary | undefined> {
    return this.#read(() => this.#summaries(eventId).get())
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
        opensAtMs: sql<number>`json_extract(${planRevisions.document}, '$.opensAtMs')`,
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
    return this.#read(() => {
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

  revisions(eventId: EventId): Promise<RevisionSummary[]> {
    return this.#read(() =>
      this.#tables
        .select({
          revision: planRevisions.revision,
          savedAtMs: planRevisions.savedAtMs,
          savedBy: planRevisions.savedBy,
          role: links.role,
          name: sql<string>`json_extract(${planRevisions.document}, '$.name')`
        })
        .from(planRevisions)
        .leftJoin(links, sql`${links.linkId} = ${planRevisions.savedBy}`)
        .where(eq(planRevisions.eventId, eventId))
        .orderBy(desc(planRevisions.revision))
        .all()
    )
  }

  saveRevision(next: NewRevision & { revisionSeen: number }): Promise<number | undefined> {
    const { eventId, plan, savedAtMs, savedBy, revisionSeen } = next
    return this.#writeLarge(() =>
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
      }, IMMEDIATE)
    )
  }

  log(eventId: EventId): Promise<{ facts: Fact[]; outcomes: Outcome[] }> {
    return this.#read(() => this.#tables.transaction((tables) => logOf(tables, eventId)))
  }

  outcome(eventId: EventId, requestId: RequestId): Promise<Outcome | undefined> {
    return this.#read(() => outcomeOf(this.#tables, eventId, requestId))
  }

  wholeEvent(eventId: EventId): Promise<WholeEvent | undefined> {
    return this.#read(() => this.#tables.transaction((tables) => wholeOf(tables, eventId)))
  }

  keepEvent(whole: WholeEvent, atMs: number): Promise<void> {
    return this.#writeLarge(() => {
      this.#tables.transaction((tables) => {
        keepWhole(tables, whole, atMs)
      }, IMMEDIATE)
    })
  }

  deleteEvent(eventId: EventId, atMs: number): Promise<boolean> {
    return this.#writeLarge(() => {
      this.#linkMemory.forget()
      return this.#tables.transaction((tables) => deleteWhole(tables, eventId, atMs), IMMEDIATE)
    })
  }

  untouchedBefore(atMs: number): Promise<EventId[]> {
    return this.#read(() => untouchedBefore(this.#tables, atMs))
  }

  append(batches: readonly Batch[]): Promise<void> {
    if (batches.length === 0) return Promise.resolve()
    return answer(() => {
      this.#disk.append(() => {
        this.#append(batches)
      })
    })
  }

  addLink(link: NewLink): Promise<void> {
    return this.#write(() => {
      this.#linkMemory.forget()
      this.#tables.insert(links).values(link).run()
    })
  }

  links(eventId: EventId): Promise<Link[]> {
    return this.#read(() =>
      this.#tables
        .select(linkColumns)
        .from(links)
        .where(eq(links.eventId, eventId))
        .orderBy(asc(links.createdAtMs), asc(links.linkId))
        .all()
    )
  }

  linkOf(secretHash: string): Soon<Link | undefined> {
    // Not promised: each request asks, before its body is read and once more when it is there.
    return this.#disk.read(() => this.#linkMemory.of(secretHash, () => this.#linkOf.get({ secretHash })))
  }

  revokeLink({ eventId, linkId, atMs }: { eventId: EventId; linkId: LinkId; atMs: number }): Promise<boolean> {
    return this.#write(() => {
      this.#linkMemory.forget()
      const { changes } = this.#tables
        .update(links)
        .set({ revokedAtMs: atMs })
        .where(and(eq(links.eventId, eventId), eq(links.linkId, linkId), isNull(links.revokedAtMs)))
        .run()
      return changes > 0
    })
  }

  renewLink(link: Pick<NewLink, 'eventId' | 'linkId' | 'secretHash' | 'expiresAtMs'>): Promise<boolean> {
    const { eventId, linkId, ...anew } = link
    if (eventId === null) return Promise.resolve(false)
    return this.#write(() => {
      this.#linkMemory.forget()
      const { changes } = this.#tables
        .update(links)
        .set(anew)
        .where(and(eq(links.eventId, eventId), eq(links.linkId, linkId), isNull(links.revokedAtMs)))
        .run()
      return changes > 0
    })
  }

  noteUses(uses: readonly { linkId: LinkId; atMs: number }[]): Promise<void> {
    return this.#write(() => {
      this.#linkMemory.forget()
      this.#tables.transaction((tables) => {
        for (const { linkId, atMs } of uses) {
          tables.update(links).set({ lastUsedAtMs: atMs }).where(eq(links.linkId, linkId)).run()
        }
      }, IMMEDIATE)
    })
  }

  isEmpty(): Promise<boolean> {
    return this.#read(() => {
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

function answer<T>(give: () => T): Promise<T> {
  return new Promise((resolve) => {
    resolve(give())
  })
}
