import type { Limit, ShipStatus } from '../../shared/contracts/view.ts'

/** What a margin counts to. */
export const LIMIT_WORDS: Record<Limit, string> = {
  'latest contact': 'to latest contact',
  'latest push': 'to latest push',
  'leave for the tanker': 'to leave for the tanker',
  bingo: 'to bingo',
  'recovery fuel': 'to recovery fuel'
}

/** A mark beside the word, so that a state is never told by colour alone. */
export const STATUS_MARKS: Record<ShipStatus, string> = {
  planned: '\u00b7',
  inbound: '\u2192',
  waiting: '\u25cb',
  next: '\u25d0',
  'in contact': '\u25cf',
  done: '\u2713',
  'must leave': '\u25b2',
  'on task': '\u2192',
  recovering: '\u2198',
  left: '\u2198',
  landed: '\u2193'
}
