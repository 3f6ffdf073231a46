import type { MethodDemand } from '../../shared/live/demand.ts'

export const DEMAND = {
  title: 'Demand, before any order',
  byMethod: 'Stations by time, give by fuel',
  byGroup: 'Cycle of each push group, alone at its tankers',
  method: 'method',
  contacts: 'contacts',
  stationTime: 'station time asked',
  there: 'there is',
  stations: 'stations needed',
  onLoad: 'on-load asked',
  give: 'can give',
  byTime: 'tankers by time',
  byGive: 'by give',
  needed: 'needed',
  /** Where none of them has anything to give. */
  noNumber: 'no number is enough',
  tankers: 'has',
  verdict: 'binds',
  push: 'push',
  cycle: 'cycle',
  window: 'ready to push',
  least: 'No order does with fewer; that so many are enough an order must show.',
  tooLong: (ships: string) => `${ships}: hook-up and fill alone last beyond the push. Plan it later, or ask for less.`
} as const

/** Which of the two the tankers of a method do not cover. */
export const BINDS: Record<MethodDemand['binds'], string> = {
  neither: 'neither',
  time: 'time: one more station, or a later push',
  give: 'give: one more tanker, or smaller on-loads',
  both: 'time and give'
}

/** The same, in a word. */
export const BINDS_SHORT: Record<MethodDemand['binds'], string> = {
  neither: 'neither time nor give binds',
  time: 'time binds',
  give: 'give binds',
  both: 'time and give bind'
}
