import type { FastifyInstance } from 'fastify'
import type { RouteName } from '../shared/contracts/routes.ts'
import { isSecure } from './auth/cookie.ts'

declare module 'fastify' {
  interface FastifyRequest {
    /**
     * Which line of the table its route is, or a page. Noted once, by the first hook: the framework puts what it knows of a
     * route together anew each time it is asked. Null before.
     */
    routeName: RouteName | 'page' | null
  }
}

/**
 * What every answer says: under which id the log knows it, and what a browser may do with it. A page may run our own files
 * and speak to this service, nothing else; an answer that is data may do nothing. Plain HTTP on a local network is a way to run it, so TLS is demanded
 * only where the public address has it.
 */
export function registerHeaders(app: FastifyInstance, publicUrl: string | undefined): void {
  const [onPages, onAnswers] = [headersOf(publicUrl), answerHeadersOf(publicUrl)]
  app.decorateRequest('routeName', null)
  app.addHook('onRequest', (request, reply, done) => {
    request.routeName = request.routeOptions.config.name ?? 'page'
    reply.headers(request.routeName === 'page' ? onPages : onAnswers).header('request-id', request.id)
    done()
  })
}

/** The same on every page, so put together once. */
export function headersOf(publicUrl: string | undefined): Readonly<Record<string, string>> {
  const secure = isSecure(publicUrl)
  const policy = [
    `default-src 'none'`,
    `object-src 'none'`,
    `script-src 'self'`,
    `style-src 'self'`,
    `font-src 'self'`,
    `img-src 'self'`,
    // Where the address is not known, sockets are to whatever host was typed: older browsers do not count them as 'self'.
    `connect-src 'self' ${publicUrl === undefined ? 'ws: wss:' : publicUrl.replace(/^http/, 'ws')}`,
    `manifest-src 'self'`,
    `worker-src 'self'`,
    `base-uri 'none'`,
    `form-action 'none'`,
    `frame-ancestors 'none'`,
    ...(secure ? ['upgrade-insecure-requests'] : [])
  ]
  return {
    'content-security-policy': policy.join(';'),
    'cross-origin-opener-policy': 'same-origin',
    'cross-origin-resource-policy': 'same-origin',
    'origin-agent-cluster': '?1',
    'permissions-policy': 'camera=(), geolocation=(), microphone=(), payment=(), usb=()',
    'referrer-policy': 'no-referrer',
    'x-content-type-options': 'nosniff',
    'x-dns-prefetch-control': 'off',
    'x-download-options': 'noopen',
    'x-frame-options': 'DENY',
    'x-permitted-cross-domain-policies': 'none',
    'x-xss-protection': '0',
    ...(secure ? TLS : {})
  }
}

/**
 * The same on every answer that is data: it starts nothing, is framed by nobody and read by no other site; what else is said
 * of pages says nothing of it. A hundred and fifty bytes instead of nine hundred on each call.
 * Source: OWASP REST Security Cheat Sheet, "Security Headers", from memory.
 */
const answerHeadersOf = (publicUrl: string | undefined): Readonly<Record<string, string>> => ({
  // Answers differ by who asks: a shared cache must never hold one, unless its route says otherwise.
  'cache-control': 'no-store',
  'content-security-policy': `default-src 'none';object-src 'none';base-uri 'none';form-action 'none';frame-ancestors 'none'`,
  'cross-origin-resource-policy': 'same-origin',
  'referrer-policy': 'no-referrer',
  'x-content-type-options': 'nosniff',
  'x-frame-options': 'DENY',
  ...(isSecure(publicUrl) ? TLS : {})
})

/** A year; sub-domains are not ours to speak for. */
const TLS = { 'strict-transport-security': 'max-age=31536000' } as const
