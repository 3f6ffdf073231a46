export const PUBLISH = {
  worksNot: (revision: number) => `Revision ${String(revision)} does not work.`,
  more: (count: number) => (count === 0 ? '' : ` ${String(count)} more ${count === 1 ? 'problem' : 'problems'}.`),
  newest: (revision: number) => `Publish revision ${String(revision)} in its place?`,
  asks: ' Publish it all the same?',
  anyway: 'Publish all the same',
  not: 'Do not publish'
} as const
