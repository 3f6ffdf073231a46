import type { FactKind } from '../../shared/contracts/kinds.ts'
import type { LinkList } from '../api.ts'
import { dayText, minuteText } from '../figures.ts'

/** How long a link may hold from now, h; 0: until it is ended. */
export const HOLDS: readonly { hours: number; text: string }[] = [
  { hours: 0, text: 'until it is ended' },
  { hours: 12, text: '12 hours' },
  { hours: 24, text: '1 day' },
  { hours: 168, text: '7 days' }
]

/** What somebody did, by the fact it made. */
const DID: Record<FactKind, string> = {
  planAdopted: 'published a plan',
  eventOpened: 'opened the event',
  eventClosed: 'closed the event',
  clockSet: 'set the clock',
  shipJoined: 'joined',
  fuelCalled: 'fuel call',
  tankerFuelCalled: 'tanker fuel call',
  contactMade: 'contact',
  fuelFlowing: 'fuel flowing',
  disconnected: 'disconnect',
  pushed: 'push',
  shipLeft: 'left',
  landed: 'landed',
  stationStatus: 'station state',
  externalsSet: 'externals',
  troubleSet: 'tank trouble',
  jettisoned: 'jettison',
  limitSet: 'limit by hand',
  pinSet: 'pin',
  orderSet: 'order',
  readySet: 'ready time',
  noShowSet: 'no-show',
  prioritySet: 'priority',
  onLoadSet: 'on-load',
  tankerTimesSet: 'tanker times',
  giveSet: 'give',
  baseSet: 'base state',
  receiverAdded: 'receiver taken in',
  slotSeen: 'slot read',
  tankerHeld: 'tanker held',
  factWithdrawn: 'withdrawal'
}

type Listed = LinkList[number]
const instant = (atMs: number): string => `${dayText(atMs)} ${minuteText(atMs)}`

/** Whether it holds and until when, when it was used, and what was done under it. */
export function linkSentences(link: Listed, shipName: (shipId: string) => string): string[] {
  const { expiresAtMs, lastUsedAtMs, factCount, lastFacts } = link
  const last = lastFacts.map(({ kind, atMs, shipId }) =>
    [shipId === undefined ? undefined : shipName(shipId), DID[kind], minuteText(atMs)].filter(Boolean).join(' ')
  )
  return [
    ...(expiresAtMs === null ? [] : [`holds until ${instant(expiresAtMs)}`]),
    lastUsedAtMs === null ? 'never used' : `last used ${instant(lastUsedAtMs)}`,
    ...(factCount === 0 ? ['recorded nothing'] : [`recorded ${String(factCount)}, last ${last.join(', ')}`])
  ]
}

export const LINK_TEXT = {
  title: 'Links as text, to paste into a chat',
  note: 'Each line is for one crew or role alone: whoever has it acts under it. Send each to its own.',
  copy: 'Copy all',
  copied: 'Copied.',
  marked: 'Marked: copy it by hand.'
} as const
