import { ref, shallowRef } from 'vue'
import type { Role } from '../../shared/contracts/kinds.ts'
import { createLink, listLinks, revokeLink, type LinkList } from '../api.ts'
import { refusalSentence } from '../words/refusal.ts'

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
  if (mayList) void attempt(() => Promise.resolve())

  return {
    links,
    made,
    refusal,
    make: (role: Role, shipId: string | undefined) =>
      attempt(async () => {
        const { path } = await createLink(as, eventId, role, shipId)
        made.value = new URL(path, location.origin).href
      }),
    end: (linkId: string) => attempt(() => revokeLink(as, eventId, linkId))
  }
}
