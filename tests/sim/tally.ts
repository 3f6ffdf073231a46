/** What the board shows against what is so, counted over minutes. */
import type { Minute, Seen } from './hour.ts'
import { ranks, shownS } from './margin.ts'

/** The ship shown worst may be better off than the truly worst by so much, s. */
const NEAR_S = 60
/** A ship so far past its latest contact must not show a margin, s. */
const PAST_S = 60

export interface Tally {
  /** Minutes in which some ship counts to a limit. */
  minuteCount: number
  /** Of these, the ship shown worst is near the truly worst. */
  nearCount: number
  /** By how much the ship shown worst was better off, where it was not near, s; Infinity where it meets no limit. */
  missesS: number[]
  misses: string[]
  /** Minutes of ships that are past their latest contact, and those in which one shows a positive margin. */
  pastCount: number
  positive: string[]
}

export const emptyTally = (): Tally => ({
  minuteCount: 0,
  nearCount: 0,
  missesS: [],
  misses: [],
  pastCount: 0,
  positive: []
})

const rounded = (value: number | undefined): string => (value === undefined ? 'none' : value.toFixed(0))

const told = ({ truth, ship, trueS }: Seen): string =>
  [
    `${truth.shipId} ${truth.status}, shown ${ship.status}`,
    `margin true ${rounded(trueS)} s, shown ${rounded(ship.margin?.marginS)} s${ship.margin ? ` to ${ship.margin.limit}` : ''}`,
    `fuel true ${rounded(truth.tanks.internalKg + truth.tanks.externalKg)} kg, shown ${rounded(ship.fuelKg)} kg`,
    `burn ${String(truth.bias)}${truth.tanks.stuck ? ', external stuck' : ''}`
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
    if (offS <= NEAR_S) tally.nearCount++
    else {
      tally.missesS.push(offS)
      tally.misses.push(`${at}: worst shown ${told(shown)} | truly worst ${told(worst)}`)
    }
  }
  for (const seen of ships) {
    if (seen.truth.status !== 'waiting' || (seen.trueS ?? NaN) >= -PAST_S) continue
    tally.pastCount++
    if ((seen.ship.margin?.marginS ?? -1) > 0) tally.positive.push(`${at}: ${told(seen)}`)
  }
}
