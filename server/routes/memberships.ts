import { z } from 'zod'
import { membershipAnswer, type Membership } from '../../shared/contracts/answers.ts'
import { linkId } from '../../shared/contracts/ids.ts'
import { signInBody } from '../../shared/contracts/requests.ts'
import type { App, Door } from '../app.ts'
import { cookieFor, noCookieFor } from '../auth/cookie.ts'
import { at, linkOf, validLink } from '../auth/guard.ts'
import { Problem } from '../problem.ts'
import type { Link } from '../store/store.ts'
import { REFUSALS } from './answers.ts'

const params = z.object({ linkId })

/** A browser keeps one cookie a link, so it may hold several memberships at once. */
export function registerMemberships(app: App, door: Door): void {
  const { publicUrl } = door

  app.route({
    ...at('signIn'),
    schema: { body: signInBody, response: { 200: membershipAnswer, ...REFUSALS } },
    handler: async (request, reply) => {
      const { secret } = request.body
      const link = await validLink(request, door, secret)
      if (link === null) throw new Problem('no-membership')
      const membership = membershipOf(link)
      reply.header('set-cookie', cookieFor(link.linkId, secret, publicUrl))
      return membership
    }
  })

  app.route({
    ...at('membership'),
    schema: { params, response: { 200: membershipAnswer, ...REFUSALS } },
    handler: async (request) => {
      const link = await linkOf(request, door, request.params.linkId)
      if (link?.linkId !== request.params.linkId) throw new Problem('no-membership')
      return membershipOf(link)
    }
  })

  app.route({
    ...at('signOut'),
    schema: { params, response: { 204: z.undefined(), ...REFUSALS } },
    handler: async (request, reply) => {
      return reply.header('set-cookie', noCookieFor(request.params.linkId, publicUrl)).code(204).send()
    }
  })
}

/** @throws Problem `not-allowed` for a feed: no page is for it */
function membershipOf({ linkId, role, eventId, shipId }: Link): Membership {
  if (role === 'feed') throw new Problem('not-allowed')
  return { linkId, role, eventId, shipId }
}
