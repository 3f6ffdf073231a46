import type { Membership } from '../../shared/contracts/answers.ts'

type Role = Membership['role']

export type Place = 'board' | 'slot' | 'plan' | 'cards'

export const PLACES = {
  label: 'Screens',
  board: 'Board',
  slot: 'Slot',
  plan: 'Plan',
  cards: 'Brief',
  signOut: 'Sign out'
} as const

/** Everybody of an event reads all of it; the first is where a role begins. */
const BY_ROLE: Record<Role, readonly [Place, ...Place[]]> = {
  viewer: ['board', 'slot', 'plan', 'cards'],
  crew: ['slot', 'board', 'plan', 'cards'],
  coordinator: ['board', 'slot', 'plan', 'cards'],
  commander: ['plan', 'board', 'slot', 'cards'],
  owner: ['plan', 'board', 'slot', 'cards']
}

export const placesOf = (role: Role): readonly [Place, ...Place[]] => BY_ROLE[role]
