import type { Limit, LimitView } from '../../shared/contracts/view.ts'

/** What a margin counts to. */
export const LIMIT_WORDS: Record<Limit, string> = {
  'latest contact': 'to latest contact',
  'latest push': 'to latest push',
  'leave for the tanker': 'to leave for the tanker',
  bingo: 'to bingo',
  'recovery fuel': 'to recovery fuel'
}

/** How a limit stands that somebody set by hand; nothing of one that is as computed. */
export function handWords(limit: LimitView | null): string {
  if (limit === null || limit.byHandKg === null) return ''
  return limit.byHandKg < limit.computedKg ? 'by hand, computed rules' : 'by hand'
}
