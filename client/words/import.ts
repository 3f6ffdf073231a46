import type { Plan } from '../../shared/contracts/plan.ts'
import { dayText, minuteText } from '../figures.ts'

export const IMPORT = {
  title: 'What the file holds',
  asEvent: 'Taken, it is an event of its own.',
  asRevision: 'Taken, it is saved as the newest revision. The ones before it stay, and nothing is published by it.',
  name: 'event',
  opens: 'opens',
  has: 'has',
  changes: (count: number) =>
    count === 0 ? 'It says what the newest revision says.' : `${counted(count, 'change')} to the newest revision:`,
  more: (count: number) => `and ${counted(count, 'more change')}`,
  take: 'Import it',
  drop: 'Do not import it',
  close: 'Close'
} as const

export const opensText = ({ opensAtMs }: Plan): string => `${dayText(opensAtMs)} ${minuteText(opensAtMs)}`

/** How much of what a plan holds: `9 flights, 24 ships, …`. */
export function holdsText(plan: Plan): string {
  const ships = plan.flights.reduce((sum, flight) => sum + flight.ships.length, 0)
  const slots = plan.orders.flatMap(({ sequences }) => sequences).reduce((sum, one) => sum + one.slots.length, 0)
  return [
    counted(plan.flights.length, 'flight'),
    counted(ships, 'ship'),
    counted(plan.tankers.length, 'tanker'),
    counted(slots, 'slot'),
    counted(plan.tracks.length, 'track'),
    counted(plan.bases.length, 'base'),
    counted(plan.receiverTypes.length, 'receiver type'),
    counted(plan.tankerTypes.length, 'tanker type')
  ].join(', ')
}

const counted = (count: number, noun: string): string => `${String(count)} ${noun}${count === 1 ? '' : 's'}`
