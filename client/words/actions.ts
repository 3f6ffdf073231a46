import type { HandLimit } from '../../shared/contracts/kinds.ts'

/** What can be said of a chosen ship's tanks, and set of its limits. */
export const ACTIONS = {
  tanks: 'Tanks',
  limit: 'Limit by hand',
  figure: 'figure',
  set: 'Set',
  setFigure: (figure: string) => `Set ${figure}`,
  takeBack: 'As computed',
  open: 'say thousands with a point, or all digits: 4.5, 4500',
  setTo: (ship: string, limit: HandLimit, figure: string) => `${ship} ${limit} by hand: ${figure}.`,
  takenBack: (ship: string, limit: HandLimit) => `${ship} ${limit}: as computed again.`
} as const

/** Words of the entry line about tanks: they go into the line, where what they mean is shown before Enter. */
export const TANK_WORDS = {
  held: 'Held',
  selected: 'Selected',
  jettisoned: 'Jettisoned',
  'not giving': 'Not giving',
  'not taking': 'Not taking',
  well: 'Well'
} as const
export type TankWord = keyof typeof TANK_WORDS

export const LIMIT_NAMES: Record<HandLimit, string> = {
  abort: 'abort fuel',
  bingo: 'bingo',
  joker: 'joker',
  required: 'required at push'
}
