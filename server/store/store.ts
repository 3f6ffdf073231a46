import type { Fact } from '../../shared/contracts/facts.ts'
import type { EventId, LinkId, RequestId, ShipId } from '../../shared/contracts/ids.ts'
import type { Role } from '../../shared/contracts/kinds.ts'
import type { Plan } from '../../shared/contracts/plan.ts'
import type { Trouble } from '../../shared/contracts/stream.ts'

/*
 * The port to whatever keeps things. Every promise of a write settles only when the write is as safe as the
 * database can make it: after a power cut it is there whole, or not at all. tests/store/contract.ts holds for all.
 */

export interface Link {
  linkId: LinkId
  role: Role
  /** Null for the owner, who stands above the events. */
  eventId: EventId | null
  /** The one ship a crew link is bound to. */
  shipId: ShipId | null
  createdAtMs: number
  /** Real time from which it opens nothing; null: it holds until it is revoked. */
  expiresAtMs: number | null
  revokedAtMs: number | null
  /** To about a minute; null: never. */
  lastUsedAtMs: number | null
}

export interface NewLink extends Omit<Link, 'revokedAtMs' | 'lastUsedAtMs'> {
  secretHash: string
}

export interface Revision {
  eventId: EventId
  revision: number
  savedAtMs: number
  plan: Plan
}

export interface NewRevision {
  eventId: EventId
  plan: Plan
  savedAtMs: number
  savedBy: string
}

/** A revision without its document. */
export interface RevisionSummary {
  revision: number
  savedAtMs: number
  /** The link, and its role; null where no such link is kept here. */
  savedBy: string
  role: Role | null
  /** What the plan called the event. */
  name: string
}

export interface EventSummary {
  eventId: EventId
  name: string
  opensAtMs: number
  /** The newest. */
  revision: number
  publishedRevision: number | null
}

/** What a request recorded; to = from - 1 when it recorded nothing. */
export interface Outcome {
  requestId: RequestId
  from: number
  to: number
  bodyHash: string
}

/** One request's facts, to be kept whole or not at all. */
export interface Batch {
  eventId: EventId
  facts: readonly Fact[]
  outcome: Outcome
}

/** All there is of one event but its links, whose secrets are nobody's but their holders'. */
export interface WholeEvent {
  eventId: EventId
  /** From the first to the newest. */
  revisions: (Omit<Revision, 'eventId'> & { savedBy: string })[]
  facts: Fact[]
  outcomes: Outcome[]
}

/** Why nothing can be recorded just now. Full passes when there is room again; broken lasts until a new start. */
export type StoreTrouble = Trouble

/** The disk is full: nothing of the write was kept. */
export class StoreFull extends Error {}

/** The disk has failed: it is unknown whether the write was kept, and no other is tried. */
export class StoreBroken extends Error {
  /** False for a write that was refused without a try. */
  readonly isUnknown: boolean

  constructor(message: string, { isUnknown, cause }: { isUnknown: boolean; cause?: unknown }) {
    super(message, { cause })
    this.isUnknown = isUnknown
  }
}

/** At once where it is known; else when it has been looked up. */
export type Soon<T> = T | Promise<T>

export interface Store {
  readonly trouble: StoreTrouble | undefined
  /** Called at each change of `trouble`, before the write that met it rejects. */
  onTrouble(hear: (trouble: StoreTrouble | undefined) => void): void
  /** A new event with revision 1 of its plan. */
  createEvent(first: NewRevision): Promise<void>
  events(): Promise<EventSummary[]>
  event(eventId: EventId): Promise<EventSummary | undefined>
  /** One revision, the newest when none is named. */
  revision(eventId: EventId, revision?: number): Promise<Revision | undefined>
  /** All revisions of an event, newest first. */
  revisions(eventId: EventId): Promise<RevisionSummary[]>
  /** The number of the revision saved; undefined, with nothing saved, when `revisionSeen` is not the newest. */
  saveRevision(next: NewRevision & { revisionSeen: number }): Promise<number | undefined>
  /** The whole log with its plans attached, and what each request recorded, at one instant. */
  log(eventId: EventId): Promise<{ facts: Fact[]; outcomes: Outcome[] }>
  /** What a request recorded; undefined where none is known by that id. */
  outcome(eventId: EventId, requestId: RequestId): Promise<Outcome | undefined>
  /**
   * Keeps the batches in one step, all or none. Rejects when a batch does not follow on the last fact of its event
   * or its request is known already. Every write may reject with StoreFull or StoreBroken; after a rejection other
   * than StoreFull it is unknown whether it was kept.
   */
  append(batches: readonly Batch[]): Promise<void>
  /** Everything of an event at one instant; undefined when there is none. */
  wholeEvent(eventId: EventId): Promise<WholeEvent | undefined>
  /** Keeps an event that comes from elsewhere, all or nothing; rejects when there is one with this id. */
  keepEvent(whole: WholeEvent, atMs: number): Promise<void>
  /** Deletes an event whole, its links too. Whether there was one. */
  deleteEvent(eventId: EventId, atMs: number): Promise<boolean>
  /** Events in which nothing was saved or recorded since, and whose plan opens before it too. */
  untouchedBefore(atMs: number): Promise<EventId[]>
  addLink(link: NewLink): Promise<void>
  links(eventId: EventId): Promise<Link[]>
  /** A link by the hash of its secret, revoked or not; asked for by every request. */
  linkOf(secretHash: string): Soon<Link | undefined>
  /** Whether there was such a link of that event, not revoked before. */
  revokeLink(link: { eventId: EventId; linkId: LinkId; atMs: number }): Promise<boolean>
  /** Puts another secret in place of a link's. Whether there was such a link of that event, not revoked. */
  renewLink(link: Pick<NewLink, 'eventId' | 'linkId' | 'secretHash' | 'expiresAtMs'>): Promise<boolean>
  noteUses(uses: readonly { linkId: LinkId; atMs: number }[]): Promise<void>
  /** Whether nothing at all has been kept yet, links included. */
  isEmpty(): Promise<boolean>
  close(): Promise<void>
}
