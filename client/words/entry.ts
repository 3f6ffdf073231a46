export const ENTRY = {
  label: 'Entry line',
  hint: 'A ship and a figure, or a word: alder 21 6.4. Say help.',
  enter: 'Enter',
  recorded: 'Recorded',
  refused: 'Not recorded',
  nothingToUndo: 'You have entered nothing that can be withdrawn.',
  undone: 'Your last entry is withdrawn.',
  cannotMove: 'It cannot move there: pinned, in contact, done, or nobody to pass.',
  nothingPending: 'No moved order is pending.',
  accepted: 'The order is in force.',
  refuseDone: 'The moved order is dropped.',
  help: 'Help',
  say: 'Say',
  keys: 'Keys',
  close: 'Close'
} as const
