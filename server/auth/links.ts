import type { EventId, ShipId } from '../../shared/contracts/ids.ts'
import type { Role } from '../../shared/contracts/kinds.ts'
import type { Link, Store } from '../store/store.ts'
import { mintLinkId, mintSecret } from './secret.ts'

interface Wanted {
  role: Role
  eventId: EventId | null
  shipId?: ShipId | undefined
}

/** A new link, kept; its secret is here and nowhere else. */
export async function addLink(
  store: Store,
  { role, eventId, shipId }: Wanted,
  nowMs: number
): Promise<Link & { secret: string }> {
  const { secret, secretHash } = mintSecret()
  const link = { linkId: mintLinkId(), role, eventId, shipId: shipId ?? null, createdAtMs: nowMs }
  await store.addLink({ ...link, secretHash })
  return { ...link, revokedAtMs: null, secret }
}
