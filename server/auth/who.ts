import type { Who } from '../../shared/live/permissions.ts'
import type { Link } from '../store/store.ts'

/** A link as the rules of the event see it. */
export const whoOf = ({ linkId, role, shipId }: Pick<Link, 'linkId' | 'role' | 'shipId'>): Who => ({
  linkId,
  role,
  ...(shipId === null ? {} : { shipId })
})
