import { describe, expect, it } from 'vitest'
import { pathOf } from '../../shared/contracts/routes.ts'
import { SHIPS } from './plan.ts'
import { fuelCall, service, type MadeLink, type Service } from './service.ts'

const HOST = 'ullage.test'
const OWN = `http://${HOST}`

async function signIn({ app }: Service, secret: string, origin = OWN) {
  const answer = await app.inject({
    method: 'POST',
    url: pathOf('signIn'),
    headers: { host: HOST, origin },
    payload: { secret }
  })
  return { status: answer.statusCode, cookie: answer.cookies[0], body: answer.json<Record<string, unknown>>() }
}

describe('a membership', () => {
  it('is opened by a secret, which then stands in a cookie that no script and no other site can use', async () => {
    const made = await service()
    const { eventId } = await made.event()
    const link = await made.link(eventId, 'crew', SHIPS.alder1)
    const { status, cookie, body } = await signIn(made, link.secret)
    expect(status).toBe(200)
    expect(body).toEqual({ linkId: link.linkId, role: 'crew', eventId, shipId: SHIPS.alder1 })
    expect(cookie).toMatchObject({
      name: `ullage_${link.linkId}`,
      value: link.secret,
      httpOnly: true,
      sameSite: 'Strict',
      path: '/api'
    })
    expect(cookie?.secure).toBeUndefined()
  })

  it('has a cookie bound to the host under TLS', async () => {
    const made = await service({ publicUrl: 'https://ullage.test' })
    const { cookie } = await signIn(made, made.owner.secret, 'https://ullage.test')
    expect(cookie).toMatchObject({
      name: `__Host-ullage_${made.owner.linkId}`,
      secure: true,
      path: '/',
      httpOnly: true
    })
    expect(cookie?.['domain']).toBeUndefined()
  })

  it('is none for a wrong secret or a revoked link', async () => {
    const made = await service()
    const { eventId, commander } = await made.event()
    expect((await signIn(made, 'A'.repeat(22))).body['code']).toBe('no-membership')
    const parameters = { eventId, linkId: commander.linkId }
    expect((await made.call('revokeLink', { as: made.owner, parameters })).status).toBe(204)
    expect((await signIn(made, commander.secret)).body['code']).toBe('no-membership')
    expect((await made.call('readPlan', { as: commander, parameters: { eventId } })).status).toBe(401)
  })

  it('acts as the one that the page names, of the several a browser holds', async () => {
    const made = await service()
    const { eventId, commander } = await made.openEvent()
    const viewer = await made.link(eventId, 'viewer')
    const cookies = { [`ullage_${viewer.linkId}`]: viewer.secret, [`ullage_${commander.linkId}`]: commander.secret }
    const record = (as: string | undefined) =>
      made.app.inject({
        method: 'POST',
        url: pathOf('record', { eventId }),
        cookies,
        headers: { host: HOST, origin: OWN, ...(as === undefined ? {} : { 'ullage-as': as }) },
        payload: fuelCall(SHIPS.alder1, 3000)
      })
    expect((await record(commander.linkId)).statusCode).toBe(200)
    expect((await record(viewer.linkId)).json()).toMatchObject({ code: 'not-allowed' })
    expect((await record(undefined)).json()).toMatchObject({ code: 'no-membership' })
    expect((await record('l-nobody')).json()).toMatchObject({ code: 'no-membership' })
    const crossed = { [`ullage_${commander.linkId}`]: viewer.secret }
    const read = await made.app.inject({
      url: `${pathOf('readPlan', { eventId })}?as=${commander.linkId}`,
      cookies: crossed
    })
    expect(read.json()).toMatchObject({ code: 'no-membership' })
  })

  it('may be named in the address of a download', async () => {
    const made = await service()
    const { eventId, commander } = await made.event()
    const { statusCode } = await made.app.inject({
      url: `${pathOf('exportPlan', { eventId })}?as=${commander.linkId}`,
      cookies: { [`ullage_${commander.linkId}`]: commander.secret }
    })
    expect(statusCode).toBe(200)
  })

  it('is told to the page under its own link alone, and forgotten on request', async () => {
    const made = await service()
    const { owner, app } = made
    const cookies = { [`ullage_${owner.linkId}`]: owner.secret }
    const told = await app.inject({ url: pathOf('membership', { linkId: owner.linkId }), cookies })
    expect(told.json()).toEqual({ linkId: owner.linkId, role: 'owner', eventId: null, shipId: null })
    const other = await app.inject({ url: pathOf('membership', { linkId: 'l-other' }), cookies })
    expect(other.json()).toMatchObject({ code: 'no-membership' })
    const out = await app.inject({
      method: 'DELETE',
      url: pathOf('signOut', { linkId: owner.linkId }),
      cookies,
      headers: { host: HOST, origin: OWN }
    })
    expect(out.statusCode).toBe(204)
    expect(out.cookies[0]).toMatchObject({ name: `ullage_${owner.linkId}`, value: '', path: '/api' })
  })
})

describe('the origin of a request', () => {
  async function send(origin: string | undefined, withCookie: boolean, publicUrl?: string) {
    const made = await service({ publicUrl })
    const { eventId, commander } = await made.openEvent()
    const prefix = publicUrl === undefined ? '' : '__Host-'
    const { statusCode, body } = await made.app.inject({
      method: 'POST',
      url: pathOf('record', { eventId }),
      headers: {
        host: HOST,
        'ullage-as': commander.linkId,
        ...(origin === undefined ? {} : { origin }),
        ...(withCookie ? {} : { authorization: `Bearer ${commander.secret}` })
      },
      ...(withCookie ? { cookies: { [`${prefix}ullage_${commander.linkId}`]: commander.secret } } : {}),
      payload: fuelCall(SHIPS.alder1, 3000)
    })
    return statusCode === 200 ? 'taken' : (JSON.parse(body) as { code: string }).code
  }

  it.each([
    ['our own page', OWN, true, 'taken'],
    ['another site', 'https://elsewhere.test', true, 'foreign-origin'],
    ['another port', `${OWN}:8443`, true, 'foreign-origin'],
    ['a page without an origin', 'null', true, 'foreign-origin'],
    ['a cookie without an origin', undefined, true, 'foreign-origin'],
    ['a program with a bearer secret', undefined, false, 'taken'],
    ['another site with a bearer secret', 'https://elsewhere.test', false, 'foreign-origin']
  ])('%s', async (_, origin, withCookie, expected) => {
    expect(await send(origin, withCookie)).toBe(expected)
  })

  it('is judged by the public address where one is set', async () => {
    expect(await send('https://ullage.example.org', true, 'https://ullage.example.org')).toBe('taken')
    expect(await send(OWN, true, 'https://ullage.example.org')).toBe('foreign-origin')
  })
})

describe('links', () => {
  it('are told once with their secret, then listed without it', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const as = { as: commander, parameters: { eventId } }
    const { status, body } = await call('createLink', { ...as, body: { role: 'crew', shipId: SHIPS.alder1 } })
    expect(status).toBe(201)
    expect(body).toMatchObject({
      role: 'crew',
      shipId: SHIPS.alder1,
      revokedAtMs: null,
      path: `/join#${String(body['secret'])}`
    })
    expect(String(body['secret'])).toMatch(/^[A-Za-z0-9_-]{22}$/)
    const list = await call('listLinks', as)
    expect(list.body).toHaveLength(2)
    expect(JSON.stringify(list.body)).not.toMatch(/secret|hash/i)
    expect(JSON.stringify(list.body)).not.toContain(String(body['secret']))
  })

  it.each([
    [{ role: 'crew' }, 'bad-request'],
    [{ role: 'viewer', shipId: SHIPS.alder1 }, 'bad-request'],
    [{ role: 'crew', shipId: 'nobody' }, 'unknown-ship'],
    [{ role: 'owner' }, 'bad-request']
  ])('%o is refused: %s', async (body, code) => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    expect((await call('createLink', { as: commander, parameters: { eventId }, body })).body.code).toBe(code)
  })

  it('may be made for a receiver that nobody planned, once the event has taken it in', async () => {
    const { call, openEvent } = await service()
    const { eventId, commander } = await openEvent()
    const as = { as: commander, parameters: { eventId } }
    const receiver = {
      requestId: 'stray-receiver',
      kind: 'addReceiver',
      callSign: 'Moss 7',
      receiverTypeId: 'type-a',
      fuel: { value: 3000, unit: 'kg' },
      tankerId: 'rasp'
    }
    expect((await call('record', { ...as, body: receiver })).status).toBe(200)
    const state = await call('readState', as)
    const { ships } = state.body as unknown as { ships: { shipId: string; callSign: string }[] }
    const shipId = ships.find(({ callSign }) => callSign === 'Moss 7')?.shipId
    expect(shipId).toBeDefined()
    const made = await call('createLink', { ...as, body: { role: 'crew', shipId } })
    expect(made.body).toMatchObject({ role: 'crew', shipId })
  })

  it('of another event cannot be revoked', async () => {
    const { call, event, store } = await service()
    const [mine, theirs] = [await event(), await event()]
    const parameters = { eventId: mine.eventId, linkId: theirs.commander.linkId }
    expect((await call('revokeLink', { as: mine.commander, parameters })).body.code).toBe('not-found')
    expect((await store.links(theirs.eventId))[0]?.revokedAtMs).toBeNull()
  })

  it('end by themselves at the instant they were given, to the millisecond', async () => {
    const { call, clock, event } = await service()
    const { eventId, commander } = await event()
    const as = { as: commander, parameters: { eventId } }
    const late = await call('createLink', { ...as, body: { role: 'viewer', expiresAtMs: clock.nowMs() } })
    expect(late).toMatchObject({ status: 422, body: { code: 'out-of-bounds', errors: [{ path: '/expiresAtMs' }] } })
    const expiresAtMs = clock.nowMs() + 60_000
    const { status, body } = await call('createLink', { ...as, body: { role: 'viewer', expiresAtMs } })
    expect([status, body['expiresAtMs']]).toEqual([201, expiresAtMs])
    const viewer = body as unknown as MadeLink
    const read = async () => (await call('readPlan', { as: viewer, parameters: { eventId } })).status
    clock.forward(59_999)
    expect(await read()).toBe(200)
    clock.forward(1)
    expect(await read()).toBe(401)
    expect((await call('signIn', { body: { secret: viewer.secret } })).status).toBe(401)
    const renew = (linkId: string, anew: object) =>
      call('renewLink', { as: commander, parameters: { eventId, linkId }, body: anew })
    expect((await renew(viewer.linkId, {})).body.code).toBe('out-of-bounds')
    const renewed = await renew(viewer.linkId, { expiresAtMs: null })
    expect(renewed).toMatchObject({ status: 200, body: { linkId: viewer.linkId, expiresAtMs: null } })
  })

  it('are renewed: the same link with another secret, the one before dead, its history kept', async () => {
    const { call, link, openEvent } = await service()
    const { eventId, commander } = await openEvent()
    const crew = await link(eventId, 'crew', SHIPS.alder1)
    const record = (as: MadeLink) => call('record', { as, parameters: { eventId }, body: fuelCall(SHIPS.alder1, 3000) })
    expect((await record(crew)).status).toBe(200)
    const parameters = { eventId, linkId: crew.linkId }
    const { status, body } = await call('renewLink', { as: commander, parameters, body: {} })
    expect(status).toBe(200)
    const secret = String(body['secret'])
    expect(secret).toMatch(/^[A-Za-z0-9_-]{22}$/)
    expect(body).toMatchObject({ linkId: crew.linkId, shipId: SHIPS.alder1, path: `/join#${secret}` })
    expect((await record(crew)).status).toBe(401)
    expect((await record({ ...crew, secret })).status).toBe(200)
    expect((await call('revokeLink', { as: commander, parameters })).status).toBe(204)
    expect((await call('renewLink', { as: commander, parameters, body: {} })).body.code).toBe('not-found')
  })

  it('are listed with what was done under each, and when it was last used', async () => {
    const { app, call, clock, link, openEvent, store } = await service()
    const { eventId, commander } = await openEvent()
    const crew = await link(eventId, 'crew', SHIPS.alder1)
    const idle = await link(eventId, 'viewer')
    for (const fuelKg of [3000, 2900, 2800, 2700]) {
      clock.forward(1_000)
      await call('record', { as: crew, parameters: { eventId }, body: fuelCall(SHIPS.alder1, fuelKg) })
    }
    const { body } = await call('listLinks', { as: commander, parameters: { eventId } })
    const listed = body as unknown as Record<string, unknown>[]
    const of = (wanted: MadeLink) => listed.find(({ linkId }) => linkId === wanted.linkId)
    const called = (seq: number) =>
      expect.objectContaining({ seq, kind: 'fuelCalled', shipId: SHIPS.alder1 }) as unknown
    expect(of(crew)).toMatchObject({ factCount: 4, lastUsedAtMs: clock.nowMs() })
    expect(of(crew)?.['lastFacts']).toEqual([called(6), called(5), called(4)])
    expect(of(commander)).toMatchObject({ factCount: 2, lastFacts: [{ kind: 'eventOpened' }, { kind: 'planAdopted' }] })
    expect(of(idle)).toMatchObject({ factCount: 0, lastFacts: [], lastUsedAtMs: null })
    await app.close()
    expect((await store.links(eventId)).find(({ linkId }) => linkId === crew.linkId)?.lastUsedAtMs).toBe(clock.nowMs())
  })

  it('of a feed open no page', async () => {
    const made = await service()
    const { eventId } = await made.event()
    const feed = await made.link(eventId, 'feed')
    const { status, cookie, body } = await signIn(made, feed.secret)
    expect([status, cookie, body['code']]).toEqual([403, undefined, 'not-allowed'])
  })
})
