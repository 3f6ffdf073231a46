import type { TankTrouble } from '../../shared/contracts/kinds.ts'

/** What is wrong with a tank, as a pilot says it on the slot page. */
export const TROUBLE = {
  title: 'Tank trouble',
  well: 'well again',
  tank: (name: string, tankNumber: number | undefined) =>
    tankNumber === undefined ? name : `${name} ${String(tankNumber)}`,
  of: (tank: string, what: string) => `${tank} ${what}`,
  said: (ship: string, tank: string, trouble: TankTrouble | undefined) => `${ship} ${tank} ${trouble ?? 'well again'}`
} as const
