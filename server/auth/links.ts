import type { EventId, ShipId } from '../../shared/contracts/ids.ts'
import type { Role } from '../../shared/contracts/kinds.ts'
import type { Link, Store } from '../store/store.ts'
import { mintLinkId, mintSecret } from './secret.ts'

interface Wanted {
  role: Role
  eventId: EventId | null
  shipId?: ShipId | undefined
  /** Real time; left out: it holds until it is revoked. */
  expiresAtMs?: number | undefined
}

/** A new link, kept; its secret is here and nowhere else. */
export async function addLink(
  store: Store,
  { role, eventId, shipId, expiresAtMs }: Wanted,
  nowMs: number
): Promise<Link & { secret: string }> {
  const { secret, secretHash } = mintSecret()
  const link = {
    linkId: mintLinkId(),
    role,
    eventId,
    shipId: shipId ?? null,
    createdAtMs: nowMs,
    expiresAtMs: expiresAtMs ?? null
  }
  await store.addLink({ ...link, secretHash })
  return { ...link, revokedAtMs: null, lastUsedAtMs: null, secret }
}

/** Whether a link opens anything now. */
export const holds = ({ revokedAtMs, expiresAtMs }: Link, nowMs: number): boolean =>
  revokedAtMs === null && (expiresAtMs === null || nowMs < expiresAtMs)
