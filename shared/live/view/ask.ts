/** Whom to ask for fuel next: those who may be the worst, by how much surer a call would make it. */
import type { ShipView, View } from '../../contracts/view.ts'
import { isInsideKnown } from '../../filter/fold.ts'
import { LOW_SIDE, NOISE, readingVarKg2 } from '../../filter/noise.ts'
import { externalKg } from '../../tanks/sheet.ts'
import { BOARD_STEP, massKg } from '../../units.ts'
import { countsToLimit } from '../ranking.ts'
import type { Scene } from './scene.ts'

/** As many as a coordinator can have in mind. */
const MOST = 3
/** Less is not worth the time on the radio, s. */
const LEAST_S = 6
/** A gauge read again so soon shows what it showed, its error with it. Source: common practice, no source. */
const REST_MS = 30_000

/** A ship that counts to a limit: how long it has by the mean, and how short that may be, s. */
interface Contender {
  readonly ship: ShipView
  readonly scene: Scene
  readonly meanS: number
  readonly lowS: number
}

/**
 * First ships whose last figure is beyond reason; then those whose gauge of the inside has not told for long whether
 * externals give; then those of which one may be the worst or next to it, most to gain first: whose low side is below the
 * second least of the means. What is gained is time of the margin, s, that need not be set aside any more once the ship
 * has called. Nobody is asked whose gauge could tell no more, or told just now.
 * Checked: tests/shared/live/ask.test.ts, tests/sim/hours.test.ts.
 */
export function asksOf(ships: readonly ShipView[], scenes: ReadonlyMap<string, Scene>, nowMs: number): View['asks'] {
  const contenders = ships.filter(countsToLimit).flatMap((ship): Contender[] => {
    const scene = scenes.get(ship.shipId)
    if (!scene || !ship.margin || !(ship.flowKgPerS > 0)) return []
    const { marginS } = ship.margin
    const meanS = ship.margin.meanS ?? Infinity
    // A requirement is held against the mean; what is unsure of it is unsure all the same.
    const lowS = Math.min(marginS, meanS - ship.estimate.unsureKg / ship.flowKgPerS)
    return [{ ship, scene, meanS, lowS }]
  })
  // The second least: who comes behind the worst is next to be it.
  const leastS = contenders.map(({ meanS }) => meanS).sort((a, b) => a - b)[1] ?? Infinity
  const doubted = ships.filter(isDoubted).map(({ shipId }) => ({ shipId, why: 'check' as const, gainS: 0 }))
  const unsure = contenders
    .filter(({ lowS }) => lowS <= leastS)
    .filter(({ ship }) => !isDoubted(ship))
    .filter(({ ship: { lastCall } }) => lastCall === null || nowMs - lastCall.atMs >= REST_MS)
    .map(({ ship, scene }) => ({ shipId: ship.shipId, why: 'may be worst' as const, gainS: gainS(scene, ship) }))
    .filter((ask) => ask.gainS >= LEAST_S)
    .sort((a, b) => b.gainS - a.gainS)
  const unread = contenders
    .filter(({ ship, scene }) => ship.status !== 'planned' && callVarKg2(scene) === undefined)
    .filter(({ ship, scene }) => nowMs - heardMs(ship, scene) >= scene.plan.staleAfterMs)
    .map(({ ship }) => ({ shipId: ship.shipId, why: 'externals unread' as const, gainS: 0 }))
  return [...doubted, ...unread, ...unsure].slice(0, MOST)
}

/** When it was last heard of: its last call, or its start. */
const heardMs = ({ lastCall }: ShipView, { crew }: Scene): number => lastCall?.atMs ?? crew.legs[0]?.toAtMs ?? -Infinity

/** Its last figure is beyond reason, and nobody has asked again yet. */
const isDoubted = ({ status, estimate }: ShipView): boolean =>
  (estimate.check || estimate.waiting !== null) && !AWAY.has(status)
const AWAY: ReadonlySet<ShipView['status']> = new Set(['left', 'landed', 'no-show'])

/** By how much less fuel need be set aside after one call more, as time at the flow of now, s. */
function gainS(scene: Scene, { estimate, flowKgPerS }: ShipView): number {
  const readVarKg2 = callVarKg2(scene)
  if (readVarKg2 === undefined) return 0
  const varKg2 = estimate.sdKg ** 2
  const afterKg = LOW_SIDE * Math.sqrt((varKg2 * readVarKg2) / (varKg2 + readVarKg2))
  return Math.max(0, scene.crew.unsureKg - afterKg) / flowKgPerS
}

/** Variance of what its gauge is called to show, kg²; undefined where that tells nothing: of the inside, while what is outside gives. */
function callVarKg2({ plan, crew }: Scene): number | undefined {
  const { folded, ship, tanks } = crew
  const { filtered } = folded
  const { gauge } = ship.sheet
  if (gauge === 'internal' && !isInsideKnown(filtered) && externalKg(ship.sheet, tanks) > 0) return undefined
  const roundingKg = massKg({ value: BOARD_STEP, unit: plan.plan.massUnit })
  return readingVarKg2(NOISE, filtered.watch.fullScaleKg[gauge], roundingKg)
}

/**
 * Between what a call of its own gauge is within reason, kg: as the filter weighs it, or the band in which a gauge of the
 * inside stands while externals give. Checked: tests/shared/live/ask.test.ts.
 */
export function reasonOf(scene: Scene, meanKg: number, sdKg: number): ShipView['estimate']['reason'] {
  const { sheet } = scene.crew.ship
  const readVarKg2 = callVarKg2(scene)
  if (readVarKg2 === undefined)
    return sheet.gaugeBandKg ? { leastKg: sheet.gaugeBandKg.lowKg, mostKg: sheet.gaugeBandKg.highKg } : null
  const byKg = NOISE.gate * Math.sqrt(sdKg ** 2 + readVarKg2)
  return { leastKg: meanKg - byKg, mostKg: meanKg + byKg }
}
