/** Whom to ask for fuel next, and why. */
export const ASK = {
  next: (ship: string, why: 'check' | 'externals unread' | 'may be worst') => `Ask ${ship}: ${WHY[why]}`,
  key: 'F10'
} as const

const WHY = {
  check: 'its last figure is beyond reason',
  'externals unread': 'do its externals give?',
  'may be worst': 'it may be the worst'
} as const
