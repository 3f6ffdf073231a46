import type { Database } from 'better-sqlite3'
import { eq, sql } from 'drizzle-orm'
import type { BetterSQLite3Database } from 'drizzle-orm/better-sqlite3'
import type { Fact } from '../../../shared/contracts/facts.ts'
import type { Plan } from '../../../shared/contracts/plan.ts'
import type { Batch } from '../store.ts'
import { facts, requests } from './schema.ts'

/** One transaction for all batches, with statements prepared once: the busiest path of the service. */
export function appendTo(database: Database, tables: BetterSQLite3Database): (batches: readonly Batch[]) => void {
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
export function rowOf(fact: Fact) {
  const { eventId, seq, v, kind, atMs, recordedAtMs, by, requestId, ...body } = fact
  const kept = 'plan' in body ? { revision: body.revision } : body
  return { eventId, seq, v, kind, atMs, recordedAtMs, by, requestId, body: kept }
}

export function factOf({ body, ...envelope }: typeof facts.$inferSelect, plans: ReadonlyMap<unknown, Plan>): Fact {
  const plan = envelope.kind === 'planAdopted' ? { plan: plans.get(body['revision']) } : {}
  // What the log holds was checked when it was recorded; its trigger lets nobody change it since.
  return { ...envelope, ...body, ...plan } as unknown as Fact
}
