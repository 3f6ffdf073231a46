import { foldFuel, fuelAt } from '../../shared/filter/fold.ts'
import { NOISE, readingVarKg2, wanderOf } from '../../shared/filter/noise.ts'
import type { Watch } from '../../shared/filter/watch.ts'
import { interleaved, latencies, rowOf, type Row } from './timing.ts'

const BATCHES = 120
const CALLS = 400
const MIN_MS = 60_000
const FULL_KG = 6_500
const ROUNDING_KG = 45.359237
/** Rounds of transit, task and refuelling. Invented. */
const FLOWS_KG_PER_S = [0.8, 2.1, 0.6]
const PHASE_MS = 25 * MIN_MS
const PHASES = 12
const PLAN_MS = PHASES * PHASE_MS

const flowAt = (phase: number): number => FLOWS_KG_PER_S[phase % FLOWS_KG_PER_S.length] ?? 0

/** Five hours of one ship: twelve phases, four contacts, a call every 45 s. */
function watchOf(): Watch {
  const stretches = Array.from({ length: PHASES }, (_, i) => ({
    fromAtMs: i * PHASE_MS,
    toAtMs: (i + 1) * PHASE_MS,
    burnKgPerS: flowAt(i)
  }))
  const transfers = [2, 5, 8, 11].map((phase) => ({
    fromAtMs: phase * PHASE_MS + 5 * MIN_MS,
    toAtMs: phase * PHASE_MS + 10 * MIN_MS,
    addedKg: 5_250,
    sdKg: 50
  }))
  const start = { atMs: 0, fuelKg: 5_200, sdKg: 50 }
  const bare: Watch = {
    start,
    fullScaleKg: { total: FULL_KG, internal: FULL_KG },
    stretches,
    transfers,
    outside: [],
    calls: []
  }
  const quiet = foldFuel(bare)
  return {
    ...bare,
    calls: Array.from({ length: CALLS }, (_, seq) => {
      const atMs = ((seq + 1) * PLAN_MS) / (CALLS + 1)
      // As planned, off by up to 60 kg to and fro.
      const figureKg = quietKg(quiet, atMs) + 60 * Math.sin(seq * 2.4)
      return { seq, atMs, figureKg, covers: 'total' as const, roundingKg: ROUNDING_KG }
    })
  }
}
const quietKg = (folded: ReturnType<typeof foldFuel>, atMs: number): number => fuelAt(folded, atMs).meanKg

/** The two states over calls and flows as numbers in rows: neither gate, nor verdicts, nor what is outside. */
function bareFold(atS: Float64Array, figuresKg: Float64Array, flows: Float64Array, addedKg: Float64Array): number {
  const { burnFactorVarPerS, burstS } = wanderOf(NOISE)
  const r = readingVarKg2(NOISE, FULL_KG, ROUNDING_KG)
  let [m, k, pm, pmk, pk] = [5_200, 1, 2_500, 0, NOISE.burnFactorSd ** 2]
  let before = 0
  for (let i = 0; i < atS.length; i++) {
    const t = (atS[i] ?? 0) - before
    before = atS[i] ?? 0
    const f = flows[i] ?? 0
    const kg = f * t
    const q = burnFactorVarPerS * t
    m += (addedKg[i] ?? 0) - kg * k
    pm += -2 * kg * pmk + kg * kg * pk + (q * kg * kg) / 3 + burstS * f * kg
    pmk -= kg * pk + (q * kg) / 2
    pk += q
    const s = pm + r
    const [gm, gk] = [pm / s, pmk / s]
    const off = (figuresKg[i] ?? 0) - m
    m += gm * off
    k += gk * off
    pk -= gk * pmk
    pmk *= 1 - gm
    pm *= 1 - gm
  }
  return m + k
}

/** Fuel now of one ship after 400 calls, and the fuel of any instant after that. */
export function filterRows(): Row[] {
  const watch = watchOf()
  const folded = foldFuel(watch)
  const believed = folded.heard.filter((one) => one.verdict === 'believed').length
  if (believed !== CALLS) throw new Error(`${String(CALLS - believed)} calls were not believed`)
  const atS = Float64Array.from(watch.calls, (call) => call.atMs / 1_000)
  const figuresKg = Float64Array.from(watch.calls, (call) => call.figureKg)
  const flows = Float64Array.from(watch.calls, (call) => flowAt(Math.floor(call.atMs / PHASE_MS)))
  const addedKg = Float64Array.from(watch.calls, (call, i) => {
    const fromMs = watch.calls[i - 1]?.atMs ?? 0
    return watch.transfers.reduce((kg, one) => {
      const sharedMs = Math.min(call.atMs, one.toAtMs) - Math.max(fromMs, one.fromAtMs)
      return kg + (Math.max(0, sharedMs) / (one.toAtMs - one.fromAtMs)) * one.addedKg
    }, 0)
  })
  const offKg = Math.abs(bareFold(atS, figuresKg, flows, addedKg) - folded.runner.belief.fuelKg)
  if (offKg > 60) throw new Error(`the bare filter is off by ${String(offKg)} kg`)
  const fold = interleaved(
    {
      ours: () => foldFuel(watch).runner.belief.fuelKg,
      bare: () => bareFold(atS, figuresKg, flows, addedKg)
    },
    BATCHES
  )
  const lastMs = watch.calls.at(-1)?.atMs ?? 0
  const now = foldFuel(watch, NOISE, lastMs / 2)
  const ahead = interleaved({ ours: () => fuelAt(now, lastMs).limitKg }, BATCHES)
  const us = (ms: readonly number[]) => latencies(ms.map((one) => one * 1_000))
  return [
    rowOf(`fuel now, ${String(CALLS)} calls of a ship folded`, 'µs', BATCHES, us(fold.ours), us(fold.bare)),
    rowOf('fuel half a plan ahead, six phases on', 'µs', BATCHES, us(ahead.ours), null)
  ]
}
