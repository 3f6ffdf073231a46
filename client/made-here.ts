/** So many of the latest requests are told from those of others under the same link. */
const REMEMBERED = 200

export interface MadeHere {
  note: (requestId: string) => void
  has: (requestId: string) => boolean
}

/** Which requests this browser has made under a link: two people may share one. Kept over a reload where the browser lets it. */
export function madeHere(as: string, eventId: string): MadeHere {
  const key = `ullage made ${as} ${eventId}`
  const here = new Set<string>()
  const kept = (): string[] => {
    try {
      return localStorage.getItem(key)?.split(' ') ?? []
    } catch {
      return []
    }
  }
  return {
    note: (requestId) => {
      here.add(requestId)
      const ids = kept()
      if (ids.includes(requestId)) return
      try {
        localStorage.setItem(key, [...ids, requestId].slice(-REMEMBERED).join(' '))
      } catch {
        // Full or forbidden: it is known as long as the page.
      }
    },
    has: (requestId) => here.has(requestId) || kept().includes(requestId)
  }
}
