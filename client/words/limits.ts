import type { Limit } from '../../shared/contracts/view.ts'

/** What a margin counts to. */
export const LIMIT_WORDS: Record<Limit, string> = {
  'latest contact': 'to latest contact',
  'latest push': 'to latest push',
  'leave for the tanker': 'to leave for the tanker',
  bingo: 'to bingo',
  'recovery fuel': 'to recovery fuel'
}
