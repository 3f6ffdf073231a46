import { computed, ref, shallowRef } from 'vue'
import type { Membership } from '../../shared/contracts/answers.ts'
import { createLink } from '../api.ts'
import { addressOf } from '../address.ts'
import { refusalSentence } from '../words/refusal.ts'

/** Links that a brief hands out beside those of the crews. */
export const LINK_ROLES = ['viewer', 'coordinator'] as const
export type LinkRole = (typeof LINK_ROLES)[number]

/**
 * What the codes of a brief lead to. Links are made when they are asked for, a ship at a time, and always new ones: another
 * secret for a link that somebody was told already would lock him out. Secrets are kept while the page is open, and here alone.
 */
export function useBrief(membership: Membership, eventId: string) {
  const as = membership.linkId
  const crews = shallowRef<ReadonlyMap<string, string>>(new Map())
  const roles = shallowRef<ReadonlyMap<LinkRole, string>>(new Map())
  const progress = ref<{ done: number; all: number }>()
  const refusal = ref('')
  const own = (place: 'slot' | 'cards', of: string) =>
    new URL(addressOf(membership, eventId, place, of), location.origin).href
  /** @throws Refusal of the service */
  async function make(shipIds: readonly string[], expiresAtMs: number | undefined) {
    const linkFor = async (role: 'crew' | LinkRole, shipId: string | undefined) => {
      const { path } = await createLink(as, eventId, { role, shipId, expiresAtMs })
      return new URL(path, location.origin).href
    }
    const all = shipIds.length + LINK_ROLES.length
    let done = 0
    const made = () => (progress.value = { done: ++done, all })
    progress.value = { done, all }
    for (const role of LINK_ROLES) {
      roles.value = new Map(roles.value).set(role, await linkFor(role, undefined))
      made()
    }
    for (const shipId of shipIds) {
      crews.value = new Map(crews.value).set(shipId, await linkFor('crew', shipId))
      made()
    }
  }

  return {
    roles,
    crews,
    progress,
    refusal,
    isMade: computed(() => progress.value !== undefined && progress.value.done === progress.value.all),
    slotAddress: (shipId: string) => crews.value.get(shipId) ?? own('slot', shipId),
    /** A looker-on's link that leads to the card itself. */
    cardAddress: (of: string) => {
      const viewer = roles.value.get('viewer')
      return viewer === undefined ? own('cards', of) : `${viewer}/cards/${of}`
    },
    /** Until an instant of real time; undefined: until they are ended. */
    make: async (shipIds: readonly string[], expiresAtMs: number | undefined) => {
      refusal.value = ''
      try {
        await make(shipIds, expiresAtMs)
      } catch (problem) {
        progress.value = undefined
        refusal.value = await refusalSentence(problem)
      }
    }
  }
}
