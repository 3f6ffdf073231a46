import helmet from '@fastify/helmet'
import type { FastifyInstance } from 'fastify'
import { isSecure } from './auth/cookie.ts'

/**
 * What a browser may do with our pages: run our own files, speak to this service, nothing else. Plain HTTP on a local
 * network is a way to run it, so TLS is demanded only where the public address has it.
 */
export async function registerHeaders(app: FastifyInstance, publicUrl: string | undefined): Promise<void> {
  const secure = isSecure(publicUrl)
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        'default-src': ["'none'"],
        'object-src': ["'none'"],
        'script-src': ["'self'"],
        'style-src': ["'self'"],
        'font-src': ["'self'"],
        'img-src': ["'self'"],
        // Where the address is not known, sockets are to whatever host was typed: older browsers do not count them as 'self'.
        'connect-src': ["'self'", ...(publicUrl === undefined ? ['ws:', 'wss:'] : [publicUrl.replace(/^http/, 'ws')])],
        'manifest-src': ["'self'"],
        'worker-src': ["'self'"],
        'base-uri': ["'none'"],
        'form-action': ["'none'"],
        'frame-ancestors': ["'none'"],
        ...(secure ? { 'upgrade-insecure-requests': [] } : {})
      }
    },
    // A year; sub-domains are not ours to speak for.
    strictTransportSecurity: secure ? { maxAge: 31_536_000, includeSubDomains: false } : false,
    referrerPolicy: { policy: 'no-referrer' },
    xFrameOptions: { action: 'deny' }
  })
  app.addHook('onSend', async (request, reply) => {
    reply.header('permissions-policy', 'camera=(), geolocation=(), microphone=(), payment=(), usb=()')
    // Answers differ by who asks: a shared cache must never hold one.
    if (request.routeOptions.config.name !== undefined && !reply.hasHeader('cache-control')) {
      reply.header('cache-control', 'no-store')
    }
  })
}
