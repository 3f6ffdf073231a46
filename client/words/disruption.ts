import type { DisruptionName } from '../disruption.ts'

/** What comes otherwise than planned: what its button says, and what it means. */
export const DISRUPTION_WORDS: Record<DisruptionName, { button: string; means: string }> = {
  late: { button: 'Late', means: 'ready later: so many minutes, or at a time' },
  'no-show': { button: 'No-show', means: 'does not come; shows takes it back' },
  partial: { button: 'Partial on-load', means: 'off early with that off-load' },
  priority: { button: 'Priority', means: 'of its flight, 1 first to 5; or planned' },
  'top-off': { button: 'Top-off', means: 'comes once more, behind its flight' },
  'not before': { button: 'Lift not before', means: 'the order lets it come as soon as it can' },
  'internals only': { button: 'Full on-load', means: 'the order lets it take what its rule asks for' },
  suspect: { button: 'Suspect', means: 'the station takes nobody new' },
  failed: { button: 'Failed', means: 'the station is out' },
  good: { button: 'Good', means: 'the station is well again' },
  'tanker late': { button: 'Late', means: 'on station later: so many minutes, or at a time' },
  leaves: { button: 'Leaves', means: 'leaves at a time, in so many minutes, or so many early' },
  gives: { button: 'Gives', means: 'will give only so much' },
  closed: { button: 'Closed', means: 'nobody can land at the base' },
  open: { button: 'Open', means: 'the base is open again' },
  stray: {
    button: 'Receiver nobody planned',
    means: 'call sign, type, fuel and tanker in one line; takes 4.0 or takes full behind it'
  }
}

export const DISRUPTION = {
  otherwise: 'Otherwise than planned',
  shows: 'Shows',
  key: (letter: string) => `Alt ${letter}`
} as const

/** An example of a line for each, in turn as the help shows them. */
export const DISRUPTION_LINES: readonly { name: DisruptionName; say: string }[] = [
  { name: 'late', say: 'alder 1 late 5, alder 1 late until 1432, alder 1 on time' },
  { name: 'no-show', say: 'alder 1 no-show, alder 1 shows' },
  { name: 'partial', say: 'alder 1 partial 2.1' },
  { name: 'priority', say: 'alder priority 1, alder priority planned' },
  { name: 'top-off', say: 'alder 1 top-off' },
  { name: 'not before', say: 'alder 1 lift not before' },
  { name: 'internals only', say: 'alder 1 full on-load' },
  { name: 'suspect', say: 'mallet boom suspect' },
  { name: 'failed', say: 'mallet boom failed' },
  { name: 'good', say: 'mallet boom good' },
  { name: 'tanker late', say: 'mallet late 10, mallet late 1440, mallet on time' },
  { name: 'leaves', say: 'mallet leaves 1510, mallet leaves in 20, mallet leaves 20 early' },
  { name: 'gives', say: 'mallet gives 30.0 more, mallet keeps 22.5, mallet gives planned' },
  { name: 'closed', say: 'adze closed' },
  { name: 'open', say: 'adze open' },
  { name: 'stray', say: 'stray awl 7 larch 3.2 mallet' }
]
