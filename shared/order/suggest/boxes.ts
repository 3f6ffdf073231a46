/*
 * The least weighted lateness of groups that are as late as their latest part, where only the least of all parts by
 * themselves is known how to find. What that comes to in a box, which has each group late by no less and no more than so
 * much, no choice in the box is below. The box with the least is parted in two at a group that the parts leave open, until
 * the best choice found is no more than that of any box.
 *
 * Source: branch and bound (from memory).
 * Checked: tests/shared/order/suggest/whole.test.ts, against every order of small cases (constructed).
 */

/** By group: steps. */
export interface Box {
  readonly leastLate: readonly number[]
  readonly mostLate: readonly number[]
  /** No choice in it is less late in sum. */
  readonly least: number
}

export interface InBox<Choice> {
  /** Weighted steps: no choice in the box is less late, Infinity: there is none. */
  readonly least: number
  /** The one in which the parts by themselves are least late. */
  readonly choice: Choice | undefined
  /** By group, as late as it is then. */
  readonly late: readonly number[]
}

interface By<Choice> {
  /** Weighted steps: more is of no interest. */
  readonly most: number
  /** The first choice of no more than that will do. */
  readonly any?: true
  readonly ended: () => boolean
  readonly at: (box: Box, most: number) => InBox<Choice>
}

interface Found<Choice> {
  readonly least: number
  readonly choice: Choice | undefined
  /** No choice is less late than that one, or than `most` where there is none. */
  readonly whole: boolean
}

const MOST_BOXES = 400

/** The least lateness that is known when the work ends, and the best choice of no more than `most`. */
export function leastInBoxes<Choice>(
  root: Box,
  weights: readonly number[],
  { most: mostAtFirst, any, ended, at }: By<Choice>
): Found<Choice> {
  const costOf = (late: readonly number[]): number =>
    weights.reduce((sum, weight, g) => sum + weight * (late[g] ?? 0), 0)
  let [most, choice]: [number, Choice | undefined] = [mostAtFirst, undefined]
  const open: Box[] = [root]
  // Of boxes that cannot be parted and in which it is not known whether there is a choice.
  let unknown = Infinity
  for (let boxes = 0; boxes < MOST_BOXES && !ended(); boxes++) {
    open.sort((a, b) => a.least - b.least)
    const box = open[0]
    if (box === undefined || box.least > most) break
    const here = at(box, most)
    if (ended()) break
    open.shift()
    if (here.choice !== undefined && costOf(here.late) <= most) {
      choice = here.choice
      most = costOf(here.late) - 1
      if (any === true) break
    }
    if (here.least > most) continue
    const parts = partedAt(box, here, weights, most)
    if (parts.length === 0) unknown = Math.min(unknown, Math.max(box.least, here.least))
    open.push(...parts)
  }
  const least = Math.min(most + 1, unknown, ...open.map((box) => box.least))
  return { least, choice, whole: least > most }
}

/** Of a group that may be later than its parts say: half of what is open on either side. */
function partedAt(box: Box, here: InBox<unknown>, weights: readonly number[], most: number): Box[] {
  let [group, widest] = [-1, 0]
  for (const [g, weight] of weights.entries()) {
    const [least, latest] = [box.leastLate[g] ?? 0, Math.min(box.mostLate[g] ?? 0, here.late[g] ?? Infinity)]
    const open = weight * (latest - least)
    if (open > widest) [group, widest] = [g, open]
  }
  if (group < 0) return []
  const [from, to] = [box.leastLate[group] ?? 0, Math.min(box.mostLate[group] ?? 0, here.late[group] ?? Infinity)]
  const middle = Math.floor((from + to) / 2)
  const later = box.leastLate.map((late, g) => (g === group ? middle + 1 : late))
  const least = Math.max(box.least, here.least)
  return [
    { leastLate: box.leastLate, mostLate: box.mostLate.map((late, g) => (g === group ? middle : late)), least },
    { leastLate: later, mostLate: mostLate(later, weights, most, box.mostLate), least }
  ]
}

/** By group: no choice of no more than `most` has it later. */
export function mostLate(
  leastLate: readonly number[],
  weights: readonly number[],
  most: number,
  atMost: readonly number[] = []
): number[] {
  const spare = most - weights.reduce((sum, weight, g) => sum + weight * (leastLate[g] ?? 0), 0)
  return leastLate.map((late, g) => {
    const weight = weights[g] ?? 0
    return Math.min(atMost[g] ?? Infinity, weight > 0 ? late + Math.max(0, Math.floor(spare / weight)) : Infinity)
  })
}
