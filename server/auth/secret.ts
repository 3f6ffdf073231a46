import { hash, randomBytes } from 'node:crypto'
import { eventId, linkId, type EventId, type LinkId } from '../../shared/contracts/ids.ts'

const SECRET_BYTES = 16
const ID_BYTES = 8

/** 128 random bits that open a link, and what is kept of them. */
export function mintSecret(): { secret: string; secretHash: string } {
  const secret = randomBytes(SECRET_BYTES).toString('base64url')
  return { secret, secretHash: hashOf(secret) }
}

/** What stands for a secret in the store. With 128 random bits behind it, one round without salt is enough. */
export const hashOf = (secret: string): string => hash('sha256', secret, 'base64url')

export const mintEventId = (): EventId => eventId.parse(`e-${randomBytes(ID_BYTES).toString('hex')}`)
/** The id of an event that a request makes: a repeat under the same link has the same. */
export const eventIdFor = (by: string, requestId: string): EventId =>
  eventId.parse(`e-${hash('sha256', `${by} ${requestId}`, 'hex').slice(0, ID_BYTES * 2)}`)
export const mintLinkId = (): LinkId => linkId.parse(`l-${randomBytes(ID_BYTES).toString('hex')}`)
export const mintSearchId = (): string => `s-${randomBytes(ID_BYTES).toString('hex')}`

/** The page a link opens; the secret stands after #, which browsers never send. */
export const joinPath = (secret: string): string => `/join#${secret}`
