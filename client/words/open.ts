import { dayText, minuteText } from '../figures.ts'

export const OPEN = {
  title: 'Events',
  none: 'There are no events yet. Make one from its tables, or import a plan.',
  import: 'New event from a file',
  made: 'The event is made. This is its commander’s link; it is told once.',
  opens: (atMs: number) => `opens ${dayText(atMs)} ${minuteText(atMs)}`,
  revision: (revision: number) => `revision ${revision}`,
  published: (revision: number) => `published ${revision}`,
  notPublished: 'not published',
  new: 'New event',
  copy: 'Copy to another day'
} as const

export const NEW_PLAN = {
  title: 'New event',
  copy: 'Copy of an event',
  events: 'Events',
  note: 'Fill in the tables, or paste into them from any spreadsheet. The service keeps nothing until the first save.',
  copyNote: 'Shift all times, change what is different, then save: the copy becomes an event of its own.'
} as const
