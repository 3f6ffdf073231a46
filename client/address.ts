import type { Membership } from '../shared/contracts/answers.ts'
import type { Place } from './words/places.ts'

/*
 * The addresses of the pages, few enough to need no library. An address names the membership it acts as; a secret
 * stands only after the # of a join address, and leaves it at once.
 */

export type Where =
  | { page: 'home' }
  | { page: 'join' }
  | { page: 'onload' }
  | { page: 'types' }
  | { page: 'events'; linkId: string }
  | { page: 'new'; linkId: string; from: string | undefined }
  | { page: 'member'; linkId: string; place: Place; eventId: string | undefined; shipId: string | undefined }

/** An owner belongs to no event: the address names it. */
const MEMBER = /^\/as\/([a-z0-9.-]+)(?:\/event\/([a-z0-9.-]+))?\/(board|slot|plan|cards)(?:\/([a-z0-9.-]+))?\/?$/

/** What stands at a path; home for every other one. */
export function whereOf(path: string): Where {
  if (path === '/join') return { page: 'join' }
  if (path === '/onload') return { page: 'onload' }
  if (path === '/types') return { page: 'types' }
  const [, owner] = /^\/as\/([a-z0-9.-]+)\/events\/?$/.exec(path) ?? []
  if (owner !== undefined) return { page: 'events', linkId: owner }
  const [, maker, from] = /^\/as\/([a-z0-9.-]+)\/new(?:\/([a-z0-9.-]+))?\/?$/.exec(path) ?? []
  if (maker !== undefined) return { page: 'new', linkId: maker, from }
  const [, linkId, eventId, place, shipId] = MEMBER.exec(path) ?? []
  if (linkId === undefined || place === undefined) return { page: 'home' }
  return { page: 'member', linkId, place: place as Place, eventId, shipId }
}

export function addressOf(membership: Membership, eventId: string, place: Place, shipId?: string): string {
  const event = membership.eventId === null ? `/event/${eventId}` : ''
  return `/as/${membership.linkId}${event}/${place}${shipId === undefined ? '' : `/${shipId}`}`
}
