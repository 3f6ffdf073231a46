import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { healthAnswer } from '../../shared/contracts/answers.ts'
import { API, pathOf, ROUTES, type Route, type RouteName } from '../../shared/contracts/routes.ts'
import { readJson } from '../../server/json.ts'
import { Problem } from '../../server/problem.ts'
import { SHIPS, smallPlan } from './plan.ts'
import { fuelCall, newFolder, service, type Json } from './service.ts'

describe('a body', () => {
  const planText = JSON.stringify(smallPlan())
  it.each([
    ['a megabyte of nesting', '['.repeat(524_288) + ']'.repeat(524_288), 400, 'bad-request', 'at most 26 deep'],
    [
      'nesting one deeper than a plan may be',
      '{"a":'.repeat(27) + '1' + '}'.repeat(27),
      400,
      'bad-request',
      'at most 26 deep'
    ],
    [
      '__proto__ at the top',
      planText.replace('{', '{"__proto__":{"isOwner":true},'),
      422,
      'plan-refused',
      'no such field: __proto__'
    ],
    [
      '__proto__ further down',
      planText.replace('"rules":{', '"rules":{"__proto__":1,'),
      422,
      'plan-refused',
      'no such field: __proto__'
    ],
    [
      'constructor',
      planText.replace('{', '{"constructor":{"prototype":1},'),
      422,
      'plan-refused',
      'no such field: constructor'
    ],
    ['NaN', planText.replace('"v":1', '"v":NaN'), 400, 'not-json', 'JSON, RFC 8259'],
    [
      'a number too large to be one',
      planText.replace('"windFromDeg":270', '"windFromDeg":1e999'),
      422,
      'plan-refused',
      'a number'
    ],
    ['half a document', planText.slice(0, 900), 400, 'not-json', 'JSON, RFC 8259'],
    ['no document', 'null', 422, 'plan-refused', 'an object']
  ])('%s is refused with its fault', async (_, body, status, code, limit) => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    const answer = await call('importPlan', { as: commander, parameters: { eventId }, body })
    expect([answer.status, answer.body.code]).toEqual([status, code])
    expect(answer.body.errors?.map((fault) => fault.limit)).toContain(limit)
    expect(answer.body.errorCount).toBeGreaterThan(0)
    expect(Object.hasOwn(Object.prototype, 'isOwner')).toBe(false)
    expect((await call('readPlan', { as: commander, parameters: { eventId } })).body['revision']).toBe(1)
  })

  it('of another type is refused', async () => {
    const { call, event } = await service()
    const { eventId, commander } = await event()
    for (const type of ['text/plain', 'application/x-www-form-urlencoded', 'multipart/form-data; boundary=a']) {
      const headers = { 'content-type': type }
      const answer = await call('record', { as: commander, parameters: { eventId }, body: '{}', headers })
      expect([answer.status, answer.body.code], type).toEqual([400, 'not-json'])
    }
  })

  it('that is packed is refused unread, with the encoding named', async () => {
    const { app, call, event, owner } = await service()
    const { eventId, commander } = await event()
    const packed = gzipSync('{}')
    for (const encoding of ['gzip', 'br', 'foo']) {
      const headers = { 'content-encoding': encoding, 'content-type': 'application/json' }
      for (const [name, as] of [
        ['record', commander],
        ['savePlan', commander],
        ['createPlan', owner]
      ] as const) {
        const answer = await app.inject({
          method: name === 'savePlan' ? 'PUT' : 'POST',
          url: pathOf(name, { eventId }),
          payload: packed,
          headers: { ...headers, authorization: `Bearer ${as.secret}` }
        })
        expect([answer.statusCode, answer.json<Json>().code], `${name} ${encoding}`).toEqual([400, 'not-json'])
        expect(answer.json<Json>()['detail']).toContain(encoding)
      }
    }
    const plain = { 'content-encoding': 'identity' }
    const body = { requestId: 'plain', kind: 'joined', shipId: 'nobody' }
    const answer = await call('record', { as: commander, parameters: { eventId }, body, headers: plain })
    expect(answer.body.code).not.toBe('not-json')
  })

  it('may hold any brackets inside its texts', () => {
    const text = JSON.stringify({ a: `${'['.repeat(50)}\\"{{{`, b: ['"', '\\', '\\"['.repeat(40)] })
    expect(readJson(text)).toEqual(JSON.parse(text))
    expect(() => readJson(`"${'\\'.repeat(3)}"`)).toThrow(Problem)
  })
})

describe('a refusal', () => {
  it('is a problem document with its code, and never a trace', async () => {
    const { app, call, event } = await service()
    const { eventId, commander } = await event()
    const answers = await Promise.all([
      app.inject({ url: `${API}/nowhere` }),
      app.inject({ url: `${API}/plans/%zz` }),
      app.inject({ method: 'PUT', url: `${API}/health` }),
      app.inject({ url: '/api/v2/health' }),
      app.inject({ method: 'POST', url: pathOf('signIn'), payload: { secret: 5 } })
    ])
    const codes = answers.map((answer) => [answer.statusCode, answer.json<Json>().code])
    expect(codes).toEqual([
      [404, 'not-found'],
      [400, 'bad-request'],
      [404, 'not-found'],
      [404, 'not-found'],
      [400, 'bad-request']
    ])
    for (const { headers, body } of answers) {
      expect(headers['content-type']).toBe('application/problem+json; charset=utf-8')
      expect(headers['cache-control']).toBe('no-store')
      // Also where the framework refuses before a route is found.
      expect(headers['content-security-policy']).toContain("frame-ancestors 'none'")
      expect(headers['x-content-type-options']).toBe('nosniff')
      expect(headers['request-id']).toMatch(/\S/)
      expect(body).not.toMatch(/\.ts|node_modules|at .*\(/)
    }
    const long = await call('readPlan', { as: commander, parameters: { eventId: `${eventId}${'x'.repeat(200)}` } })
    expect([long.status, long.body.code]).toEqual([400, 'bad-request'])
  })

  it('of something unforeseen tells nothing of it', async () => {
    const { call, owner, store } = await service()
    store.events = () => Promise.reject(new Error('secret detail of the database'))
    const { status, body } = await call('listPlans', { as: owner })
    expect(status).toBe(500)
    expect(body).toEqual({
      type: 'urn:ullage:problem:internal',
      title: 'Something went wrong here',
      status: 500,
      code: 'internal'
    })
  })
})

describe('the headers', () => {
  const policyOf = (headers: Record<string, unknown>) =>
    new Map(
      String(headers['content-security-policy'])
        .split(';')
        .map((directive) => {
          const [name = '', ...values] = directive.trim().split(' ')
          return [name, values.join(' ')]
        })
    )

  const ALWAYS = {
    'x-content-type-options': 'nosniff',
    'x-frame-options': 'DENY',
    'referrer-policy': 'no-referrer',
    'cross-origin-resource-policy': 'same-origin'
  }

  it('allow our own files on pages, nothing on answers, and no other site on either', async () => {
    const { app } = await service()
    for (const url of ['/', '/nowhere.js']) {
      const { headers } = await app.inject({ url })
      expect(Object.fromEntries(policyOf(headers)), url).toEqual({
        'default-src': "'none'",
        'object-src': "'none'",
        'script-src': "'self'",
        'style-src': "'self'",
        'font-src': "'self'",
        'img-src': "'self'",
        'connect-src': "'self' ws: wss:",
        'manifest-src': "'self'",
        'worker-src': "'self'",
        'base-uri': "'none'",
        'form-action': "'none'",
        'frame-ancestors': "'none'"
      })
      expect(headers).toMatchObject({ ...ALWAYS, 'cross-origin-opener-policy': 'same-origin' })
      expect(headers['permissions-policy']).toContain('geolocation=()')
    }
    for (const url of ['/api/v1/health', '/api/v1/events/four-shores/log']) {
      const { headers } = await app.inject({ url })
      expect(Object.fromEntries(policyOf(headers)), url).toEqual({
        'default-src': "'none'",
        'object-src': "'none'",
        'base-uri': "'none'",
        'form-action': "'none'",
        'frame-ancestors': "'none'"
      })
      expect(headers).toMatchObject({ ...ALWAYS, 'cache-control': 'no-store' })
    }
    for (const url of ['/', '/nowhere.js', '/api/v1/health', '/api/v1/events/four-shores/log']) {
      const { headers } = await app.inject({ url })
      expect(headers['strict-transport-security']).toBeUndefined()
      expect(headers['x-powered-by']).toBeUndefined()
      expect(headers['access-control-allow-origin']).toBeUndefined()
    }
  })

  it('ask for TLS where the public address has it', async () => {
    const { app } = await service({ publicUrl: 'https://ullage.example.org' })
    for (const url of ['/api/v1/health', '/'])
      expect((await app.inject({ url })).headers['strict-transport-security']).toBe('max-age=31536000')
    const { headers } = await app.inject({ url: '/' })
    expect(policyOf(headers).has('upgrade-insecure-requests')).toBe(true)
    expect(policyOf(headers).get('connect-src')).toBe("'self' wss://ullage.example.org")
  })

  it('name each request by chance: nobody learns from it how many others there were', async () => {
    const { call } = await service()
    const ids = new Set<unknown>()
    for (let n = 0; n < 300; n += 1) ids.add((await call('health')).headers['request-id'])
    expect(ids.size).toBe(300)
    // Of twelve characters drawn by chance two share the first four once in sixteen million.
    const begins = [...ids].map((id) => String(id).slice(0, 4))
    expect(new Set(begins).size).toBeGreaterThan(295)
    for (const id of ids) expect(id).toMatch(/^[\w-]{12}$/)
  })

  it('keep answers out of shared caches', async () => {
    const { call, openEvent } = await service()
    const { eventId, commander } = await openEvent()
    const as = { as: commander, parameters: { eventId } }
    expect((await call('readPlan', as)).headers['cache-control']).toBe('no-store')
    expect((await call('readLog', as)).headers['cache-control']).toBe('private, no-cache')
    expect((await call('record', { ...as, body: fuelCall(SHIPS.alder1, 1) })).headers['cache-control']).toBe('no-store')
  })
})

describe('the pages', () => {
  async function withPages() {
    const clientDir = newFolder()
    mkdirSync(join(clientDir, 'assets'))
    writeFileSync(join(clientDir, 'index.html'), '<!doctype html><title>Ullage</title>')
    writeFileSync(join(clientDir, 'assets', 'main-1a2b.js'), 'export {}')
    writeFileSync(join(clientDir, '..', 'outside.txt'), 'not for anyone')
    const { app } = await service({ clientDir })
    return async (url: string, method: 'GET' | 'POST' = 'GET') => {
      const { statusCode, headers, body } = await app.inject({ method, url })
      return {
        status: statusCode,
        type: String(headers['content-type']).split(';')[0],
        cache: headers['cache-control'],
        body
      }
    }
  }

  it('open from the one page at any place inside the client', async () => {
    const get = await withPages()
    for (const url of ['/', '/join', '/e-1/board?as=l-1', '/e-1/slot/alder-1']) {
      expect(await get(url), url).toMatchObject({ status: 200, type: 'text/html', cache: 'no-cache' })
    }
  })

  it('keep files that are named by their content', async () => {
    const get = await withPages()
    expect(await get('/assets/main-1a2b.js')).toMatchObject({
      status: 200,
      type: expect.stringContaining('javascript') as string,
      cache: 'public, max-age=31536000, immutable'
    })
  })

  it('are not given for a missing file, for the API, or for what lies outside', async () => {
    const get = await withPages()
    for (const url of [
      '/assets/gone.js',
      '/api/v1/nowhere',
      '/api',
      '/../outside.txt',
      '/%2e%2e/outside.txt',
      '/..%2foutside.txt'
    ]) {
      const { status, body } = await get(url)
      expect([400, 403, 404], url).toContain(status)
      expect(body).not.toContain('not for anyone')
    }
    expect((await get('/join', 'POST')).status).toBe(404)
  })
})

describe('the document of the API', () => {
  it('names every route, with its bodies from the same schemas that check them', async () => {
    const { call } = await service()
    const { body } = await call('openapi')
    expect(body['openapi']).toBe('3.1.0')
    const paths = body['paths'] as Record<
      string,
      Record<string, { operationId: string; security?: unknown; requestBody?: unknown }>
    >
    for (const name of Object.keys(ROUTES) as RouteName[]) {
      const route: Route = ROUTES[name]
      const path = (API + route.path).replace(/:(\w+)/g, '{$1}')
      const operation = paths[path]?.[route.method.toLowerCase()]
      expect(operation?.operationId, name).toBe(name)
      expect(operation?.security !== undefined, name).toBe(!route.who.includes('anyone'))
      if (['POST', 'PUT'].includes(route.method)) expect(operation?.requestBody, name).toBeDefined()
    }
    expect(Object.values(paths).flatMap((path) => Object.keys(path))).toHaveLength(Object.keys(ROUTES).length)
    const text = JSON.stringify(body)
    const { schemas } = body['components'] as { schemas: Record<string, { required?: string[] }> }
    for (const [reference] of text.matchAll(/#\/components\/schemas\/\w+/g)) {
      expect(schemas, reference).toHaveProperty(reference.split('/').at(-1) ?? '')
    }
    expect(schemas['PlanInput']?.required).toEqual(Object.keys(smallPlan()))
  })
})

describe('health', () => {
  it('tells that the service is up, its version, and for how long', async () => {
    const { call, clock } = await service()
    clock.forward(2_500)
    const { status, body } = await call('health')
    expect(status).toBe(200)
    expect(healthAnswer.parse(body)).toEqual({ status: 'ok', version: '0.0.0-test', uptimeS: 2.5 })
  })
})
