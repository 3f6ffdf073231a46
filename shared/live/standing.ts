/** What the calls say of one ship, apart from fuel: joined, contacts, pushed, left, landed. */
import type { Externals, MassUnit, VolumeUnit } from '../contracts/kinds.ts'
import type { Reported } from '../units.ts'
import type { ShipRecord } from './state.ts'

/** Flow is assumed this long after a contact when nobody calls it. */
export const FLOW_ASSUMED_MS = 30_000

export interface Contact {
  slotId: string
  tankerId: string
  stationId: string
  contactAtMs: number
  /** When fuel flows: as called, else assumed FLOW_ASSUMED_MS after the contact. */
  flowAtMs: number
  flowCalled: boolean
  /** Undefined while the ship is in contact. */
  disconnectAtMs: number | undefined
  /** Called off-load; undefined where the computed one stands. */
  offLoad: Reported<MassUnit | VolumeUnit> | undefined
  partial: boolean
}

export interface Standing {
  joined: ReadonlyMap<string, number>
  pushed: ReadonlyMap<string, number>
  contacts: readonly Contact[]
  inContact: Contact | undefined
  left: { baseId: string; atMs: number } | undefined
  landed: { baseId: string; atMs: number } | undefined
  /** As last commanded; undefined until somebody says. */
  externals: Externals | undefined
  /** Groups thrown off, each with when. */
  jettisoned: readonly { groupId: string; atMs: number }[]
  /** When it said it will be ready, by visit; a visit that is as planned is not in it. */
  ready: ReadonlyMap<string, number>
  /** It does not come; a ship that has joined, made contact or called its fuel since does. */
  noShow: { atMs: number } | undefined
}

/** Of whole records: a request asks for it on every record it touches. */
const known = new WeakMap<ShipRecord, Standing>()

/** Folds a record up to an event time; a contact without a disconnect ends where the next one begins. */
export function standing(record: ShipRecord, nowMs = Infinity): Standing {
  const last = record.at(-1)
  if (last && last.atMs > nowMs) return fold(record, nowMs)
  const before = known.get(record)
  if (before) return before
  const its = fold(record, nowMs)
  known.set(record, its)
  return its
}

/**
 * A record that gained nothing but a fuel call stands as before it, but for one of a no-show: a long record is not folded
 * anew for each call.
 */
export function standsAs(record: ShipRecord, before: ShipRecord | undefined): void {
  const its = before && known.get(before)
  if (its && its.noShow === undefined) known.set(record, its)
}

function fold(record: ShipRecord, nowMs: number): Standing {
  const joined = new Map<string, number>()
  const pushed = new Map<string, number>()
  const contacts: Contact[] = []
  let open: Contact | undefined
  let left: Standing['left']
  let landed: Standing['landed']
  let externals: Externals | undefined
  const jettisoned: { groupId: string; atMs: number }[] = []
  const ready = new Map<string, number>()
  let noShow: Standing['noShow']
  const shut = (atMs: number): void => {
    if (open) open.disconnectAtMs = atMs
    open = undefined
  }
  for (const fact of record) {
    if (fact.atMs > nowMs) break
    switch (fact.kind) {
      case 'shipJoined':
        // The first sight of it counts; saying so again moves nothing.
        if (!joined.has(fact.visitId)) joined.set(fact.visitId, fact.atMs)
        noShow = undefined
        break
      case 'contactMade': {
        shut(fact.atMs)
        const { slotId, tankerId, stationId, atMs } = fact
        open = {
          slotId,
          tankerId,
          stationId,
          contactAtMs: atMs,
          flowAtMs: atMs + FLOW_ASSUMED_MS,
          flowCalled: false,
          disconnectAtMs: undefined,
          offLoad: undefined,
          partial: false
        }
        contacts.push(open)
        noShow = undefined
        break
      }
      case 'fuelFlowing':
        if (open?.slotId === fact.slotId && !open.flowCalled) {
          open.flowAtMs = fact.atMs
          open.flowCalled = true
        }
        break
      case 'disconnected':
        if (open?.slotId === fact.slotId) {
          open.offLoad = fact.offLoad
          open.partial = fact.how === 'partial'
          shut(fact.atMs)
        }
        break
      case 'pushed':
        pushed.set(fact.visitId, fact.atMs)
        shut(fact.atMs)
        break
      case 'shipLeft':
        left = { baseId: fact.baseId, atMs: fact.atMs }
        shut(fact.atMs)
        break
      case 'landed':
        landed = { baseId: fact.baseId, atMs: fact.atMs }
        shut(fact.atMs)
        break
      case 'externalsSet':
        externals = fact.externals
        break
      case 'jettisoned':
        for (const groupId of fact.groupIds) jettisoned.push({ groupId, atMs: fact.atMs })
        break
      case 'readySet':
        if (fact.readyAtMs === undefined) ready.delete(fact.visitId)
        else ready.set(fact.visitId, fact.readyAtMs)
        break
      case 'noShowSet':
        // Whoever has made contact came; it may only have left since.
        noShow = fact.noShow && contacts.length === 0 ? { atMs: fact.atMs } : undefined
        break
      case 'fuelCalled':
        // Whoever calls its fuel flies.
        noShow = undefined
        break
      case 'troubleSet':
        break
    }
  }
  return { joined, pushed, contacts, inContact: open, left, landed, externals, jettisoned, ready, noShow }
}

/** The first of these visits that the ship has not pushed from; undefined after the last. */
export function currentVisit<V extends { id: string }>(visits: readonly V[], its: Standing): V | undefined {
  return visits.find((visit) => !its.pushed.has(visit.id))
}
