/** Ships whose true fuel is known, drawn by seed: of the filter's own law, or of a law it does not know. All constructed. */
import type { Noise } from '../../../shared/filter/noise.ts'
import { steadyOf, wanderOf } from '../../../shared/filter/noise.ts'
import type { Call, Stretch, Transfer, Watch } from '../../../shared/filter/watch.ts'
import { chance } from '../order/chance.ts'

const MIN_MS = 60_000
const STEP_S = 10
const LB100_KG = 45.359237
const LB1000_KG = 453.59237
const FULL_KG = 7_000
const INSIDE_KG = 6_000
const START_KG = 5_400
const ONLOAD_KG = 4_000

/** Out, on task at three times the flow, back to the tanker, filled, out again and home: 110 minutes. */
const STRETCHES: readonly Stretch[] = [
  { fromAtMs: 0, toAtMs: 20 * MIN_MS, burnKgPerS: 0.85 },
  { fromAtMs: 20 * MIN_MS, toAtMs: 32 * MIN_MS, burnKgPerS: 2 },
  { fromAtMs: 32 * MIN_MS, toAtMs: 50 * MIN_MS, burnKgPerS: 0.7 },
  { fromAtMs: 50 * MIN_MS, toAtMs: 58 * MIN_MS, burnKgPerS: 0.75 },
  { fromAtMs: 58 * MIN_MS, toAtMs: 78 * MIN_MS, burnKgPerS: 0.85 },
  { fromAtMs: 78 * MIN_MS, toAtMs: 90 * MIN_MS, burnKgPerS: 2 },
  { fromAtMs: 90 * MIN_MS, toAtMs: 110 * MIN_MS, burnKgPerS: 0.65 }
]
const TASK_FLOW_KG_PER_S = 2
/** The same, with every piece but the task flown steadily. */
export const STEADILY: readonly Stretch[] = STRETCHES.map((one) => ({
  ...one,
  steady: one.burnKgPerS !== TASK_FLOW_KG_PER_S
}))
const CONTACT = { fromAtMs: 52 * MIN_MS, toAtMs: 57 * MIN_MS }

export interface Sortie {
  readonly watch: Watch
  /** True fuel, kg, at every whole minute from 0 on. */
  readonly trueKg: readonly number[]
  /** Of it what is inside, where something is outside; nothing is asked while that moves. */
  readonly insideKg?: readonly number[]
}

/** How a ship that is not of the filter's law differs from its plan. */
export interface Strange {
  /** True burn over planned, throughout. */
  readonly biases: readonly number[]
  readonly burstEveryS: number
  readonly burstS: readonly [least: number, most: number]
  readonly lateS: readonly [least: number, most: number]
  readonly wrongShare: number
  /** As the filter is told; none is steady where undefined. */
  readonly stretches?: readonly Stretch[]
  /** Bursts come where it is not told to fly steadily, and nowhere else. */
  readonly burstsOnTask?: boolean
}

/** Time between two calls, min. */
const SPACING_MIN: readonly [number, number] = [2, 10]

type Chance = ReturnType<typeof chance>
/** Source: Box and Muller 1958. */
export const normal = (by: Chance, sd: number): number =>
  sd * Math.sqrt(-2 * Math.log(1 - by.number(0, 1))) * Math.cos(2 * Math.PI * by.number(0, 1))

const stretchAt = (stretches: readonly Stretch[], atMs: number): Stretch | undefined =>
  stretches.find((one) => atMs >= one.fromAtMs && atMs < one.toAtMs)
const flowAt = (stretches: readonly Stretch[], atMs: number): number => stretchAt(stretches, atMs)?.burnKgPerS ?? 0

/** What a gauge truly has to show, and of how large a scale. */
interface Gauge {
  readonly covers: Call['covers']
  readonly scaleKg: number
  readonly shownKg: (atMs: number) => number
}

function callsOf(by: Chance, noise: Noise, { covers, scaleKg, shownKg }: Gauge, wrongShare: number): Call[] {
  const calls: Call[] = []
  let atMin = by.number(...SPACING_MIN)
  while (atMin < 110) {
    const atMs = Math.round((atMin * 60) / STEP_S) * STEP_S * 1000
    const wrongKg = by.yes(wrongShare) ? (by.yes(0.5) ? LB1000_KG : -LB1000_KG) : 0
    const readKg = shownKg(atMs) + normal(by, noise.gaugeShare * scaleKg)
    const figureKg = Math.max(0, Math.round(readKg / LB100_KG) * LB100_KG + wrongKg)
    calls.push({ seq: calls.length, atMs, figureKg, covers, roundingKg: LB100_KG })
    atMin += by.number(...SPACING_MIN)
  }
  return calls
}

/** What came of a flight, and what the filter is told of it. */
interface Flown {
  readonly course: readonly number[]
  readonly stretches: readonly Stretch[]
  readonly transfer: Transfer
  readonly wrongShare: number
}

function sortie(by: Chance, noise: Noise, { course, stretches, transfer, wrongShare }: Flown): Sortie {
  const shownKg = (atMs: number): number => course[Math.round(atMs / 1000 / STEP_S)] ?? NaN
  return {
    watch: {
      start: { atMs: 0, fuelKg: START_KG, sdKg: noise.gaugeShare * FULL_KG },
      fullScaleKg: { total: FULL_KG, internal: INSIDE_KG },
      stretches,
      transfers: [transfer],
      outside: [],
      calls: callsOf(by, noise, { covers: 'total', scaleKg: FULL_KG, shownKg }, wrongShare)
    },
    trueKg: Array.from({ length: 110 }, (_, atMin) => shownKg(atMin * MIN_MS))
  }
}

const CONTACT_S = (CONTACT.toAtMs - CONTACT.fromAtMs) / 1000
const inContact = (atMs: number): boolean => atMs >= CONTACT.fromAtMs && atMs < CONTACT.toAtMs

/** A ship of exactly the law that the filter assumes. */
export function ownSortie(seed: number, noise: Noise, stretches = STRETCHES): Sortie {
  const by = chance(seed)
  const restless = wanderOf(noise)
  const steady = steadyOf(noise, restless)
  const sdKg = noise.meterShare * ONLOAD_KG
  let fuelKg = START_KG + normal(by, noise.gaugeShare * FULL_KG)
  let factor = 1 + normal(by, noise.burnFactorSd)
  const course = [fuelKg]
  for (let atS = 0; atS < 110 * 60; atS += STEP_S) {
    const atMs = atS * 1000
    const flow = flowAt(stretches, atMs)
    const { burnFactorVarPerS, burstS } = stretchAt(stretches, atMs)?.steady === true ? steady : restless
    // The mean of a walk over a step is half its end and a bridge of a twelfth of its variance.
    const end = normal(by, Math.sqrt(burnFactorVarPerS * STEP_S))
    const bridge = normal(by, Math.sqrt((burnFactorVarPerS * STEP_S) / 12))
    fuelKg -= flow * STEP_S * (factor + end / 2 + bridge) + normal(by, flow * Math.sqrt(burstS * STEP_S))
    factor += end
    if (inContact(atMs)) {
      fuelKg += (ONLOAD_KG * STEP_S) / CONTACT_S + normal(by, sdKg * Math.sqrt(STEP_S / CONTACT_S))
    }
    const next = flowAt(stretches, atMs + STEP_S * 1000)
    if (next !== flow && atS + STEP_S < 110 * 60) fuelKg += normal(by, (next - flow) * noise.entrySdS)
    course.push(fuelKg)
  }
  return sortie(by, noise, { course, stretches, transfer: { ...CONTACT, addedKg: ONLOAD_KG, sdKg }, wrongShare: 0 })
}

/** A ship that bursts, is late into its phases, burns other than its sheet says, and is sometimes called wrong. */
export function strangeSortie(seed: number, noise: Noise, strange: Strange): Sortie {
  const by = chance(seed)
  const bias = strange.biases[by.whole(0, strange.biases.length - 1)] ?? 1
  let fuelKg = START_KG + normal(by, noise.gaugeShare * FULL_KG)
  const { stretches = STRETCHES } = strange
  const lateMs = stretches.map((_, i) => (i === 0 ? 0 : by.number(...strange.lateS) * 1000))
  const flown = stretches.map((one, i) => ({
    ...one,
    fromAtMs: one.fromAtMs + (lateMs[i] ?? 0),
    toAtMs: one.toAtMs + (lateMs[i + 1] ?? 0)
  }))
  let burstLeftS = 0
  const course = [fuelKg]
  for (let atS = 0; atS < 110 * 60; atS += STEP_S) {
    if (burstLeftS <= 0 && by.yes(STEP_S / strange.burstEveryS)) burstLeftS = by.number(...strange.burstS)
    const burstS = Math.min(STEP_S, Math.max(0, burstLeftS))
    burstLeftS -= STEP_S
    const { burnKgPerS = 0, steady } = stretchAt(flown, atS * 1000) ?? {}
    const bursts = strange.burstsOnTask !== true || steady !== true
    fuelKg -= bias * burnKgPerS * (STEP_S + (bursts ? 2 * burstS : 0))
    if (inContact(atS * 1000)) fuelKg += (ONLOAD_KG * STEP_S) / CONTACT_S
    course.push(fuelKg)
  }
  const called = ONLOAD_KG * (1 + normal(by, noise.meterShare))
  const sdKg = noise.meterShare * called
  const transfer = { ...CONTACT, addedKg: called, sdKg }
  return sortie(by, noise, { course, stretches, transfer, wrongShare: strange.wrongShare })
}

const HELD_MS = 12 * MIN_MS
const AT_HOLD = { insideKg: 4_500, sdKg: 30 }
const OUTSIDE_KG = FULL_KG - INSIDE_KG

/** The same ship with a gauge of the inside: what is outside gives at first, is held, and is full after the contact. */
export function insideSortie(seed: number, noise: Noise): Sortie {
  const { watch, trueKg } = ownSortie(seed, noise)
  const by = chance(seed + 1_000_000)
  const insideKg = AT_HOLD.insideKg + normal(by, AT_HOLD.sdKg)
  const heldKg = (trueKg[HELD_MS / MIN_MS] ?? NaN) - insideKg
  const [contactMin, disconnectMin] = [CONTACT.fromAtMs / MIN_MS, CONTACT.toAtMs / MIN_MS]
  const outsideKg = (atMin: number): number | undefined => {
    if (atMin < HELD_MS / MIN_MS) return undefined
    const filled = Math.min(1, Math.max(0, (atMin - contactMin) / (disconnectMin - contactMin)))
    return heldKg + filled * (OUTSIDE_KG - heldKg)
  }
  const shownKg = (atMs: number): number => {
    const atMin = Math.round(atMs / MIN_MS)
    const outside = outsideKg(atMin)
    return outside === undefined ? insideKg : (trueKg[atMin] ?? NaN) - outside
  }
  const moving = { kind: 'moving', leastKg: 0, mostKg: OUTSIDE_KG } as const
  const calls = callsOf(by, noise, { covers: 'internal', scaleKg: INSIDE_KG, shownKg }, 0)
  return {
    trueKg,
    insideKg: trueKg.map((kg, atMin) => kg - (outsideKg(atMin) ?? NaN)),
    watch: {
      ...watch,
      outside: [
        { atMs: 0, outside: moving },
        { atMs: HELD_MS, outside: { kind: 'stopped', ...AT_HOLD } },
        { atMs: CONTACT.fromAtMs, outside: moving },
        { atMs: CONTACT.toAtMs, outside: { kind: 'keeps', outsideKg: OUTSIDE_KG, sdKg: 0 } }
      ],
      // On whole minutes, of which the truth is known.
      calls: calls
        .map((one) => ({ ...one, atMs: Math.round(one.atMs / MIN_MS) * MIN_MS }))
        .filter((one) => one.atMs < 110 * MIN_MS)
    }
  }
}
