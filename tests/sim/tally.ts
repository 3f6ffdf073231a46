/** What the board shows against what is so, counted over minutes. */
import type { Minute, Seen } from './hour.ts'
import { ranks, shownS } from './margin.ts'
import { gaugeKg } from './ship.ts'

/** The ship shown worst may be better off than the truly worst by so much, s. */
const NEAR_S = 60
/** A ship so far past its latest contact must not show a margin, s. */
const PAST_S = 60

/** Why a ship was shown worst that is not. */
const CAUSES = {
  'wrong call': 'a wrong low figure counts at once and is not yet put right',
  'not told': 'a contact, flow, switch or push had been and nobody had said so',
  spread: 'its mean is the longer one, its low side the shorter: it was heard of longer ago or rests on a larger gauge',
  calls: 'the calls put it behind by the mean too'
} as const
export type Cause = keyof typeof CAUSES

export interface Tally {
  /** Minutes in which some ship counts to a limit. */
  minuteCount: number
  /** Of these, the ship shown worst is near the truly worst. */
  nearCount: number
  /** Minutes in which the row shown worst is not marked to be checked, and those of them in which it is near. */
  unmarkedCount: number
  unmarkedNearCount: number
  misses: string[]
  causes: Record<Cause, number>
  /** Minutes of ships that are past their latest contact, and those in which one shows a positive margin. */
  pastCount: number
  positive: string[]
}

export const emptyTally = (): Tally => ({
  minuteCount: 0,
  nearCount: 0,
  unmarkedCount: 0,
  unmarkedNearCount: 0,
  misses: [],
  causes: { 'wrong call': 0, 'not told': 0, spread: 0, calls: 0 },
  pastCount: 0,
  positive: []
})

const rounded = (value: number | undefined): string => (value === undefined ? 'none' : value.toFixed(0))

/** A gauge off by more was not off by its noise, kg. */
const WRONG_KG = 200

/** How much less the gauge is taken to show than it does, kg. */
const underKg = ({ truth, ship }: Seen): number =>
  gaugeKg(truth.flight.type, truth.tanks) - (truth.flight.type.gauge === 'internal' ? ship.gaugeKg : ship.fuelKg)

const meanS = ({ ship }: Seen): number => Math.min(Infinity, ...ship.margins.map((one) => one.meanS ?? Infinity))

function causeOf(shown: Seen, worst: Seen): Cause {
  if (shown.isBehind || worst.isBehind) return 'not told'
  if (shown.ship.estimate.check || underKg(shown) > WRONG_KG) return 'wrong call'
  return meanS(worst) <= meanS(shown) ? 'spread' : 'calls'
}

/** The causes that occurred, each with how often. */
export const causesOf = ({ causes }: Tally): string =>
  (Object.keys(CAUSES) as Cause[])
    .flatMap((cause) => (causes[cause] > 0 ? [`${String(causes[cause])} x ${CAUSES[cause]}`] : []))
    .join('; ')

const told = ({ truth, ship, trueS, heardS }: Seen): string =>
  [
    `${truth.shipId} ${truth.status}, shown ${ship.status}`,
    `margin true ${rounded(trueS)} s, shown ${rounded(ship.margin?.marginS)} s, mean ${rounded(ship.margin?.meanS ?? undefined)}${ship.margin ? ` to ${ship.margin.limit}` : ''}`,
    `fuel true ${rounded(truth.tanks.internalKg + truth.tanks.externalKg)} kg, shown ${rounded(ship.fuelKg)} kg, spread ${rounded(ship.estimate.sdKg)} kg${ship.estimate.check ? ', check' : ''}${ship.estimate.waiting ? ', a call waits' : ''}`,
    `last call ${rounded(heardS)} s ago, ${rounded(ship.lastCall?.figureKg)} kg`,
    `burn ${String(truth.bias)}, shown ${ship.estimate.burnFactor.toFixed(3)}${truth.tanks.stuck ? ', external stuck' : ''}`
  ].join('; ')

/** The truly worst; undefined where no ship counts to a limit. */
function leastOf(ships: readonly Seen[]): Seen | undefined {
  let worst: Seen | undefined
  for (const one of ships) {
    if (ranks(one.truth, one.trueS) && !(one.trueS >= (worst?.trueS ?? Infinity))) worst = one
  }
  return worst
}

/** Counts a minute in. */
export function count(tally: Tally, { seed, minute, ships }: Minute): void {
  const at = `hour ${String(seed)} minute ${String(minute)}`
  const worst = leastOf(ships)
  const shown = ships.find(({ ship }) => ship.rank === 1)
  if (worst && shown) {
    const offS = shownS(shown.truth, shown.trueS, shown.limits) - (worst.trueS ?? NaN)
    tally.minuteCount++
    if (!shown.ship.estimate.check) {
      tally.unmarkedCount++
      if (offS <= NEAR_S) tally.unmarkedNearCount++
    }
    if (offS <= NEAR_S) tally.nearCount++
    else {
      const cause = causeOf(shown, worst)
      tally.causes[cause]++
      tally.misses.push(`${at} (${cause}): worst shown ${told(shown)} | truly worst ${told(worst)}`)
    }
  }
  for (const seen of ships) {
    if (seen.truth.status !== 'waiting' || (seen.trueS ?? NaN) >= -PAST_S) continue
    tally.pastCount++
    if ((seen.ship.margin?.marginS ?? -1) > 0) tally.positive.push(`${at}: ${told(seen)}`)
  }
}
