/**
 * Fuel now: the calls of one ship folded in order of observed time into what is believed of its fuel. A call that
 * lowers the estimate counts at once; one that raises it beyond reason waits until a second one says so too.
 */
import {
  beliefOf,
  besideInside,
  doubted,
  innovationOf,
  insideIs,
  insideOf,
  outsideIs,
  weighed,
  type Belief,
  type Figure,
  type Innovation
} from './belief.ts'
import { LOW_SIDE, NOISE, readingVarKg2, type Noise } from './noise.ts'
import { carriedTo, withMass, type Runner } from './run.ts'
import type { Call, Outside, Watch } from './watch.ts'

/** What became of a call. */
export type Verdict =
  | 'believed'
  /** Lower than within reason: counts at once, and somebody should ask again. */
  | 'check'
  /** Higher than within reason: counts when a later call says so too. */
  | 'waiting'
  /** Waited, and a later call said so too. */
  | 'confirmed'
  /** Waited, or was to be checked, and the next call that told anything did not say so. */
  | 'set aside'
  /** Of the inside alone, while what is outside moves and may be anything that fits. */
  | 'tells nothing'

export interface Heard {
  readonly call: Call
  readonly verdict: Verdict
  /** Figure less what was expected of it, kg, and the variance of that; undefined where it told nothing. */
  readonly innovationKg: number | undefined
  readonly innovationVarKg2: number | undefined
}

export interface Folded {
  readonly watch: Watch
  readonly noise: Noise
  /** As of the last call folded; of the start where there is none. */
  readonly runner: Runner
  readonly outside: Outside | undefined
  /** How many of the changes outside are behind. */
  readonly outsideCount: number
  /** In order of observed time. */
  readonly heard: readonly Heard[]
  /** The last call believed, checked or confirmed. */
  readonly believed: Call | undefined
  readonly waiting: Call | undefined
  /** The believed call lowered the estimate beyond reason, and no other has been believed since. */
  readonly check: boolean
}

export type Mark = 'no call' | 'check' | 'waiting' | 'tells nothing'

/** An amount of fuel: its mean, its spread, the one-sided 95 % low side, and the least that limits may count on. */
export interface Amount {
  readonly meanKg: number
  readonly sdKg: number
  readonly lowKg: number
  /** The last believed call, less what was burned since and with what was added; undefined without one. */
  readonly carriedKg: number | undefined
  /** The lower of the two. */
  readonly limitKg: number
}

export interface FuelNow extends Amount {
  readonly atMs: number
  /** What an internal gauge shows; undefined while what is outside moves. */
  readonly inside: Amount | undefined
  readonly burnFactor: number
  readonly burnFactorSd: number
  readonly believed: Call | undefined
  readonly waiting: Call | undefined
  readonly marks: readonly Mark[]
}

/** What a call says, given what is outside; a bound says only that there is no less, or no more. */
interface Said {
  readonly figure: Figure
  readonly bound: 'least' | 'most' | undefined
}

/**
 * Everything the calls observed up to an instant say of a ship's fuel. Calls count in order of observed time, then of
 * their numbers, whatever order they come in; a call before the start counts at the start.
 * Checked: tests/truth/regression.json, tests/truth/level.json, tests/shared/filter/calls.test.ts,
 * tests/shared/filter/coverage.test.ts.
 */
export function foldFuel(watch: Watch, noise: Noise = NOISE, untilMs = Infinity): Folded {
  const { start } = watch
  const calls = watch.calls.filter((call) => call.atMs <= untilMs)
  calls.sort((a, b) => Math.max(a.atMs, start.atMs) - Math.max(b.atMs, start.atMs) || a.seq - b.seq)
  return calls.reduce(heard, begun(watch, noise))
}

/** What is believed before any call. */
export function begun(watch: Watch, noise: Noise = NOISE): Folded {
  const { start } = watch
  const belief = beliefOf({ kg: start.fuelKg, sdKg: start.sdKg }, { mean: 1, sd: noise.burnFactorSd })
  return {
    watch,
    noise,
    runner: { atMs: start.atMs, belief, rival: undefined, before: undefined, carriedKg: undefined },
    outside: undefined,
    outsideCount: 0,
    heard: [],
    believed: undefined,
    waiting: undefined,
    check: false
  }
}

/**
 * What is believed after one call more, observed no earlier than all that were folded before.
 * Checked: tests/shared/filter/calls.test.ts, through foldFuel().
 */
export function heard(folded: Folded, call: Call): Folded {
  const { watch, noise } = folded
  const at = reached(watch, noise, folded, Math.max(call.atMs, watch.start.atMs))
  const { runner } = at
  const said = saidBy(watch, noise, runner.belief, at.outside, call)
  const after = (settled: readonly Heard[], verdict: Verdict, innovation?: Innovation): readonly Heard[] => [
    ...settled,
    { call, verdict, innovationKg: innovation?.innovationKg, innovationVarKg2: innovation?.varKg2 }
  ]
  if (!said) return { ...folded, ...at, heard: after(folded.heard, 'tells nothing') }
  const innovation = innovationOf(runner.belief, said.figure)
  const off = innovation.innovationKg / Math.sqrt(innovation.varKg2)
  const before = folded.waiting
  if (off > noise.gate) {
    const back = runner.before && saidBy(watch, noise, runner.before, at.outside, call)
    // As was expected before a call that lowered it: that one was wrong, and what was known before it is not lost.
    if (runner.before && back && agrees(runner.before, back, noise)) {
      return {
        ...folded,
        ...at,
        runner: counted({ ...runner, belief: runner.before, carriedKg: undefined }, back),
        heard: after(checkSetAside(settled(folded, 'set aside')), 'believed', innovation),
        believed: call,
        waiting: undefined,
        check: false
      }
    }
    const again = runner.rival && saidBy(watch, noise, runner.rival, at.outside, call)
    // The same words at the same instant are one call said twice.
    if (before && before.atMs < call.atMs && runner.rival && again && agrees(runner.rival, again, noise)) {
      return {
        ...folded,
        ...at,
        runner: counted({ ...runner, belief: runner.rival, carriedKg: undefined }, again),
        heard: after(settled(folded, 'confirmed'), 'believed', innovation),
        believed: call,
        waiting: undefined,
        check: false
      }
    }
    return {
      ...folded,
      ...at,
      runner: { ...runner, rival: taken(runner.belief, said, true) },
      heard: after(settled(folded, 'set aside'), 'waiting', innovation),
      waiting: call
    }
  }
  const check = off < -noise.gate
  return {
    ...folded,
    ...at,
    runner: check ? { ...counted(runner, said, true), before: runner.belief } : counted(runner, said),
    heard: after(settled(folded, 'set aside'), check ? 'check' : 'believed', innovation),
    believed: call,
    waiting: undefined,
    check
  }
}

/** The call that waits said to count, by something else than a second call. */
export const confirmed = (folded: Folded): Folded => ({
  ...folded,
  heard: settled(folded, 'confirmed'),
  waiting: undefined
})

/** The calls heard, the one that waits settled. */
function settled({ heard: calls, waiting }: Folded, verdict: 'confirmed' | 'set aside'): readonly Heard[] {
  const place = waiting ? calls.findLastIndex((one) => one.call === waiting) : -1
  return place < 0 ? calls : calls.map((one, index) => (index === place ? { ...one, verdict } : one))
}

/** The calls heard, the last of them that was to be checked set aside. */
function checkSetAside(calls: readonly Heard[]): readonly Heard[] {
  const place = calls.findLastIndex((one) => one.verdict === 'check')
  return calls.map((one, index): Heard => (index === place ? { ...one, verdict: 'set aside' } : one))
}

/**
 * What is believed at a later instant, with mass that came aboard or left on the way, evenly over it, or at once where
 * the instant is that of the belief.
 * Checked: tests/shared/filter/calls.test.ts.
 */
export function carried(folded: Folded, atMs: number, moved: { addedKg: number; sdKg: number }): Folded {
  const { watch, noise, runner } = folded
  if (!(atMs > runner.atMs)) return { ...folded, runner: withMass(runner, moved.addedKg, moved.sdKg ** 2) }
  const transfers = [{ fromAtMs: runner.atMs, toAtMs: atMs, ...moved }]
  return { ...folded, ...reached({ ...watch, transfers }, noise, folded, atMs) }
}

/**
 * What is believed where from now on something else is known of what an internal gauge does not show. Where the inside
 * was known, what is outside may have been thrown off, filled, or found empty: the inside stays as it was.
 * Checked: tests/shared/filter/calls.test.ts.
 */
export function turned(folded: Folded, outside: Outside): Folded {
  const { runner } = folded
  const kept = outside.kind === 'keeps' && isInsideKnown(folded)
  const turn = (belief: Belief): Belief =>
    kept ? besideInside(belief, outside.outsideKg, outside.sdKg ** 2) : changed(belief, outside)
  const belief = turn(runner.belief)
  const shiftKg = belief.fuelKg - runner.belief.fuelKg
  const carriedKg = runner.carriedKg === undefined ? undefined : runner.carriedKg + shiftKg
  return {
    ...folded,
    runner: {
      atMs: runner.atMs,
      belief,
      rival: runner.rival && turn(runner.rival),
      before: runner.before && turn(runner.before),
      carriedKg
    },
    outside
  }
}

/** Whether what is inside is known apart from all fuel aboard. */
export const isInsideKnown = ({ outside }: Folded): boolean => outside !== undefined && outside.kind !== 'moving'

/**
 * Fuel at an instant, kg: what was believed at the last call, taken on along the planned pieces; its spread grows with
 * the time ahead. An instant before the last call gives the fuel at that call. Never below 0 nor above the capacity.
 * Checked: tests/shared/filter/calls.test.ts, tests/shared/filter/coverage.test.ts.
 */
export function fuelAt(folded: Folded, atMs: number): FuelNow {
  const { watch, noise } = folded
  const { runner, outside } = reached(watch, noise, folded, atMs)
  const { belief, carriedKg } = runner
  const inside = insideOf(belief)
  return {
    atMs: runner.atMs,
    ...amountOf(watch.fullScaleKg.total, { kg: belief.fuelKg, varKg2: belief.fuelVarKg2 }, carriedKg),
    inside:
      outside?.kind === 'moving'
        ? undefined
        : amountOf(
            watch.fullScaleKg.internal,
            inside,
            carriedKg === undefined ? undefined : carriedKg - belief.outsideKg
          ),
    burnFactor: belief.burnFactor,
    burnFactorSd: Math.sqrt(belief.burnFactorVar),
    believed: folded.believed,
    waiting: folded.waiting,
    marks: marksOf(folded)
  }
}

function amountOf(mostKg: number, { kg, varKg2 }: { kg: number; varKg2: number }, carried: number | undefined): Amount {
  const within = (value: number): number => Math.min(mostKg, Math.max(0, value))
  const sdKg = Math.sqrt(varKg2)
  const lowKg = within(kg - LOW_SIDE * sdKg)
  const carriedKg = carried === undefined ? undefined : within(carried)
  return { meanKg: within(kg), sdKg, lowKg, carriedKg, limitKg: Math.min(lowKg, carriedKg ?? lowKg) }
}

function marksOf({ heard: calls, believed, waiting, check }: Folded): Mark[] {
  const marks: Mark[] = []
  if (believed === undefined) marks.push('no call')
  if (check) marks.push('check')
  if (waiting !== undefined) marks.push('waiting')
  if (calls.at(-1)?.verdict === 'tells nothing') marks.push('tells nothing')
  return marks
}

interface Moment {
  readonly runner: Runner
  readonly outside: Outside | undefined
  readonly outsideCount: number
}

/** Taken on to a later instant through every change outside on the way; one of that instant has happened. */
function reached(watch: Watch, noise: Noise, from: Moment, toMs: number): Moment {
  let { runner, outside, outsideCount } = from
  for (
    let next = watch.outside[outsideCount];
    next && next.atMs <= Math.max(toMs, runner.atMs);
    next = watch.outside[++outsideCount]
  ) {
    const { belief, rival, before, ...rest } = carriedTo(watch, noise, runner, next.atMs)
    outside = next.outside
    runner = {
      ...rest,
      belief: changed(belief, outside),
      rival: rival && changed(rival, outside),
      before: before && changed(before, outside)
    }
  }
  return { runner: carriedTo(watch, noise, runner, toMs), outside, outsideCount }
}

function changed(belief: Belief, outside: Outside): Belief {
  switch (outside.kind) {
    case 'moving':
      return outsideIs(belief, 0, 0)
    case 'keeps':
      return outsideIs(belief, outside.outsideKg, outside.sdKg ** 2)
    case 'stopped':
      return insideIs(belief, outside.insideKg, outside.sdKg ** 2)
  }
}

/** What a call says of a belief; undefined where it fits whatever lies outside. */
function saidBy(
  watch: Watch,
  noise: Noise,
  belief: Belief,
  outside: Outside | undefined,
  { figureKg, covers, roundingKg }: Call
): Said | undefined {
  const varKg2 = readingVarKg2(noise, watch.fullScaleKg[covers], roundingKg)
  if (covers === 'total' || outside?.kind !== 'moving')
    return { figure: { figureKg, varKg2, covers }, bound: undefined }
  // Where the fuel may lie at the bound, as far as the gauge may be off, the figure says nothing: else every reading of
  // a ship that is full outside would take it down by its noise.
  const slackKg = LOW_SIDE * Math.sqrt(varKg2)
  const leastKg = figureKg + outside.leastKg
  const mostKg = figureKg + outside.mostKg
  if (belief.fuelKg < leastKg - slackKg)
    return { figure: { figureKg: leastKg, varKg2, covers: 'total' }, bound: 'least' }
  if (belief.fuelKg > mostKg + slackKg) return { figure: { figureKg: mostKg, varKg2, covers: 'total' }, bound: 'most' }
  return undefined
}

function agrees(belief: Belief, { figure }: Said, noise: Noise): boolean {
  const { innovationKg, varKg2 } = innovationOf(belief, figure)
  return Math.abs(innovationKg) <= noise.gate * Math.sqrt(varKg2)
}

/** The belief with what was said weighed in; where that is beyond reason, it all but replaces the fuel. */
function taken(belief: Belief, { figure, bound }: Said, beyond: boolean): Belief {
  const after = weighed(beyond ? doubted(belief, figure) : belief, figure)
  if (bound === undefined) return after
  // On this side of a bound nothing is known: it moves the fuel, and makes nobody surer of it.
  return { ...belief, fuelKg: after.fuelKg, fuelVarKg2: Math.max(belief.fuelVarKg2, figure.varKg2) }
}

/** The runner with a call that counts; nothing stands beside it any more. */
function counted(runner: Runner, said: Said, beyond = false): Runner {
  const belief = taken(runner.belief, said, beyond)
  const { figureKg, covers } = said.figure
  const fuelKg = covers === 'total' ? figureKg : figureKg + belief.outsideKg
  const { carriedKg: had } = runner
  const carriedKg =
    said.bound === undefined || had === undefined
      ? fuelKg
      : said.bound === 'most'
        ? Math.min(had, fuelKg)
        : Math.max(had, fuelKg)
  return { atMs: runner.atMs, belief, rival: undefined, before: undefined, carriedKg }
}
