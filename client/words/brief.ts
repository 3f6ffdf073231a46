import type { LinkRole } from '../state/useBrief.ts'
import { OVER_H, OVER_MS } from '../brief-links.ts'
import { clockText, dayText, minuteText } from '../figures.ts'

export const BRIEF = {
  title: 'Brief',
  flights: 'Cards by flight',
  tankers: 'Pages by tanker',
  print: 'Print',
  notPublished: 'Nothing is published yet. The cards are of the plan in force: publish it first.',
  open: 'Cards for the brief',
  make: 'Make crew links for the brief',
  makeNote:
    'Each ship gets a new link of its own, printed as a code on its card: whoever holds the card acts for the ship. Links told before go on as they are. The new ones are kept on this page only while it is open; the plan page ends them.',
  plainNote:
    'The codes hold no secret now: they lead to the slot, and open it in a browser that has joined under this link.',
  making: (done: number, all: number) => `${done} of ${all} links made …`,
  made: (count: number) => `${count} links made. Print the cards before you leave this page.`,
  holdsFor: 'Links hold',
  untilOver: (endsAtMs: number) =>
    `until ${dayText(endsAtMs + OVER_MS)} ${minuteText(endsAtMs + OVER_MS)}, ${OVER_H} h after the last landing`,
  roles: 'Links by role',
  code: (of: string) => `Code for ${of}`,
  slotOf: (ship: string) => `${ship}, slot`,
  cardOf: (flight: string) => `${flight}, this card`,
  thisCard: 'this card',
  /** A card on paper meets a watch: where the clock of the event is not plain, it says so. */
  state: (revision: number, publishedAtMs: number | undefined, asOfMs: number, eventClock: string) =>
    `Revision ${revision}${publishedAtMs === undefined ? '' : `, published ${dayText(publishedAtMs)} ${minuteText(publishedAtMs)}`}, as of ${dayText(asOfMs)} ${clockText(asOfMs)}${eventClock === '' ? '' : `, by the ${eventClock}`}`,
  read: 'Read by',
  readNote: (revision: number) => `Whether each crew has read revision ${revision}, the one published.`,
  nobodyMissing: 'Every crew has read it.',
  missing: (count: number, all: number) => `${count} of ${all} have not read it.`,
  look: 'Look again',
  mark: 'Mark as read'
} as const

/** Whether a crew has read a revision, and when; else which one it read last. */
export function readWords(seen: { revision: number; atMs: number } | undefined, revision: number): string {
  if (seen === undefined) return 'not read'
  return seen.revision < revision ? `not read; revision ${seen.revision} was` : `read ${clockText(seen.atMs)}`
}

export const ROLE_WORDS: Record<LinkRole, string> = {
  viewer: 'Looks on: board, slots, plan',
  coordinator: 'Coordinates: records calls, sets the order'
}
