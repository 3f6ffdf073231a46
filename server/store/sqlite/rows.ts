import type { Database } from 'better-sqlite3'
import type { Fact } from '../../../shared/contracts/facts.ts'
import type { Plan } from '../../../shared/contracts/plan.ts'
import type { Batch } from '../store.ts'
import type { facts } from './schema.ts'

/*
 * As SQL, not by the query builder, which takes as long again as the database for each row: this is the busiest path of
 * the service. tests/store/contract.ts reads back through the builder what is written here.
 */
const LAST_SEQ = 'SELECT coalesce(max(seq), 0) FROM facts WHERE event_id = ?'
const FACT_COLUMNS = ['event_id', 'seq', 'v', 'kind', 'at_ms', 'recorded_at_ms', 'by_link', 'request_id', 'body']
const OUTCOME_COLUMNS = ['event_id', 'request_id', 'first_seq', 'last_seq', 'body_hash']
/** Rows that go by one statement where there are as many: to begin and end one takes as long as a row. */
const TOGETHER = 8

/** One transaction for all batches, with statements prepared once. */
export function appendTo(database: Database): (batches: readonly Batch[]) => void {
  const lastSeq = database.prepare<[string], number>(LAST_SEQ).pluck()
  const addFacts = adder(database, 'facts', FACT_COLUMNS)
  const addOutcomes = adder(database, 'requests', OUTCOME_COLUMNS)
  const transaction = database.transaction((batches: readonly Batch[]) => {
    const lasts = new Map<string, number>()
    const factValues: unknown[] = []
    const outcomeValues: unknown[] = []
    for (const { eventId, facts, outcome } of batches) {
      const { requestId, from, to, bodyHash } = outcome
      const last = lasts.get(eventId) ?? lastSeq.get(eventId) ?? 0
      if (from !== last + 1) {
        throw new Error(`a gap in the log of ${eventId}: ${String(from)} does not follow ${String(last)}`)
      }
      for (const fact of facts) {
        const { seq, v, kind, atMs, recordedAtMs, by, body } = rowOf(fact)
        factValues.push(fact.eventId, seq, v, kind, atMs, recordedAtMs, by, fact.requestId, JSON.stringify(body))
      }
      outcomeValues.push(eventId, requestId, from, to, bodyHash)
      lasts.set(eventId, to)
    }
    addFacts(factValues)
    addOutcomes(outcomeValues)
  })
  return (batches) => {
    transaction.immediate(batches)
  }
}

/** Adds rows to a table, whose values are given one row behind the other. */
function adder(database: Database, table: string, columns: readonly string[]): (values: readonly unknown[]) => void {
  const row = `(${columns.map(() => '?').join(', ')})`
  const statementOf = (rows: number) =>
    database.prepare(
      `INSERT INTO ${table} (${columns.join(', ')}) VALUES ${Array.from({ length: rows }, () => row).join(', ')}`
    )
  const [one, many] = [statementOf(1), statementOf(TOGETHER)]
  const step = TOGETHER * columns.length
  return (values) => {
    let at = 0
    for (; at + step <= values.length; at += step) many.run(values.slice(at, at + step))
    for (; at < values.length; at += columns.length) one.run(values.slice(at, at + columns.length))
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
