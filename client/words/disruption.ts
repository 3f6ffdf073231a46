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
  stray: { button: 'Receiver nobody planned', means: 'call sign, type, fuel and tanker in one line' }
}

export const DISRUPTION = {
  otherwise: 'Otherwise than planned',
  shows: 'Shows',
  key: (letter: string) => `Alt ${letter}`
} as const

/** An example of a line for each, in turn as the help shows them. */
export const DISRUPTION_LINES: readonly { name: DisruptionName; say: string }[] = [
  { name: 'late', say: 'alder 21 late 5, late 1432, on time' },
  { name: 'no-show', say: 'alder 21 no-show, shows' },
  { name: 'partial', say: 'alder 21 partial 2.1' },
  { name: 'priority', say: 'alder 2 priority 1, priority planned' },
  { name: 'top-off', say: 'alder 21 top-off' },
  { name: 'not before', say: 'alder 21 lift not before' },
  { name: 'internals only', say: 'alder 21 full on-load' },
  { name: 'suspect', say: 'kelp boom suspect' },
  { name: 'failed', say: 'kelp boom failed' },
  { name: 'good', say: 'kelp boom good' },
  { name: 'tanker late', say: 'kelp late 10, late 1440, on time' },
  { name: 'leaves', say: 'kelp leaves 1510, in 20, 20 early' },
  { name: 'gives', say: 'kelp gives 30.0, keeps 22.5, gives planned' },
  { name: 'closed', say: 'north closed' },
  { name: 'open', say: 'north open' },
  { name: 'stray', say: 'stray rasp 71 larch 3.2 kelp' }
]
