import { integer, primaryKey, sqliteTable, text } from 'drizzle-orm/sqlite-core'
import type { EventId, LinkId, RequestId, ShipId } from '../../../shared/contracts/ids.ts'
import { ROLES } from '../../../shared/contracts/kinds.ts'
import type { Plan } from '../../../shared/contracts/plan.ts'

/** The tables as migrations/sqlite makes them; a test compares the two. */
export const events = sqliteTable('events', {
  eventId: text('event_id').$type<EventId>().primaryKey(),
  createdAtMs: integer('created_at_ms').notNull()
})

export const planRevisions = sqliteTable(
  'plan_revisions',
  {
    eventId: text('event_id').$type<EventId>().notNull(),
    revision: integer('revision').notNull(),
    document: text('document', { mode: 'json' }).$type<Plan>().notNull(),
    savedAtMs: integer('saved_at_ms').notNull(),
    savedBy: text('saved_by').notNull()
  },
  (table) => [primaryKey({ columns: [table.eventId, table.revision] })]
)

export const facts = sqliteTable(
  'facts',
  {
    eventId: text('event_id').$type<EventId>().notNull(),
    seq: integer('seq').notNull(),
    v: integer('v').notNull(),
    kind: text('kind').notNull(),
    atMs: integer('at_ms').notNull(),
    recordedAtMs: integer('recorded_at_ms').notNull(),
    by: text('by_link').$type<LinkId>().notNull(),
    requestId: text('request_id').$type<RequestId>().notNull(),
    body: text('body', { mode: 'json' }).$type<Record<string, unknown>>().notNull()
  },
  (table) => [primaryKey({ columns: [table.eventId, table.seq] })]
)

export const requests = sqliteTable(
  'requests',
  {
    eventId: text('event_id').$type<EventId>().notNull(),
    requestId: text('request_id').$type<RequestId>().notNull(),
    from: integer('first_seq').notNull(),
    to: integer('last_seq').notNull(),
    bodyHash: text('body_hash').notNull()
  },
  (table) => [primaryKey({ columns: [table.eventId, table.requestId] })]
)

export const deletions = sqliteTable('deletions', {
  eventId: text('event_id').$type<EventId>().primaryKey(),
  deletedAtMs: integer('deleted_at_ms').notNull()
})

export const links = sqliteTable('links', {
  linkId: text('link_id').$type<LinkId>().primaryKey(),
  secretHash: text('secret_hash').notNull(),
  role: text('role', { enum: ROLES }).notNull(),
  eventId: text('event_id').$type<EventId>(),
  shipId: text('ship_id').$type<ShipId>(),
  createdAtMs: integer('created_at_ms').notNull(),
  expiresAtMs: integer('expires_at_ms'),
  revokedAtMs: integer('revoked_at_ms'),
  lastUsedAtMs: integer('last_used_at_ms')
})
