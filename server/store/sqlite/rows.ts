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

/** Each text once, however often it is read: a row brings its own copy of every id. */
export class Texts {
  readonly #known = new Map<string, string>()

  one<T>(value: T): T {
    if (typeof value !== 'string') return value
    const known = this.#known.get(value)
    if (known === undefined) this.#known.set(value, value)
    return (known as T | undefined) ?? value
  }
}

/**
 * A fact of its row. A room keeps thousands for as long as somebody looks, so it is put together field by field: spread
 * together, with texts of its own, it takes three times the memory.
 */
export function factOf(row: typeof facts.$inferSelect, plans: ReadonlyMap<unknown, Plan>, texts: Texts): Fact {
  const { body, seq, v, atMs, recordedAtMs } = row
  const [eventId, kind, by, requestId] = [row.eventId, row.kind, row.by, row.requestId].map((text) => texts.one(text))
  const fact: Record<string, unknown> = { eventId, seq, v, kind, atMs, recordedAtMs, by, requestId }
  for (const [name, value] of Object.entries(body)) fact[name] = texts.one(value)
  if (kind === 'planAdopted') fact['plan'] = plans.get(body['revision'])
  // What the log holds was checked when it was recorded; its trigger lets nobody change it since.
  return fact as unknown as Fact
}
