import type { View } from '../shared/contracts/view.ts'
import type { Sight, SightKind } from './order-desk.ts'
import { pictureOf } from './picture.ts'
import type { Candidate, Lapse } from './proposal.ts'

/**
 * Proposals as the desk beside the page tells that they stand. Each is told against the one before of its kind, so every
 * one that comes is to be heard, whatever becomes of it.
 */
export function sightsHeard(): (sight: Sight) => [SightKind, Candidate | Lapse] {
  const views = new Map<SightKind, View>()
  return ({ kind, outcome }) => {
    if (typeof outcome === 'string') return [kind, outcome]
    const { news, ...candidate } = outcome
    const view = pictureOf(views.get(kind), news)
    views.set(kind, view)
    return [kind, { ...candidate, view }]
  }
}
