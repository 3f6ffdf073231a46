/** Why an entry stands though it was to be taken back, and what to do. */
export const UNDO = {
  stands: (said: string, why: string) =>
    `Your last entry stands.${said === '' ? '' : ` It was: ${said}`} ${why} Undo once more takes back the entry before it.`,
  hasCalls: (callSign: string) =>
    `${callSign} has calls by now. Withdraw those first, or record where it goes: ${callSign.toLowerCase()} left.`,
  builtOn: 'A later order builds on it. Withdraw that one first, or set another order.',
  elsewhere: (said: string) =>
    `The last entry under this link was made in another browser.${said === '' ? '' : ` It was: ${said}`} Undo once more takes it back.`,
  nothingBefore: 'Before the entry that stands you have entered nothing that can be withdrawn.'
} as const
