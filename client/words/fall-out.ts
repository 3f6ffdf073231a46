import { fuelText, BOARD_STEP } from '../figures.ts'
import type { Labels } from '../labels.ts'
import type { FallOut, TankerFallOut } from '../../shared/plan/fallout.ts'
import type { Plan } from '../../shared/contracts/plan.ts'

export const FALL_OUT = {
  title: 'Who falls out',
  enough: 'Give is enough: nobody falls out.',
  noList: 'The plan does not say who falls out first.',
  list: 'First to fall out:',
  least: 'Least that still goes',
  flight: 'flight',
  ships: 'ships',
  goes: 'go',
  leastShipCount: 'least',
  noLeast: 'none',
  spares: 'air spares'
} as const

/** Who falls out at a tanker, in turn: `Mallet lacks 4,200 lb: Sleet 4, then Squall 2 (Sleet 3 steps in) fall out.` */
export function fallOutSentences(
  { tankerId, shortKg, dropped, kept, stillShortKg }: TankerFallOut,
  labels: Labels
): string[] {
  const fuel = (kg: number) => fuelText(kg, labels.massUnit, 'up', BOARD_STEP)
  const fall = dropped.map(({ shipId, spareId }) =>
    spareId === undefined ? labels.ship(shipId) : `${labels.ship(shipId)} (${labels.ship(spareId)} steps in)`
  )
  const lacks = `${labels.tanker(tankerId)} lacks ${fuel(shortKg)}`
  return [
    fall.length === 0
      ? `${lacks}, and nobody who comes there may fall out.`
      : `${lacks}: ${fall.join(', then ')} ${fall.length === 1 ? 'falls' : 'fall'} out.`,
    ...(kept.length === 0
      ? []
      : [`Kept, as without them their flights do not go: ${kept.map(labels.ship).join(', ')}.`]),
    ...(stillShortKg <= 0 || fall.length === 0 ? [] : [`Still ${fuel(stillShortKg)} too little.`])
  ]
}

/** The order in which ships fall out. */
export const listSentence = (fallOut: Plan['fallOut'], labels: Labels): string =>
  fallOut === undefined || fallOut.length === 0
    ? FALL_OUT.noList
    : `${FALL_OUT.list} ${fallOut.map((shipId) => labels.ship(shipId)).join(', ')}.`

/** Flights that say how few of their ships still go, or that bring spares, or lose somebody. */
export const flightsShown = ({ flights }: FallOut, plan: Plan): FallOut['flights'] =>
  flights.filter(
    ({ flightId, least, goes, ships }) => least > 0 || goes !== ships || sparesOf(plan, flightId).length > 0
  )

export const sparesOf = (plan: Plan, flightId: string): string[] =>
  plan.flights
    .find(({ id }) => id === flightId)
    ?.ships.flatMap(({ callSign, airSpare }) => (airSpare === true ? [callSign] : [])) ?? []
