import { and, asc, eq, sql } from 'drizzle-orm'
import type { BetterSQLite3Database } from 'drizzle-orm/better-sqlite3'
import type { Fact } from '../../../shared/contracts/facts.ts'
import type { EventId, RequestId } from '../../../shared/contracts/ids.ts'
import type { Plan } from '../../../shared/contracts/plan.ts'
import type { Outcome, WholeEvent } from '../store.ts'
import { factOf, rowOf, Texts } from './rows.ts'
import { deletions, events, facts, planRevisions, requests } from './schema.ts'

/** What reads and writes an event as a whole; each is called inside a transaction, so that it is of one instant. */
type Tables = Pick<BetterSQLite3Database, 'select' | 'insert' | 'all'>

const outcomeColumns = {
  requestId: requests.requestId,
  from: requests.from,
  to: requests.to,
  bodyHash: requests.bodyHash
}

export function outcomeOf(tables: Tables, eventId: EventId, requestId: RequestId): Outcome | undefined {
  return tables
    .select(outcomeColumns)
    .from(requests)
    .where(and(eq(requests.eventId, eventId), eq(requests.requestId, requestId)))
    .get()
}

export function logOf(tables: Tables, eventId: EventId): { facts: Fact[]; outcomes: Outcome[] } {
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
  const outcomes = tables.select(outcomeColumns).from(requests).where(eq(requests.eventId, eventId)).all()
  const texts = new Texts()
  // Both know the request by the same text.
  for (const outcome of outcomes) outcome.requestId = texts.one(outcome.requestId)
  return { facts: rows.map((row) => factOf(row, plans, texts)), outcomes }
}

export function wholeOf(tables: Tables, eventId: EventId): WholeEvent | undefined {
  const revisions = tables
    .select({
      revision: planRevisions.revision,
      savedAtMs: planRevisions.savedAtMs,
      savedBy: planRevisions.savedBy,
      plan: planRevisions.document
    })
    .from(planRevisions)
    .where(eq(planRevisions.eventId, eventId))
    .orderBy(asc(planRevisions.revision))
    .all()
  return revisions.length === 0 ? undefined : { eventId, revisions, ...logOf(tables, eventId) }
}

export function keepWhole(tables: Tables, whole: WholeEvent, atMs: number): void {
  const { eventId } = whole
  tables.insert(events).values({ eventId, createdAtMs: atMs }).run()
  for (const { plan, ...revision } of whole.revisions) {
    tables
      .insert(planRevisions)
      .values({ eventId, document: plan, ...revision })
      .run()
  }
  for (const fact of whole.facts) tables.insert(facts).values(rowOf(fact)).run()
  for (const outcome of whole.outcomes)
    tables
      .insert(requests)
      .values({ eventId, ...outcome })
      .run()
}

/** A trigger takes the rest away: a deletion that is entered is a deletion that is whole. */
export function deleteWhole(tables: Tables, eventId: EventId, deletedAtMs: number): boolean {
  const here = tables.select().from(events).where(eq(events.eventId, eventId)).get()
  if (here === undefined) return false
  tables.insert(deletions).values({ eventId, deletedAtMs }).run()
  return true
}

export function untouchedBefore(tables: Tables, atMs: number): EventId[] {
  const rows = tables.all<{ eventId: EventId }>(sql`
    SELECT event_id AS eventId FROM events
    WHERE created_at_ms < ${atMs}
      AND NOT EXISTS (
        SELECT 1 FROM plan_revisions saved WHERE saved.event_id = events.event_id
          AND (saved.saved_at_ms >= ${atMs} OR json_extract(saved.document, '$.opensAtMs') >= ${atMs}))
      AND coalesce((
        SELECT recorded_at_ms FROM facts WHERE facts.event_id = events.event_id ORDER BY seq DESC LIMIT 1), 0) < ${atMs}
    ORDER BY event_id`)
  return rows.map(({ eventId }) => eventId)
}
