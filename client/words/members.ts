import type { MemberList } from '../../shared/contracts/answers.ts'
import type { Present } from '../../shared/contracts/stream.ts'
import type { Labels } from '../labels.ts'

export const MEMBERS = {
  here: 'Looking on',
  you: 'you',
  someone: 'another link',
  owner: 'owner',
  log: 'Log',
  clock: 'Clock',
  heldBy: 'held by',
  hold: 'Hold',
  letGo: 'Let go',
  takeOver: 'Take over',
  holdOf: (tanker: string) => `Hold ${tanker}: you look after it`,
  letGoOf: (tanker: string) => `Let go of ${tanker}`,
  takeOverOf: (tanker: string, holder: string) => `Take over ${tanker} from ${holder}`,
  holds: (tanker: string) => `You hold ${tanker}.`,
  letsGo: (tanker: string) => `Nobody in particular holds ${tanker}.`
} as const

/** Who a link is, as the others know it: its role, told apart by a number, or the ship it writes for. */
export function memberName(linkId: string, { members, labels, own }: Known): string {
  if (linkId === own) return MEMBERS.you
  const member = members.find((one) => one.linkId === linkId)
  // The owner's link belongs to no event.
  if (member === undefined) return members.length === 0 ? MEMBERS.someone : MEMBERS.owner
  const alike = members.filter((one) => one.role === member.role && one.shipId === member.shipId)
  const name = member.shipId === null ? member.role : `crew of ${labels.ship(member.shipId)}`
  return alike.length === 1 ? name : `${name} ${String(alike.indexOf(member) + 1)}`
}
export interface Known {
  members: MemberList
  labels: Labels
  /** The link of this page. */
  own: string
}

/** Those who run the event by name; the others counted. */
export function presentWords(present: readonly Present[], known: Known): string {
  const roleOf = (linkId: string) => known.members.find((one) => one.linkId === linkId)?.role
  const runs = present.filter(({ linkId }) => {
    const role = roleOf(linkId)
    return linkId === known.own || role === undefined || role === 'commander' || role === 'coordinator'
  })
  const others = present.filter((one) => !runs.includes(one))
  const named = runs.map(
    ({ linkId, boards }) => memberName(linkId, known) + (boards > 1 ? ` on ${String(boards)} pages` : '')
  )
  named.sort((a, b) => (a.startsWith(MEMBERS.you) ? -1 : b.startsWith(MEMBERS.you) ? 1 : a < b ? -1 : 1))
  const crews = new Set(
    others.flatMap(
      ({ linkId }) => known.members.find((one) => one.linkId === linkId && one.role === 'crew')?.shipId ?? []
    )
  )
  const viewers = others
    .filter(({ linkId }) => roleOf(linkId) === 'viewer')
    .reduce((sum, { boards }) => sum + boards, 0)
  if (crews.size > 0) named.push(`crew of ${String(crews.size)} ${crews.size === 1 ? 'ship' : 'ships'}`)
  if (viewers > 0) named.push(`${String(viewers)} ${viewers === 1 ? 'viewer' : 'viewers'}`)
  return named.join(', ')
}
