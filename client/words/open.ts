export const OPEN = {
  title: 'Events',
  none: 'There are no events yet. Import a plan to make one.',
  import: 'New event from a file',
  made: 'The event is made. This is its commander’s link; it is told once.',
  revision: (revision: number) => `revision ${revision}`,
  published: (revision: number) => `published ${revision}`,
  notPublished: 'not published'
} as const
