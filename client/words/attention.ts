import type { DealName } from '../attention.ts'

export const ATTENTION = {
  title: 'Needs attention',
  nothing: 'Nothing needs attention.',
  more: (count: number) => `and ${count} more`,
  /** Lines that the list is too low for: it scrolls. */
  below: (count: number) => `${count} more below`,
  next: 'F9',
  nextMeans: 'take up the worst, then the next',
  sound: 'Sound',
  spoken: 'Speak',
  soundMeans: 'A quiet tone when something new needs attention; the list says what',
  spokenMeans: 'The browser says what newly needs attention; the list says the same',
  on: 'on',
  off: 'off',
  /** What is told to those who hear the page. */
  fresh: (sentences: readonly string[], more: number) => `${sentences.join(' ')}${more > 0 ? ` And ${more} more.` : ''}`
} as const

/** What deals with a reason, as its button says it. */
export const DEAL_WORDS: Record<DealName, string> = {
  'move up': 'Move it up',
  'better order': 'Better order',
  'order list': 'Order',
  'top-off': 'Top-off',
  'tanker leaves': 'Leaves',
  'station good': 'Good again',
  'ask for fuel': 'Call',
  flowing: 'Flowing',
  'select externals': 'Selected',
  'not giving': 'Not giving',
  leaves: 'Leaves for',
  choose: 'Choose'
}
