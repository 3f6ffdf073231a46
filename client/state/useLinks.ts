import { ref, shallowRef } from 'vue'
import type { Role } from '../../shared/contracts/kinds.ts'
import { createLink, listLinks, renewLink, revokeLink, type CreatedLink, type LinkList } from '../api.ts'
import { refusalSentence } from '../words/refusal.ts'

/** `hours` from now it ends by itself; 0: it does not. */
export interface WantedLink {
  role: Role
  shipId: string | undefined
  hours: number
}

const expiryOf = ({ hours }: Pick<WantedLink, 'hours'>): number | null =>
  hours === 0 ? null : Date.now() + hours * 3_600_000

/** The links of an event. A secret is told once and kept nowhere but on this page. */
export function useLinks(as: string, eventId: string, mayList: boolean) {
  const links = shallowRef<LinkList>([])
  const made = ref('')
  const refusal = ref('')

  async function attempt(act: () => Promise<unknown>) {
    refusal.value = ''
    try {
      await act()
      links.value = await listLinks(as, eventId)
    } catch (problem) {
      refusal.value = await refusalSentence(problem)
    }
  }
  const tell = ({ path }: CreatedLink) => {
    made.value = new URL(path, location.origin).href
  }
  if (mayList) void attempt(() => Promise.resolve())

  return {
    links,
    made,
    refusal,
    make: (wanted: WantedLink) =>
      attempt(async () => {
        const { role, shipId } = wanted
        tell(await createLink(as, eventId, { role, shipId, expiresAtMs: expiryOf(wanted) ?? undefined }))
      }),
    renew: (linkId: string, wanted: Pick<WantedLink, 'hours'>) =>
      attempt(async () => {
        tell(await renewLink(as, eventId, linkId, expiryOf(wanted)))
      }),
    end: (linkId: string) => attempt(() => revokeLink(as, eventId, linkId))
  }
}
