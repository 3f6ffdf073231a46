export const JOIN = {
  title: 'Ullage',
  purpose:
    'Plan and run air-to-air refuelling for a package: the commander plans, the coordinator runs it live, the pilot checks the own slot.',
  opening: 'Opening your link …',
  failed: 'The link did not open.',
  noSecret: 'This address holds no link. Open the whole address that you were given.',
  noLink: 'Open the link that you were given. Without one there is nothing to see here.',
  again: 'Try again'
} as const
