/** How long until fuel falls to a level at one burn: straight down, or bent where tanks run dry or begin to count. */
import { feed, feedPieces, feedUntil } from '../tanks/feed.ts'
import { countedKg, usableKg, type Sheet, type TankState } from '../tanks/sheet.ts'
import { add, COMPUTED, divide, greatest, multiply, NONE, subtract, type Expression, type Paper } from './paper.ts'

interface Falling {
  readonly kg: Expression
  readonly tanks: TankState
  readonly flow: Expression
  readonly burnKgPerS: number
  readonly measure: 'counted' | 'usable'
  readonly level: Expression
  readonly levelKg: number
}

/** How far ahead a limit is looked for, s. */
const LOOK_AHEAD_S = 8 * 3600
const SAME = 1e-7

interface Stretch {
  seconds: number
  rateKgPerS: number
  /** What begins to count at its start. */
  jumpKg: number
}

/** Seconds until the level is met, as a line; undefined when it is not met within hours. */
export function fall(paper: Paper, sheet: Sheet, falling: Falling): Expression | undefined {
  const { tanks, burnKgPerS, measure, levelKg, kg, level, flow } = falling
  const name = 'time until it falls to that'
  const heldOf = measure === 'counted' ? countedKg : usableKg
  const seconds = feedUntil(sheet, tanks, burnKgPerS, measure, levelKg, LOOK_AHEAD_S)
  if (seconds === undefined) return undefined
  if (seconds === 0) return paper.line(name, 'span', greatest(NONE, divide(subtract(kg, level), flow)), undefined, 0)
  const heldAt = (atS: number): number => heldOf(sheet, feed(sheet, tanks, burnKgPerS, atS).state)
  const stretches: Stretch[] = []
  let endKg = heldOf(sheet, tanks)
  for (const { fromS, toS } of feedPieces(sheet, tanks, burnKgPerS, seconds)) {
    const long = toS - fromS
    if (long <= 0) continue
    const lastKg = heldAt(toS)
    const rateKgPerS = (heldAt(fromS + long / 2) - lastKg) / (long / 2)
    const jumpKg = lastKg + rateKgPerS * long - endKg
    endKg = lastKg
    const before = stretches.at(-1)
    if (before && Math.abs(jumpKg) < 1e-5 && Math.abs(before.rateKgPerS - rateKgPerS) < 1e-6) before.seconds += long
    else stretches.push({ seconds: long, rateKgPerS, jumpKg })
  }
  const last = stretches.at(-1)
  if (stretches.length === 1 && last && Math.abs(last.jumpKg) < 1e-5 && Math.abs(last.rateKgPerS - burnKgPerS) < 1e-6)
    return paper.line(name, 'span', divide(subtract(kg, level), flow), undefined, seconds)
  let held = kg
  const times: Expression[] = []
  for (const stretch of stretches) {
    const about = String(stretches.indexOf(stretch) + 1)
    if (Math.abs(stretch.jumpKg) > SAME) {
      const seen = paper.input('external fuel seen to give', 'mass', stretch.jumpKg, COMPUTED, about)
      held = paper.line('fuel that counts', 'mass', add(held, seen), about)
    }
    const rate = paper.input('it falls by', 'flow', stretch.rateKgPerS, COMPUTED, about)
    if (stretch === last && endKg - levelKg < 1e-5) {
      times.push(divide(subtract(held, level), rate))
      break
    }
    // The last one ends where the feed group starves, above the level.
    const time = paper.input('time at that', 'span', stretch.seconds, COMPUTED, about)
    times.push(time)
    held = paper.line('fuel that counts', 'mass', subtract(held, multiply(time, rate)), about)
  }
  return paper.line(name, 'span', add(...times), undefined, seconds)
}
