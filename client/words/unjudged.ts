/** Said of the answer of a plan while its draft has faults. */
export const UNJUDGED = {
  title: (count: number) =>
    `${String(count)} ${count === 1 ? 'cell is' : 'cells are'} wrong or missing: whether the draft works is not known`,
  first: 'The first',
  lastSound: 'Everything below is of the last draft without a fault'
} as const
