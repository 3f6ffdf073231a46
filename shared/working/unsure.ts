/** What limits leave out of the fuel as estimated: the lower of its low side and of the last call counts. */
import { isInsideKnown } from '../filter/fold.ts'
import { LOW_SIDE } from '../filter/noise.ts'
import type { Crew } from '../live/slots.ts'
import { add, ASSUMED, COMPUTED, greatest, multiply, subtract, type Expression, type Paper } from './paper.ts'

const SAME_KG = 1e-7

/** Mean less what limits count on, kg. */
export function unsure(paper: Paper, crew: Crew): Expression {
  if (crew.assumedKg === 0) return unsureOfCalls(paper, crew)
  const assumed = paper.input('aboard, told by nobody', 'mass', crew.assumedKg, ASSUMED)
  return paper.line('not counted on', 'mass', add(unsureOfCalls(paper, crew), assumed), undefined, crew.unsureKg)
}

function unsureOfCalls(paper: Paper, crew: Crew): Expression {
  const { fuel, folded } = crew
  const unsureKg = crew.unsureKg - crew.assumedKg
  const amount = (isInsideKnown(folded.filtered) ? fuel.inside : undefined) ?? fuel
  const sd = paper.input('spread of the estimate', 'mass', amount.sdKg, COMPUTED)
  const times = paper.input('one-sided 95 %', 'factor', LOW_SIDE, ASSUMED)
  const bySpread = multiply(times, sd)
  let left: Expression = bySpread
  if (amount.carriedKg !== undefined) {
    const mean = paper.input('fuel as estimated', 'mass', amount.meanKg, COMPUTED)
    const carried = paper.input('last call carried on', 'mass', amount.carriedKg, COMPUTED)
    left = greatest(bySpread, subtract(mean, carried))
  }
  // At full or empty tanks there is no more, or no less, to be unsure of.
  if (Math.abs(paper.value(left) - unsureKg) > SAME_KG) return paper.input('not counted on', 'mass', unsureKg, COMPUTED)
  return paper.line('not counted on', 'mass', left, undefined, unsureKg)
}

/** A limit with what is not counted on above it: the fuel as estimated is held against both. */
export function aboveUnsure(paper: Paper, crew: Crew, level: Expression, unsureKg: number): Expression {
  if (unsureKg === 0) return level
  return paper.line('limit and what is not counted on', 'mass', add(level, unsure(paper, crew)))
}
