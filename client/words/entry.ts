const ASK_WHY = {
  check: 'its last figure is beyond reason',
  'externals unread': 'do its externals give?',
  'may be worst': 'it may be the worst'
} as const

export const ENTRY = {
  label: 'Entry line',
  hint: 'A ship and a figure, or a word: alder 1 6.4. Say help.',
  enter: 'Enter',
  recorded: 'Recorded',
  refused: 'Not recorded',
  /** When an observation was that has no time of its own. */
  now: 'now',
  nothingRecorded: 'Nothing is recorded.',
  pick: 'Pick one by its number, or with the arrows and Enter.',
  choices: 'What may be meant',
  /** Whom to ask for fuel, and why. */
  askNext: (ship: string, why: 'check' | 'externals unread' | 'may be worst') => `Ask ${ship}: ${ASK_WHY[why]}`,
  askKey: 'F10',
  nothingToUndo: 'You have entered nothing that can be withdrawn.',
  undone: (said: string) => `Your last entry is withdrawn.${said === '' ? '' : ` It was: ${said}`}`,
  cannotMove: 'It cannot move there: pinned, in contact, done, nobody to pass, or a pinned ship would lose its turn.',
  nothingToLift: 'The order says no such thing of it, or it is in contact or done.',
  nothingPending: 'No moved order is pending.',
  accepted: 'The order is in force.',
  nobodyLeft: 'No ship is on its way to a base.',
  nothingToPin: 'Choose a ship that has a slot.',
  pinned: (ship: string) => `${ship} is pinned in its place.`,
  unpinned: (ship: string) => `${ship} is no longer pinned.`,
  nobodyNamed: 'Choose a ship, or begin the line with a name: alder 1, mallet, mallet boom.',
  onceMore: (ship: string) => `${ship} comes once more, behind its flight.`,
  refuseDone: 'The moved order is dropped.',
  help: 'Help',
  say: 'Say',
  acts: 'Order and page',
  keys: 'Keys',
  close: 'Close'
} as const
