import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { ROOT } from '../../server/root.ts'
import { pathOf } from '../../shared/contracts/routes.ts'
import { marksOf, scoreOf, type Page, type Rule } from './observatory.ts'
import { service } from './service.ts'

const PUBLIC_URL = 'https://ullage.example.org'

/** Our first page as it leaves the service behind a proxy with TLS, with the cookie of somebody who signed in. */
async function ourPage(): Promise<Page> {
  const { app, call, owner } = await service({ publicUrl: PUBLIC_URL, clientDir: join(ROOT, 'client') })
  const { statusCode, headers, body } = await app.inject({ url: '/' })
  expect([statusCode, body]).toEqual([200, readFileSync(join(ROOT, 'client', 'index.html'), 'utf8')])
  const signedIn = await call('signIn', { body: { secret: owner.secret }, headers: { origin: PUBLIC_URL } })
  const cookie = signedIn.headers['set-cookie']
  if (typeof cookie !== 'string') throw new Error('signing in set no cookie')
  return { headers: headers as Record<string, string>, cookies: [cookie], html: body }
}

const TAKEN: [what: string, rule: Rule, mark: number, weakened: (page: Page) => Page][] = [
  ['no policy', 'content-security-policy', -25, (page) => withHeader(page, 'content-security-policy')],
  ['inline scripts', 'content-security-policy', -20, policyWith("script-src 'self'", "script-src 'unsafe-inline'")],
  ['any source of scripts', 'content-security-policy', -20, policyWith("script-src 'self'", 'script-src https:')],
  ['pictures without TLS', 'content-security-policy', -10, policyWith("img-src 'self'", 'img-src http:')],
  ['inline styles', 'content-security-policy', 0, policyWith("style-src 'self'", "style-src 'unsafe-inline'")],
  ['a default', 'content-security-policy', 5, policyWith("default-src 'none'", "default-src 'self'")],
  ['a policy that may be framed', 'x-frame-options', 0, policyWith("frame-ancestors 'none'", "manifest-src 'self'")],
  ['a cookie without Secure', 'cookies', -20, cookieWith(/; Secure/i)],
  ['a cookie for other sites', 'cookies', 0, cookieWith(/; SameSite=Strict/i)],
  ['no word on TLS', 'strict-transport-security', -20, (page) => withHeader(page, 'strict-transport-security')],
  [
    'TLS for a month',
    'strict-transport-security',
    -10,
    (page) => withHeader(page, 'strict-transport-security', 'max-age=2592000')
  ],
  ['types guessed', 'x-content-type-options', -5, (page) => withHeader(page, 'x-content-type-options')],
  ['the whole address told', 'referrer-policy', -5, (page) => withHeader(page, 'referrer-policy', 'unsafe-url')],
  [
    'answers for any site',
    'cross-origin-resource-policy',
    0,
    (page) => withHeader(page, 'cross-origin-resource-policy')
  ],
  [
    'a script from elsewhere',
    'subresource-integrity',
    -5,
    (page) => ({ ...page, html: '<script src="https://elsewhere.test/a.js"></script>' })
  ],
  [
    'any origin with its cookies',
    'cross-origin-resource-sharing',
    -50,
    (page) =>
      withHeader(withHeader(page, 'access-control-allow-origin', '*'), 'access-control-allow-credentials', 'true')
  ]
]

describe('the headers of a page under TLS', () => {
  it('have full marks by the rules of the HTTP Observatory, but for the list of preloaded domains', async () => {
    const page = await ourPage()
    expect(marksOf(page)).toEqual({
      'content-security-policy': 10,
      cookies: 5,
      'cross-origin-resource-sharing': 0,
      'referrer-policy': 5,
      'strict-transport-security': 0,
      // Every script is ours; a hash on the page that names it would guard against nobody.
      'subresource-integrity': 0,
      'x-content-type-options': 0,
      'x-frame-options': 5,
      'cross-origin-resource-policy': 10
    })
    // 100 and above is the best grade, A+.
    expect(scoreOf(page)).toBe(135)
    expect(page.html).not.toMatch(/<script(?![^>]*\ssrc=)|<style|\sstyle=|\son\w+=/)
  })

  it.each(TAKEN)('would not have them with %s', async (_, rule, mark, weakened) => {
    const page = await ourPage()
    const weak = weakened(page)
    expect(marksOf(weak)[rule]).toBe(mark)
    expect(scoreOf(weak)).toBeLessThan(scoreOf(page))
  })

  it('are the same on answers, which no page may be made of', async () => {
    const { app } = await service({ publicUrl: PUBLIC_URL })
    const { headers } = await app.inject({ url: pathOf('health') })
    expect(scoreOf({ headers: headers as Record<string, string>, cookies: [], html: '' })).toBe(130)
  })
})

function withHeader(page: Page, name: string, value?: string): Page {
  return { ...page, headers: { ...page.headers, [name]: value } }
}

function policyWith(before: string, after: string): (page: Page) => Page {
  return (page) => {
    const policy = page.headers['content-security-policy'] ?? ''
    expect(policy).toContain(before)
    return withHeader(page, 'content-security-policy', policy.replace(before, after))
  }
}

function cookieWith(without: RegExp): (page: Page) => Page {
  return (page) => {
    expect(page.cookies[0]).toMatch(without)
    return { ...page, cookies: page.cookies.map((cookie) => cookie.replace(without, '')) }
  }
}
