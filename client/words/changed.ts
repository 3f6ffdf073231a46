/** What is new of a slot since it was read. */
export const CHANGED = {
  title: (time: string) => `Changed since you read it at ${time}:`,
  seen: 'Seen',
  seenOf: 'Seen: this is how the slot stands now',
  from: (is: string, was: string) => `${is}, was ${was}`,
  first: 'first on the station',
  after: (ship: string) => `after ${ship}`,
  noBase: 'none',
  abortBase: 'abort base',
  contact: 'contact',
  push: 'push',
  latest: 'latest contact',
  onLoad: 'on-load',
  least: 'least on-load',
  atContact: 'fuel at contact',
  abort: 'abort fuel',
  required: 'required at push',
  missed: 'contact would come after your latest contact',
  hold: (from: string) => `hold externals from ${from}`,
  noHold: 'hold no externals any more',
  noSlot: 'no slot is planned for you any more',
  newSlot: (station: string, time: string) => `another slot: ${station}, contact ${time}`
} as const
