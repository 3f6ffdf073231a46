/** How the truth, and what is said of it, differ from the plan. */
import type { Flown } from './fleet.ts'

type Range = readonly [least: number, most: number]

export interface Law {
  // The truth.
  /** Burn over what the sheet says, one of these for a ship's whole hour. */
  biases: readonly number[]
  /** A burst at three times the flow, of so long, comes once in so long, s, while it flies so. */
  burstEveryS: number
  burstsIn: ReadonlySet<Flown>
  /** Most by which a phase is entered late, s. */
  lateS: number
  /** Standard deviation of the fuel at the start, share of it. */
  startShare: number
  /** Share of the ships with externals whose external neither gives nor takes, the whole hour. */
  stuckShare: number
  /** Chance of each tanker to stall once, for three to nine minutes. */
  stallShare: number
  /** Time of a hook-up over the planned one, and the share of those that take one to three minutes more. */
  hookUp: { times: Range; missedShare: number }
  /** From the contact until fuel flows, s. */
  flowAfterS: Range
  // What is said.
  /** Fuel calls a ship makes in the hour, but for a stretch in which it is not heard. */
  callsPerShip: number
  /** Standard deviation of a reading, share of the full scale of the gauge. */
  gaugeShare: number
  roundedToLb: number
  /** Share of the fuel calls that are wrong by 1,000 lb, either way. */
  wrongShare: number
  /** How long after a wrong figure is recorded it is asked again, taken back and put right, s; never where undefined. */
  askedAgainS: Range | undefined
  /** How often somebody looks whom to ask, s; how soon the ship answers, and which share does not. Nobody asks where undefined. */
  asking: { everyS: number; answersAfterS: Range; unansweredShare: number } | undefined
  /** Share of the ships that say nothing by themselves for 10 to 20 minutes. */
  silentShare: number
  /** Share of the fuel calls that are recorded one to five minutes after they were observed. */
  lateCallShare: number
  /** Share of all else that is recorded 20 to 60 s after. */
  lateTurnShare: number
  /** What is not late is recorded so soon, s. */
  recordedAfterS: Range
}

/** Length of a burst, s. */
export const BURST_S: Range = [10, 30]

/**
 * An hour as a coordinator hears it: calls late, wrong, missing and of the inside alone, as the issue of the board has
 * them; bursts, phases entered late, a sheet that is 5 % off, rounding and the amount of a wrong figure as that of the
 * filter. Of the gauge, 1 % of full scale is read as the band that it keeps within, two standard deviations.
 * Bursts belong to a task: on the way and beside a tanker ships keep a formation and a speed (common practice, no source).
 * No external sticks: what nobody can know yet is not asked of a board. All else is assumed.
 */
export const LAW: Law = {
  biases: [0.95, 1, 1.05],
  burstEveryS: 360,
  burstsIn: new Set<Flown>(['combat', 'loiter']),
  lateS: 90,
  startShare: 0.005,
  stuckShare: 0,
  stallShare: 0.6,
  hookUp: { times: [0.8, 1.5], missedShare: 0.1 },
  flowAfterS: [2, 30],
  callsPerShip: 20,
  gaugeShare: 0.005,
  roundedToLb: 100,
  wrongShare: 0.02,
  askedAgainS: [15, 40],
  asking: undefined,
  silentShare: 0.5,
  lateCallShare: 0.1,
  lateTurnShare: 0.03,
  recordedAfterS: [1, 5]
}

/** A harsher one: they burst wherever they are but in contact, and one external in twenty gives nothing from the start. */
export const HARSH: Law = {
  ...LAW,
  burstsIn: new Set<Flown>(['transit', 'loiter', 'combat', 'recovery', 'refuelling']),
  stuckShare: 0.05
}

/**
 * The same with a coordinator at the board: ships call less by themselves, the ship is asked that the board names, and a
 * figure that the entry line shows to be beyond reason is read back before it is entered. Some 400 calls an hour in all.
 */
export const ASKED: Law = {
  ...LAW,
  callsPerShip: 8,
  askedAgainS: undefined,
  asking: { everyS: 10, answersAfterS: [3, 12], unansweredShare: 0.1 }
}

/** All goes as planned but for what the tankers do, and every gauge shows what there is. */
export const EXACT: Law = {
  ...LAW,
  biases: [1],
  burstEveryS: Infinity,
  lateS: 0,
  startShare: 0,
  stuckShare: 0,
  hookUp: { times: [1, 1], missedShare: 0 },
  flowAfterS: [0, 0],
  gaugeShare: 0,
  roundedToLb: 0,
  wrongShare: 0,
  silentShare: 0,
  lateCallShare: 0,
  lateTurnShare: 0,
  recordedAfterS: [0, 0]
}
