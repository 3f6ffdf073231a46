import { computed, shallowRef, watch, type ComputedRef } from 'vue'
import type { MemberList } from '../../shared/contracts/answers.ts'
import { holderOf } from '../../shared/live/state.ts'
import { listMembers } from '../api.ts'
import { memberName, presentWords } from '../words/members.ts'
import type { LiveEvent } from './useEvent.ts'

/** Who holds a tanker. */
export interface Holder {
  name: string
  isMine: boolean
}

export interface Members {
  /** Who a link is, in words. */
  nameOf: ComputedRef<(linkId: string) => string>
  /** Who looks on, in words; empty before it is known. */
  present: ComputedRef<string>
  /** By tanker. */
  holders: ComputedRef<ReadonlyMap<string, Holder>>
  /** Links that are to be named; the list of all is asked for when one of them is not known yet. */
  want: (linkIds: readonly string[]) => void
}

/** The links of one event, as the others know them. */
export function useMembers(event: LiveEvent, own: string, eventId: string): Members {
  const members = shallowRef<MemberList>([])
  const asked = new Set<string>([own])

  function want(linkIds: readonly string[]) {
    const fresh = linkIds.filter((id) => !asked.has(id) && !members.value.some(({ linkId }) => linkId === id))
    if (fresh.length === 0) return
    for (const id of fresh) asked.add(id)
    listMembers(own, eventId).then(
      (list) => {
        members.value = list
      },
      () => {
        for (const id of fresh) asked.delete(id)
      }
    )
  }
  const held = computed(() =>
    (event.state.value.plan?.tankers ?? []).flatMap(({ id }) => {
      const holder = holderOf(event.state.value, id)
      return holder === undefined ? [] : [{ tankerId: id, linkId: holder.linkId }]
    })
  )
  watch([event.presence, held], ([present, holders]) => {
    want([...present, ...holders].map(({ linkId }) => linkId))
  })
  const nameOf = computed(() => {
    const [labels, list] = [event.labels.value, members.value]
    return (linkId: string) => (labels === undefined ? '' : memberName(linkId, { members: list, labels, own }))
  })
  return {
    nameOf,
    want,
    present: computed(() => {
      const labels = event.labels.value
      return labels === undefined ? '' : presentWords(event.presence.value, { members: members.value, labels, own })
    }),
    holders: computed(
      () =>
        new Map(
          held.value.map(({ tankerId, linkId }) => [tankerId, { name: nameOf.value(linkId), isMine: linkId === own }])
        )
    )
  }
}
