/*
 * What to do with a give that is too short: shared out, or whole for as many as it lasts for. Both are proposals; nobody
 * is sent home by a computation.
 */

/** What one contact asks of a tanker, in the order's own sequence. */
export interface Asked {
  readonly slotId: string
  /** 1 first to 5. */
  readonly priority: number
  readonly neededKg: number
}

export interface Portion {
  readonly slotId: string
  readonly givenKg: number
  readonly neededKg: number
}

export interface Sharing {
  /** Higher priority first and whole; inside the first priority that cannot be whole every ship gets the same part. */
  readonly shared: readonly Portion[]
  /** The order served whole, without the fewest that must go home; of those the least weighty. */
  readonly home: readonly string[]
  /** More give that would make everybody whole, kg. */
  readonly lackingKg: number
}

/** Weight of a ship that goes home, as in the judgement. */
const WEIGHTS = [16, 8, 4, 2, 1] as const
/** Needs are rounded up to this, kg, when the fewest are chosen: the steps of the judgement. */
const STEP_KG = 5
/** Below this nothing is lacking, kg. */
const SAME_KG = 1e-6

/**
 * A give shared among contacts, kg. Inside a priority the shares given / needed are leximin: the least of them is as great
 * as can be, then the next. Nothing but the sum binds and no ship gets more than it needs, so that is one part for all.
 * @throws RangeError when give or a need is negative, or a priority is not 1 to 5.
 * Source: leximin of max-min fair division. Checked: tests/shared/order/share.test.ts, against all shares on a grid;
 * tests/cases/order.test.ts (constructed).
 */
export function shareOut(giveKg: number, asked: readonly Asked[]): Sharing {
  if (!(giveKg >= 0)) throw new RangeError(`giveKg must be at least 0, is ${String(giveKg)}`)
  for (const { slotId, priority, neededKg } of asked) {
    if (!(neededKg >= 0)) throw new RangeError(`neededKg of ${slotId} must be at least 0, is ${String(neededKg)}`)
    if (WEIGHTS[priority - 1] === undefined) throw new RangeError(`priority of ${slotId} is ${String(priority)}`)
  }
  const wholeKg = asked.reduce((kg, one) => kg + one.neededKg, 0)
  let leftKg = giveKg
  const partOf = new Map<number, number>()
  for (const priority of [...new Set(asked.map((one) => one.priority))].sort((a, b) => a - b)) {
    const neededKg = asked.reduce((kg, one) => (one.priority === priority ? kg + one.neededKg : kg), 0)
    const part = neededKg <= leftKg + SAME_KG ? 1 : leftKg / neededKg
    partOf.set(priority, part)
    leftKg = Math.max(0, leftKg - part * neededKg)
  }
  return {
    shared: asked.map(({ slotId, priority, neededKg }) => ({
      slotId,
      givenKg: (partOf.get(priority) ?? 0) * neededKg,
      neededKg
    })),
    home: fewestHome(giveKg, asked),
    lackingKg: Math.max(0, wholeKg - giveKg)
  }
}

/**
 * Who goes home when the rest is served whole: the fewest; of the fewest the least weight; of those the ones that leave
 * most give. By the least fuel for each number and weight of ships kept.
 */
function fewestHome(giveKg: number, asked: readonly Asked[]): readonly string[] {
  const weightOf = ({ priority }: Asked): number => WEIGHTS[priority - 1] ?? 0
  const stepsOf = ({ neededKg }: Asked): number => Math.ceil(neededKg / STEP_KG - SAME_KG)
  const giveSteps = Math.floor(giveKg / STEP_KG + SAME_KG)
  interface Kept {
    readonly steps: number
    readonly last: Asked
    readonly before: Kept | undefined
  }
  /** [ships kept][weight kept]: the least fuel for it. */
  const least: Map<number, Kept | undefined>[] = [new Map([[0, undefined]])]
  for (const one of asked) {
    for (let count = least.length - 1; count >= 0; count--) {
      for (const [weight, kept] of least[count] ?? []) {
        const steps = (kept?.steps ?? 0) + stepsOf(one)
        if (steps > giveSteps) continue
        const into = (least[count + 1] ??= new Map())
        const had = into.get(weight + weightOf(one))
        if (had === undefined || steps < had.steps) into.set(weight + weightOf(one), { steps, last: one, before: kept })
      }
    }
  }
  const most = least.at(-1) ?? new Map<number, Kept | undefined>()
  let best: Kept | undefined
  let bestWeight = -1
  for (const [weight, kept] of most) {
    if (weight <= bestWeight) continue
    bestWeight = weight
    best = kept
  }
  const served = new Set<Asked>()
  for (let at = best; at !== undefined; at = at.before) served.add(at.last)
  return asked.filter((one) => !served.has(one)).map((one) => one.slotId)
}
