import { describe, expect, it } from 'vitest'
import { planAnswer } from '../../shared/contracts/answers.ts'
import { smallPlan } from './plan.ts'
import { freshId, fuelCall, service, type MadeLink } from './service.ts'
import { SHIPS } from './plan.ts'

describe('plans', () => {
  it('begin with revision 1 and a commander who may read it', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const { status, body } = await call('readPlan', { as: commander, parameters: { eventId } })
    expect(status).toBe(200)
    expect(planAnswer.parse(body)).toMatchObject({ eventId, revision: 1, publishedRevision: null, plan: smallPlan() })
  })

  it('are made once, however often the same request is sent, and each answer has a link that opens', async () => {
    const { call, owner } = await service()
    const body = { requestId: freshId(), plan: smallPlan() }
    const first = await call('createPlan', { as: owner, body })
    const again = await call('createPlan', { as: owner, body })
    const other = await call('createPlan', { as: owner, body: { ...body, requestId: freshId() } })
    expect([first.status, again.status]).toEqual([201, 201])
    const { eventId } = first.body as { eventId: string }
    expect(first.body).toMatchObject({ revision: 1, repeated: false })
    expect(again.body).toMatchObject({ eventId, revision: 1, repeated: true })
    expect((other.body as { eventId: string }).eventId).not.toBe(eventId)
    const events = (await call('listPlans', { as: owner })).body as unknown as { eventId: string }[]
    expect(events.filter((event) => event.eventId === eventId)).toHaveLength(1)
    for (const answer of [first, again]) {
      const commander = answer.body as unknown as MadeLink
      const read = await call('readPlan', { as: commander, parameters: { eventId } })
      expect(read.status).toBe(200)
    }
  })

  it('are listed for the owner, with the newest and the published revision', async () => {
    const { call, owner, openEvent } = await service()
    const { eventId, commander } = await openEvent()
    await call('savePlan', {
      as: commander,
      parameters: { eventId },
      body: { revisionSeen: 1, plan: smallPlan({ name: 'Changed' }) }
    })
    const { body } = await call('listPlans', { as: owner })
    const { opensAtMs } = smallPlan()
    expect(body).toEqual([{ eventId, name: 'Changed', opensAtMs, revision: 2, publishedRevision: 1 }])
  })

  it('are saved over the revision that was seen, and refused as stale over an older one', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const save = (revisionSeen: number, name: string) =>
      call('savePlan', { as: commander, parameters: { eventId }, body: { revisionSeen, plan: smallPlan({ name }) } })
    expect(await save(1, 'First change')).toMatchObject({ status: 200, body: { eventId, revision: 2 } })
    expect(await save(1, 'Lost change')).toMatchObject({ status: 409, body: { code: 'stale-revision' } })
    const read = (revision: number) => call('readRevision', { as: commander, parameters: { eventId, revision } })
    expect((await read(1)).body['plan']).toMatchObject({ name: 'Small event' })
    expect((await read(2)).body['plan']).toMatchObject({ name: 'First change' })
    expect(await read(3)).toMatchObject({ status: 404, body: { code: 'not-found' } })
  })

  it('tell their revisions newest first: when, under which link, and what the event was called', async () => {
    const { call, event, owner } = await service()
    const { eventId, commander } = await event()
    const save = (revisionSeen: number, name: string, as: MadeLink) =>
      call('savePlan', { as, parameters: { eventId }, body: { revisionSeen, plan: smallPlan({ name }) } })
    await save(1, 'By the commander', commander)
    await save(2, 'By the owner', owner)
    const { status, body } = await call('listRevisions', { as: commander, parameters: { eventId } })
    expect(status).toBe(200)
    expect(body).toEqual([
      {
        revision: 3,
        savedAtMs: expect.any(Number) as number,
        savedBy: owner.linkId,
        role: 'owner',
        name: 'By the owner'
      },
      expect.objectContaining({ revision: 2, savedBy: commander.linkId, role: 'commander', name: 'By the commander' }),
      expect.objectContaining({ revision: 1, savedBy: owner.linkId, role: 'owner', name: 'Small event' })
    ])
  })

  it('leave as a file and come back as the next revision, unchanged', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const file = await call('exportPlan', { as: commander, parameters: { eventId } })
    expect(file.headers['content-disposition']).toBe(`attachment; filename="ullage-${eventId}-1.json"`)
    const back = await call('importPlan', { as: commander, parameters: { eventId }, body: file.body })
    expect(back).toMatchObject({ status: 200, body: { revision: 2 } })
    const { body } = await call('readPlan', { as: commander, parameters: { eventId } })
    expect(body['plan']).toEqual(smallPlan())
  })

  it('are imported over a named revision only while it is the newest', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const load = (query: string) =>
      call('importPlan', { as: commander, parameters: { eventId }, query, body: smallPlan() })
    expect((await load('?revisionSeen=1')).status).toBe(200)
    expect((await load('?revisionSeen=1')).body.code).toBe('stale-revision')
  })

  it('are refused whole, with every fault pointing into the plan, wherever they come in', async () => {
    const { call, owner, event } = await service()
    const { eventId, commander } = await event()
    const bad = { ...smallPlan(), name: '', opensAtMs: -5, surprise: true }
    const answers = [
      await call('createPlan', { as: owner, body: { plan: bad } }),
      await call('savePlan', { as: commander, parameters: { eventId }, body: { revisionSeen: 1, plan: bad } }),
      await call('importPlan', { as: commander, parameters: { eventId }, body: bad })
    ]
    for (const { status, body } of answers) {
      expect(status).toBe(422)
      expect(body.code).toBe('plan-refused')
      expect(body.errorCount).toBe(3)
      expect(body.errors).toEqual(
        expect.arrayContaining([
          expect.objectContaining({ path: '/name', value: '""' }),
          expect.objectContaining({ path: '/opensAtMs', value: '-5' }),
          expect.objectContaining({ path: '', limit: 'no such field: surprise' })
        ])
      )
    }
    expect((await call('readPlan', { as: commander, parameters: { eventId } })).body['revision']).toBe(1)
    expect((await call('listPlans', { as: owner })).body).toHaveLength(1)
  })

  it('are refused by the rules that span fields', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const plan = smallPlan()
    const bad = { ...plan, tracks: plan.tracks.map((track) => ({ ...track, abortBaseId: 'nowhere' })) }
    const { status, body } = await call('importPlan', { as: commander, parameters: { eventId }, body: bad })
    expect(status).toBe(422)
    expect(body.errors?.[0]).toMatchObject({
      path: '/tracks/0/abortBaseId',
      value: expect.stringContaining('nowhere') as string
    })
  })

  it('are taken up to 4 MiB, other bodies up to 64 KiB', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const padded = (bytes: number) => JSON.stringify(smallPlan()).padEnd(bytes, ' ')
    const load = (body: string) => call('importPlan', { as: commander, parameters: { eventId }, body })
    expect((await load(padded(4 * 1024 * 1024))).status).toBe(200)
    expect(await load(padded(4 * 1024 * 1024 + 1))).toMatchObject({ status: 413, body: { code: 'too-large' } })
    const call64 = (bytes: number) =>
      call('record', {
        as: commander,
        parameters: { eventId },
        body: JSON.stringify(fuelCall(SHIPS.alder1, 3000)).padEnd(bytes, ' ')
      })
    expect((await call64(64 * 1024)).body.code).toBe('event-not-begun')
    expect((await call64(64 * 1024 + 1)).body.code).toBe('too-large')
  })

  it('are published by revision; one that was never saved is unknown', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const publish = (revision: number) =>
      call('publishPlan', { as: commander, parameters: { eventId }, body: { requestId: freshId(), revision } })
    expect(await publish(7)).toMatchObject({ status: 422, body: { code: 'unknown-revision' } })
    const { status, body } = await publish(1)
    expect(status).toBe(200)
    expect(body).toMatchObject({
      from: 1,
      to: 1,
      repeated: false,
      facts: [{ kind: 'planAdopted', revision: 1, seq: 1, plan: smallPlan() }]
    })
  })

  it('are published over the newest that was seen only while none is newer; asked again, the same is answered', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const publish = (revision: number, revisionSeen: number, requestId = freshId()) =>
      call('publishPlan', { as: commander, parameters: { eventId }, body: { requestId, revision, revisionSeen } })
    const requestId = freshId()
    expect(await publish(1, 1, requestId)).toMatchObject({ status: 200, body: { repeated: false } })
    await call('savePlan', {
      as: commander,
      parameters: { eventId },
      body: { revisionSeen: 1, plan: smallPlan({ name: 'Newer' }) }
    })
    expect(await publish(1, 1)).toMatchObject({ status: 409, body: { code: 'stale-revision' } })
    expect(await publish(1, 1, requestId)).toMatchObject({ status: 200, body: { repeated: true } })
    // Who has seen the newest may put an older one in force.
    expect((await publish(1, 2)).status).toBe(200)
    expect(await publish(2, 2)).toMatchObject({ status: 200, body: { facts: [{ kind: 'planAdopted', revision: 2 }] } })
  })
})
