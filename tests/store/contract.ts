import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { anyFact, type Fact } from '../../shared/contracts/facts.ts'
import { eventId, linkId, requestId, shipId, type EventId } from '../../shared/contracts/ids.ts'
import type { Batch, NewLink, Store } from '../../server/store/store.ts'
import { OPENS_AT_MS, SHIPS, smallPlan } from '../server/plan.ts'

/** A store that can be closed and opened again on what it kept. */
export interface Place {
  open(): Promise<Store>
  remove(): Promise<void>
}

const SMALL = eventId.parse('e-small')
const OTHER = eventId.parse('e-other')
const by = linkId.parse('l-commander')

const saved = (event = SMALL, name = 'Small event') => ({
  eventId: event,
  plan: smallPlan({ name }),
  savedAtMs: OPENS_AT_MS,
  savedBy: by
})

const envelope = (seq: number, request: string, event = SMALL) => ({
  v: 1,
  eventId: event,
  seq,
  atMs: OPENS_AT_MS + seq,
  recordedAtMs: OPENS_AT_MS + seq + 7,
  by,
  requestId: request
})

const call = (seq: number, request: string, event = SMALL): Fact =>
  anyFact.parse({
    ...envelope(seq, request, event),
    kind: 'fuelCalled',
    shipId: SHIPS.alder1,
    fuel: { value: 3100.5, unit: 'kg' },
    covers: 'total'
  })

const adoption = (seq: number, revision: number): Fact =>
  anyFact.parse({
    ...envelope(seq, `adopt-${String(revision)}-of-plan`),
    kind: 'planAdopted',
    revision,
    plan: smallPlan({ name: `Revision ${String(revision)}` })
  })

function batch(
  facts: readonly Fact[],
  from = facts[0]?.seq ?? 1,
  request: string | undefined = facts[0]?.requestId
): Batch {
  return {
    eventId: facts[0]?.eventId ?? SMALL,
    facts,
    outcome: {
      requestId: requestId.parse(request),
      from,
      to: from + facts.length - 1,
      bodyHash: `hash of ${String(request)}`
    }
  }
}

const link = (name: string, extra: Partial<NewLink> = {}): NewLink => ({
  linkId: linkId.parse(`l-${name}`),
  role: 'viewer',
  eventId: SMALL,
  shipId: null,
  createdAtMs: OPENS_AT_MS,
  expiresAtMs: null,
  secretHash: `hash of ${name}`,
  ...extra
})

/** What every store keeps to, whatever database is behind it. */
export function storeContract(name: string, place: () => Promise<Place>): void {
  describe(`${name} keeps the contract of a store`, () => {
    let where: Place
    let store: Store

    beforeEach(async () => {
      where = await place()
      store = await where.open()
    })
    afterEach(async () => {
      await store.close()
      await where.remove()
    })

    async function reopen(): Promise<void> {
      await store.close()
      store = await where.open()
    }

    it('is empty until an event or a link is kept', async () => {
      expect(await store.isEmpty()).toBe(true)
      await store.addLink(link('owner', { role: 'owner', eventId: null }))
      expect(await store.isEmpty()).toBe(false)
    })

    it('begins an event with revision 1 of its plan, not published', async () => {
      await store.createEvent(saved())
      const summary = {
        eventId: SMALL,
        name: 'Small event',
        opensAtMs: smallPlan().opensAtMs,
        revision: 1,
        publishedRevision: null
      }
      expect(await store.event(SMALL)).toEqual(summary)
      expect(await store.events()).toEqual([summary])
      expect(await store.revision(SMALL)).toEqual({
        eventId: SMALL,
        revision: 1,
        savedAtMs: OPENS_AT_MS,
        plan: smallPlan()
      })
      expect(await store.log(SMALL)).toEqual({ facts: [], outcomes: [] })
    })

    it('knows nothing of an event or a revision that was never kept', async () => {
      await store.createEvent(saved())
      expect(await store.event(OTHER)).toBeUndefined()
      expect(await store.revision(OTHER)).toBeUndefined()
      expect(await store.revision(SMALL, 2)).toBeUndefined()
    })

    it('refuses a second event under the same id, and keeps the first', async () => {
      await store.createEvent(saved())
      await expect(store.createEvent(saved(SMALL, 'Again'))).rejects.toThrow()
      expect((await store.event(SMALL))?.name).toBe('Small event')
    })

    it('saves a revision over the newest, and nothing over an older one', async () => {
      await store.createEvent(saved())
      expect(await store.saveRevision({ ...saved(SMALL, 'Second'), revisionSeen: 1 })).toBe(2)
      expect(await store.saveRevision({ ...saved(SMALL, 'Late'), revisionSeen: 1 })).toBeUndefined()
      expect(await store.saveRevision({ ...saved(OTHER, 'No event'), revisionSeen: 1 })).toBeUndefined()
      expect((await store.event(SMALL))?.revision).toBe(2)
      expect((await store.revision(SMALL))?.plan.name).toBe('Second')
      expect((await store.revision(SMALL, 1))?.plan.name).toBe('Small event')
    })

    it('tells the revisions of an event newest first, each with the role of its link where that is kept', async () => {
      await store.createEvent(saved())
      await store.createEvent(saved(OTHER, 'Another'))
      await store.addLink(link('commander', { role: 'commander' }))
      await store.saveRevision({ ...saved(SMALL, 'Second'), savedAtMs: OPENS_AT_MS + 5, savedBy: 'x', revisionSeen: 1 })
      expect(await store.revisions(SMALL)).toEqual([
        { revision: 2, savedAtMs: OPENS_AT_MS + 5, savedBy: 'x', role: null, name: 'Second' },
        { revision: 1, savedAtMs: OPENS_AT_MS, savedBy: by, role: 'commander', name: 'Small event' }
      ])
      expect(await store.revisions(eventId.parse('e-none'))).toEqual([])
    })

    it('gives the log back as it was appended, plans attached, also after it was opened anew', async () => {
      await store.createEvent(saved(SMALL, 'Revision 1'))
      await store.saveRevision({ ...saved(SMALL, 'Revision 2'), revisionSeen: 1 })
      const first = [adoption(1, 1)]
      const second = [call(2, 'request-2'), call(3, 'request-2')]
      const third = [adoption(4, 2)]
      await store.append([batch(first)])
      await store.append([batch(second), batch(third)])
      const log = {
        facts: [...first, ...second, ...third],
        outcomes: [first, second, third].map((facts) => batch(facts).outcome)
      }
      const inOrder = async () => {
        const { facts, outcomes } = await store.log(SMALL)
        return { facts, outcomes: outcomes.toSorted((a, b) => a.from - b.from) }
      }
      expect(await inOrder()).toEqual(log)
      expect((await store.event(SMALL))?.publishedRevision).toBe(2)
      await reopen()
      expect(await inOrder()).toEqual(log)
    })

    it('tells of each event what was published for it, whatever others published', async () => {
      await store.createEvent(saved())
      await store.createEvent(saved(OTHER, 'Other event'))
      await store.append([batch([adoption(1, 1)])])
      expect((await store.event(SMALL))?.publishedRevision).toBe(1)
      expect((await store.event(OTHER))?.publishedRevision).toBeNull()
    })

    it('keeps the outcome of a request that recorded nothing', async () => {
      await store.createEvent(saved())
      await store.append([batch([call(1, 'request-1')]), batch([], 2, 'request-of-nothing')])
      const { outcomes } = await store.log(SMALL)
      const found = outcomes.find(({ requestId }) => String(requestId) === 'request-of-nothing')
      expect(found).toMatchObject({ from: 2, to: 1, bodyHash: 'hash of request-of-nothing' })
    })

    it('tells what one request recorded, of its own event alone', async () => {
      await store.createEvent(saved())
      await store.createEvent(saved(OTHER, 'Other event'))
      const both = batch([call(2, 'request-2'), call(3, 'request-2')])
      await store.append([batch([call(1, 'request-1')]), both, batch([], 4, 'request-of-nothing')])
      const told = (event: EventId, id: string) => store.outcome(event, requestId.parse(id))
      expect(await told(SMALL, 'request-2')).toEqual(both.outcome)
      expect(await told(SMALL, 'request-of-nothing')).toMatchObject({ from: 4, to: 3 })
      expect(await told(SMALL, 'request-3')).toBeUndefined()
      expect(await told(OTHER, 'request-2')).toBeUndefined()
      await reopen()
      expect(await told(SMALL, 'request-2')).toEqual(both.outcome)
    })

    it.each([7, 8, 19, 32])('keeps %i requests of one step, each of two facts, in their order', async (count) => {
      await store.createEvent(saved())
      const batches = Array.from({ length: count }, (_, index) => {
        const request = `request-${String(index)}`
        return batch([call(2 * index + 1, request), call(2 * index + 2, request)])
      })
      await store.append(batches)
      await reopen()
      const { facts, outcomes } = await store.log(SMALL)
      expect(facts).toEqual(batches.flatMap((one) => one.facts))
      expect(outcomes.toSorted((a, b) => a.from - b.from)).toEqual(batches.map(({ outcome }) => outcome))
    })

    it('keeps none of many requests of one step when the last of them is known', async () => {
      await store.createEvent(saved())
      await store.append([batch([call(1, 'request-of-before')])])
      const many = Array.from({ length: 18 }, (_, index) => batch([call(index + 2, `request-${String(index)}`)]))
      await expect(store.append([...many, batch([call(20, 'request-of-before')])])).rejects.toThrow()
      expect((await store.log(SMALL)).facts).toHaveLength(1)
    })

    it('keeps the logs of two events apart', async () => {
      await store.createEvent(saved())
      await store.createEvent(saved(OTHER, 'Other event'))
      await store.append([batch([call(1, 'request-1')]), batch([call(1, 'request-1', OTHER)])])
      expect((await store.log(SMALL)).facts.map(({ eventId }) => eventId)).toEqual([SMALL])
      expect((await store.log(OTHER)).facts.map(({ eventId }) => eventId)).toEqual([OTHER])
    })

    it.each([
      ['a gap', call(4, 'request-3')],
      ['a fact that stands already', call(1, 'request-3')],
      ['a request that is known', call(3, 'request-1')],
      ['an event that does not exist', call(1, 'request-3', OTHER)]
    ])('refuses %s, and with it all that was to be kept in the same step', async (_, bad) => {
      await store.createEvent(saved())
      await store.append([batch([call(1, 'request-1')])])
      await expect(store.append([batch([call(2, 'request-2')]), batch([bad])])).rejects.toThrow()
      expect((await store.log(SMALL)).facts.map(({ seq }) => seq)).toEqual([1])
    })

    it('gives an event whole, and keeps it elsewhere as it was: log, revisions and requests', async () => {
      await store.createEvent(saved(SMALL, 'Revision 1'))
      await store.saveRevision({ ...saved(SMALL, 'Revision 2'), revisionSeen: 1 })
      await store.append([batch([adoption(1, 1)]), batch([call(2, 'request-2'), call(3, 'request-2')])])
      await store.addLink(link('viewer'))
      const whole = await store.wholeEvent(SMALL)
      expect(whole?.revisions.map(({ revision, plan }) => [revision, plan.name])).toEqual([
        [1, 'Revision 1'],
        [2, 'Revision 2']
      ])
      expect(whole?.facts).toEqual([adoption(1, 1), call(2, 'request-2'), call(3, 'request-2')])
      expect(JSON.stringify(whole)).not.toContain('hash of viewer')
      expect(await store.wholeEvent(OTHER)).toBeUndefined()
      if (whole === undefined) return
      await expect(store.keepEvent(whole, OPENS_AT_MS)).rejects.toThrow()
      const other = await place()
      const elsewhere = await other.open()
      await elsewhere.keepEvent(whole, OPENS_AT_MS)
      expect(await elsewhere.wholeEvent(SMALL)).toEqual(whole)
      expect(await elsewhere.links(SMALL)).toEqual([])
      await elsewhere.close()
      await other.remove()
    })

    it('keeps nothing of a whole event that does not fit together', async () => {
      await store.createEvent(saved())
      await store.append([batch([call(1, 'request-1')])])
      const whole = await store.wholeEvent(SMALL)
      if (whole === undefined) throw new Error('no event')
      await store.deleteEvent(SMALL, OPENS_AT_MS)
      await expect(
        store.keepEvent({ ...whole, facts: [call(1, 'a-request'), call(1, 'b-request')] }, 1)
      ).rejects.toThrow()
      expect(await store.event(SMALL)).toBeUndefined()
      expect(await store.wholeEvent(SMALL)).toBeUndefined()
    })

    it('deletes an event whole and no other, and takes it back', async () => {
      await store.createEvent(saved())
      await store.createEvent(saved(OTHER, 'Other event'))
      await store.append([batch([call(1, 'request-1')]), batch([call(1, 'request-1', OTHER)])])
      await store.addLink(link('viewer'))
      const whole = await store.wholeEvent(SMALL)
      expect(await store.deleteEvent(SMALL, OPENS_AT_MS)).toBe(true)
      expect(await store.deleteEvent(SMALL, OPENS_AT_MS)).toBe(false)
      expect(await store.event(SMALL)).toBeUndefined()
      expect(await store.log(SMALL)).toEqual({ facts: [], outcomes: [] })
      expect(await store.linkOf(link('viewer').secretHash)).toBeUndefined()
      expect((await store.log(OTHER)).facts).toHaveLength(1)
      if (whole === undefined) throw new Error('no event')
      await store.keepEvent(whole, OPENS_AT_MS)
      expect(await store.wholeEvent(SMALL)).toEqual(whole)
    })

    it('tells of events in which nothing happened since, and whose plan does not open later', async () => {
      await store.createEvent(saved())
      await store.createEvent(saved(OTHER, 'Other event'))
      await store.append([batch([call(9, 'request-1')].map((fact) => ({ ...fact, seq: 1 })))])
      expect(await store.untouchedBefore(OPENS_AT_MS)).toEqual([])
      expect(await store.untouchedBefore(OPENS_AT_MS + 1)).toEqual([OTHER])
      expect(await store.untouchedBefore(OPENS_AT_MS + 17)).toEqual([SMALL, OTHER].toSorted())
    })

    it('finds a link by the hash of its secret, and lists the links of an event without hashes', async () => {
      await store.createEvent(saved())
      const crew = link('crew', { role: 'crew', shipId: shipId.parse(SHIPS.alder1), createdAtMs: OPENS_AT_MS + 1 })
      await store.addLink(link('viewer'))
      await store.addLink(crew)
      const { secretHash, ...told } = crew
      expect(await store.linkOf(secretHash)).toEqual({ ...told, revokedAtMs: null, lastUsedAtMs: null })
      expect(await store.linkOf('hash of nobody')).toBeUndefined()
      const listed = await store.links(SMALL)
      expect(listed.map(({ linkId }) => linkId)).toEqual(['l-viewer', 'l-crew'])
      expect(JSON.stringify(listed)).not.toContain('hash of')
    })

    it('revokes a link once, and only under its own event', async () => {
      await store.createEvent(saved())
      await store.addLink(link('viewer'))
      const { linkId: id, secretHash } = link('viewer')
      expect(await store.revokeLink({ eventId: OTHER, linkId: id, atMs: 5 })).toBe(false)
      expect(await store.revokeLink({ eventId: SMALL, linkId: id, atMs: 6 })).toBe(true)
      expect(await store.revokeLink({ eventId: SMALL, linkId: id, atMs: 7 })).toBe(false)
      await reopen()
      expect((await store.linkOf(secretHash))?.revokedAtMs).toBe(6)
    })

    it('renews the secret of a link that holds, and notes when links were used', async () => {
      await store.createEvent(saved())
      await store.addLink(link('feed', { role: 'feed', expiresAtMs: 50 }))
      const { linkId: id, secretHash } = link('feed')
      const anew = { linkId: id, secretHash: 'hash of another', expiresAtMs: 90 }
      expect(await store.renewLink({ ...anew, eventId: OTHER })).toBe(false)
      expect((await store.linkOf(secretHash))?.expiresAtMs).toBe(50)
      expect(await store.renewLink({ ...anew, eventId: SMALL })).toBe(true)
      await store.noteUses([
        { linkId: id, atMs: 70 },
        { linkId: linkId.parse('l-nobody'), atMs: 71 }
      ])
      await reopen()
      expect(await store.linkOf(secretHash)).toBeUndefined()
      expect(await store.linkOf('hash of another')).toMatchObject({ linkId: id, expiresAtMs: 90, lastUsedAtMs: 70 })
      await store.revokeLink({ eventId: SMALL, linkId: id, atMs: 80 })
      expect(await store.renewLink({ ...anew, eventId: SMALL })).toBe(false)
    })

    it('tells of a link what is so at once, however often it was asked for before', async () => {
      await store.createEvent(saved())
      const { linkId: id, secretHash } = link('viewer')
      const asked = async () => [await store.linkOf(secretHash), await store.linkOf('hash of another')]
      expect(await asked()).toEqual([undefined, undefined])
      await store.addLink(link('viewer'))
      expect(await asked()).toMatchObject([{ linkId: id, lastUsedAtMs: null }, undefined])
      await store.noteUses([{ linkId: id, atMs: 5 }])
      expect(await asked()).toMatchObject([{ linkId: id, lastUsedAtMs: 5 }, undefined])
      await store.renewLink({ eventId: SMALL, linkId: id, secretHash: 'hash of another', expiresAtMs: null })
      expect(await asked()).toMatchObject([undefined, { linkId: id }])
      await store.revokeLink({ eventId: SMALL, linkId: id, atMs: 6 })
      expect(await asked()).toMatchObject([undefined, { revokedAtMs: 6 }])
      await store.deleteEvent(SMALL, OPENS_AT_MS)
      expect(await asked()).toEqual([undefined, undefined])
    })
  })
}
