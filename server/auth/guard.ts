import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { API, ROUTES, type Route, type RouteName } from '../../shared/contracts/routes.ts'
import { Problem } from '../problem.ts'
import type { Link, Soon, Store } from '../store/store.ts'
import type { Clock } from '../clock.ts'
import { addressOf, type Limits } from '../limits.ts'
import { carriesLink, secretIn } from './cookie.ts'
import { holds } from './links.ts'
import { hashOf } from './secret.ts'
import type { Revocations } from './revocations.ts'
import type { Uses } from './uses.ts'

/*
 * Who may call what: one hook in front of every route of the table, before a body is read. Origin first, then the
 * link, then its event, then its role. Whatever changes something asks for the link once more when the body is there.
 */

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Which line of the table this route is. */
    name?: RouteName
  }
  interface FastifyRequest {
    link: Link | null
    /** What stands for the secret it showed, as the store knows it; it is looked up more than once. */
    secretHash: string | null
  }
}

interface GuardParts {
  store: Store
  clock: Pick<Clock, 'nowMs'>
  uses?: Uses | undefined
  /** Links that are out although the store does not know of it. */
  revocations?: Pick<Revocations, 'has'> | undefined
  publicUrl?: string | undefined
  /** How often it may be asked; left out, as often as one likes. */
  limits?: Limits | undefined
}

/** Method, address and place in the table of one route: spread into its registration. */
export function at(name: RouteName): Pick<Route, 'method'> & { url: string; config: { name: RouteName } } {
  const { method, path } = ROUTES[name]
  return { method, url: API + path, config: { name } }
}

export function registerGuard(app: FastifyInstance, parts: GuardParts): void {
  app.decorateRequest('link', null)
  app.decorateRequest('secretHash', null)
  app.addHook('onRoute', (options) => {
    const { url, config, method, preHandler = [] } = options
    if (url.startsWith(API) && config?.name === undefined) throw new Error(`${url} is not in the table of routes`)
    // The last of all, behind what reads a plan on a thread. What only reads has no body to wait for.
    if (method !== 'GET') options.preHandler = [preHandler, asHook((request) => checkAgain(request, parts))].flat()
  })
  app.addHook(
    'onRequest',
    asHook((request) => check(request, parts))
  )
}

/** A promise alone is waited for: each costs as much as all the checks, and most are made in one step. */
const asHook =
  (act: (request: FastifyRequest) => Soon<void>) =>
  (request: FastifyRequest, _: FastifyReply, done: (error?: Error) => void): void => {
    const acting = act(request)
    if (acting instanceof Promise)
      acting.then(
        () => {
          done()
        },
        // Whatever it was refused with: nothing at all would mean that it may pass.
        (error: unknown) => {
          done(error instanceof Error ? error : new Error('the guard failed', { cause: error }))
        }
      )
    else done()
  }

/** @throws Problem why the request may not be made */
function check(request: FastifyRequest, parts: GuardParts): Soon<void> {
  const { routeName: name } = request
  if (name === null) throw new Error(`nobody noted what route ${request.url} is`)
  if (name === 'page') return
  const route: Route = ROUTES[name]
  checkOrigin(request, route, parts.publicUrl)
  if (route.who.includes('anyone')) {
    parts.limits?.call(name, addressOf(request))
    return
  }
  return onceKnown(linkOf(request, parts), (link) => {
    if (link === null) throw new Problem('no-membership')
    request.link = link
    parts.limits?.call(name, link.linkId)
    checkPlace(link, route, request.params)
  })
}

/**
 * A body may take half a minute, in which the link may be ended, renewed or run out. The secret was good at the
 * beginning, so that it is no guess and counts as none.
 */
function checkAgain({ link, secretHash }: FastifyRequest, parts: GuardParts): Soon<void> {
  if (link === null || secretHash === null) return
  return onceKnown(parts.store.linkOf(secretHash), (now) => {
    if (!opens(now, parts)) throw new Problem('no-membership')
  })
}

/** The link a guarded route was called under. */
export function callerOf(request: FastifyRequest): Link {
  if (request.link === null) throw new Error(`${request.url} was not guarded`)
  return request.link
}

/** The valid link that the request shows: a bearer secret, or the cookie of the membership it names. */
export function linkOf(
  request: FastifyRequest,
  parts: GuardParts,
  named = membershipNamed(request)
): Soon<Link | null> {
  const bearer = /^Bearer +(\S+)$/i.exec(request.headers.authorization ?? '')?.[1]
  const { cookie } = request.headers
  const secret = bearer ?? (named === undefined ? undefined : secretIn(cookie, named, parts.publicUrl))
  if (secret === undefined || secret === '') return null
  return onceKnown(validLink(request, parts, secret), (link) =>
    bearer !== undefined || link?.linkId === named ? link : null
  )
}

/**
 * The link a secret opens now. Only wrong ones are counted against the address they come from, after the look, which costs
 * a hash and a line of an index: nobody with a right one is shut out by who else sits behind the address. That of a link
 * which has ended is no guess.
 */
export function validLink(request: FastifyRequest, parts: GuardParts, secret: string): Soon<Link | null> {
  const { store, clock, limits, uses } = parts
  request.secretHash = hashOf(secret)
  return onceKnown(store.linkOf(request.secretHash), (link) => {
    if (link === undefined) limits?.wrongSecret(addressOf(request))
    else if (!opens(link, parts)) limits?.endedSecret(addressOf(request))
    else {
      uses?.note(link.linkId, clock.nowMs())
      return link
    }
    return null
  })
}

const onceKnown = <T, U>(value: Soon<T>, use: (value: T) => U): Soon<U> =>
  value instanceof Promise ? value.then(use) : use(value)

/** Whether a link that a secret was found to be of opens anything now. */
const opens = (link: Link | undefined, { clock, revocations }: GuardParts): link is Link =>
  link !== undefined && holds(link, clock.nowMs()) && revocations?.has(link.linkId) !== true

/** A header on requests; a query on sockets and downloads, which can send none. */
function membershipNamed(request: FastifyRequest): string | undefined {
  const header = request.headers['ullage-as']
  if (typeof header === 'string') return header
  if (request.method !== 'GET') return undefined
  const { as } = request.query as Record<string, unknown>
  return typeof as === 'string' ? as : undefined
}

/** A link sees its own event and nothing of another: not even whether it exists. */
function checkPlace(link: Link, route: Route, params: unknown): void {
  const { eventId } = params as Record<string, unknown>
  const isOwner = link.role === 'owner'
  if (eventId !== undefined && !isOwner && link.eventId !== eventId) throw new Problem('not-found')
  const allowed =
    isOwner ||
    route.who.includes(link.role) ||
    (eventId !== undefined && isReader(link) && route.who.includes('member'))
  if (!allowed) throw new Problem('not-allowed')
}

/** A feed is no member: it may do what names it, and nothing else. */
const isReader = ({ role }: Link): boolean => role !== 'feed'

/**
 * Whatever changes something, and every socket, must come from our own pages: a foreign origin is refused always, a
 * missing one where the browser would have added a cookie by itself.
 */
function checkOrigin(request: FastifyRequest, route: Route, publicUrl: string | undefined): void {
  if (route.method === 'GET' && !request.ws) return
  const { origin, cookie } = request.headers
  if (origin === undefined ? carriesLink(cookie, publicUrl) : origin !== ownOrigin(request, publicUrl)) {
    throw new Problem('foreign-origin')
  }
}

const ownOrigin = (request: FastifyRequest, publicUrl: string | undefined): string =>
  publicUrl ?? `http://${request.headers.host ?? ''}`
