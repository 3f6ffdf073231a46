import type { Membership } from '../../shared/contracts/answers.ts'

type Role = Membership['role']

export type Place = 'board' | 'slot' | 'plan'

export const PLACES = { label: 'Screens', board: 'Board', slot: 'Slot', plan: 'Plan' } as const

/** Everybody of an event reads all of it; the first is where a role begins. */
const BY_ROLE: Record<Role, readonly [Place, ...Place[]]> = {
  viewer: ['board', 'slot', 'plan'],
  crew: ['slot', 'board', 'plan'],
  coordinator: ['board', 'slot', 'plan'],
  commander: ['plan', 'board', 'slot'],
  owner: ['plan', 'board', 'slot']
}

export const placesOf = (role: Role): readonly [Place, ...Place[]] => BY_ROLE[role]
