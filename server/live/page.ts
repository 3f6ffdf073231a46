import type { Lines } from './lines.ts'

/** Facts and bytes of them that one answer or one catch-up holds at most; a fact that is larger comes alone. */
export const PAGE = { facts: 2_000, length: 512 * 1024 } as const

/** The last fact, as a sequence number, of the page of a log that begins with `from`; `from - 1` where there is none. */
export function endOfPage(lines: Pick<Lines, 'count' | 'lengthOf'>, from: number): number {
  let to = from - 1
  let length = 0
  while (to < lines.count && to - from + 1 < PAGE.facts) {
    length += lines.lengthOf(to + 1)
    if (length > PAGE.length && to >= from) break
    to += 1
  }
  return to
}
