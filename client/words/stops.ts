export const STOPS = {
  title: 'Stop here: what an earlier disconnect saves and forgoes',
  after: 'after',
  closes: 'then full',
  end: 'end of the contact',
  knee: 'knee',
  onLoad: 'on-load',
  usable: 'usable then',
  saves: 'saves',
  leaves: 'stays in the tanker',
  forgoes: 'forgoes',
  gauge: 'Own gauge at disconnect',
  lost: 'into tanks that do not give'
} as const
