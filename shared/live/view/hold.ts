import type { HoldView, SlotView, View } from '../../contracts/view.ts'
import type { SlotOut } from '../../order/times.ts'
import { adviseHold, type HoldQuestion } from '../../tanks/hold.ts'
import type { TankState } from '../../tanks/sheet.ts'
import { burnAt, fillTargetOf, keep, targetOf, type PlacedSlot } from '../slots.ts'
import type { Scene } from './scene.ts'

/** Counted fuel may fall this much above abort fuel before a held external is wanted again, s of burn. */
export const RELEASE_S = 120

/** Whether holding externals on the way to a contact makes it shorter; null for a contact that is not to come. */
export function holdOf(scene: Scene, placed: PlacedSlot, out: SlotOut, trackAbortKg: number): HoldView | null {
  const { crew, nowMs } = scene
  if (out.state !== 'planned') return null
  const { folded } = crew
  const from = holdBegins(scene, out)
  const key = `hold ${placed.id} ${scene.key} ${String(trackAbortKg)} ${String(out.requiredAtPushKg)}`
  const early = keep(folded.kept, key, () => ({
    advice: holdFrom(scene, placed, out, trackAbortKg, from.atMs, from.state)
  })).advice
  // Advice of the past that nobody followed: what can still be done begins now.
  const passed = early?.kind === 'hold' && early.fromMs < nowMs && scene.tanks.externals === 'selected'
  return passed ? holdFrom(scene, placed, out, trackAbortKg, nowMs, scene.tanks) : early
}

/** The ship when what is held before a contact may first be chosen: at its last call, or off the contact before. */
export function holdBegins(scene: Scene, out: SlotOut): { readonly atMs: number; readonly state: TankState } {
  const before = scene.slots.findLast(({ out: one }) => one.contactAtMs < out.contactAtMs && one.state !== 'gone')
  const after = before && scene.way.bends.findLast((bend) => bend.atMs === before.out.disconnectAtMs)
  return after ?? scene.crew.folded.anchor
}

/** What is asked of a hold: the way to contact from an instant on, and what the contact is for. */
export interface HoldCase {
  /** Ship and instant the way begins with. */
  readonly state: TankState
  readonly beginMs: number
  readonly question: HoldQuestion
}

/** The question of a hold from an instant on; undefined where contact comes before it. */
export function holdCase(
  scene: Scene,
  { station, visit, crew }: PlacedSlot,
  out: SlotOut,
  trackAbortKg: number,
  fromMs: number,
  state: TankState
): HoldCase | undefined {
  const { plan, legs } = scene
  const { flight } = crew
  if (out.contactAtMs < fromMs) return undefined
  const burnKgPerS = burnAt(crew, visit)
  const ahead = legs.flatMap((leg) => {
    const durationS = (Math.min(leg.toAtMs, out.contactAtMs) - Math.max(leg.fromAtMs, fromMs)) / 1000
    return durationS > 0 && leg.burnKgPerS > 0 ? [{ durationS, burnKgPerS: leg.burnKgPerS }] : []
  })
  const flownS = ahead.reduce((sum, leg) => sum + leg.durationS, 0)
  const beginMs = out.contactAtMs - flownS * 1000
  return {
    state,
    beginMs,
    question: {
      legs: ahead,
      stationRateKgPerS: station.rateKgPerS,
      contactBurnKgPerS: burnKgPerS,
      target: fillTargetOf(targetOf(plan, crew, visit), out.contactAtMs, burnKgPerS),
      floorKg: trackAbortKg + plan.lateMarginS * burnKgPerS,
      releaseKg: trackAbortKg + RELEASE_S * burnKgPerS,
      jettisons: flight.phases.some((phase, index) => index > visit.phaseIndex && phase.jettisons.length > 0)
    }
  }
}

function holdFrom(
  scene: Scene,
  placed: PlacedSlot,
  out: SlotOut,
  trackAbortKg: number,
  fromMs: number,
  state: TankState
): HoldView | null {
  const asked = holdCase(scene, placed, out, trackAbortKg, fromMs, state)
  if (!asked) return null
  const { beginMs } = asked
  const advice = adviseHold(placed.crew.ship.sheet, state, asked.question)
  if (advice.kind === 'none') return { kind: 'none', why: advice.why }
  return {
    kind: 'hold',
    fromMs: beginMs + advice.holdFromS * 1000,
    gaugeFromKg: advice.gaugeAtHoldKg,
    releaseAtMs: advice.releaseAtS === undefined ? null : beginMs + advice.releaseAtS * 1000,
    gaugeReleaseKg: advice.gaugeAtReleaseKg ?? null,
    savedS: advice.savedS,
    withS: advice.withHoldS,
    withoutS: advice.withoutHoldS,
    externalUsedKg: advice.externalUsedKg,
    gaugeAtContactKg: advice.gaugeAtContactKg,
    countedAtContactKg: advice.countedAtContactKg,
    aboveFloorKg: advice.aboveFloorKg,
    fuelAtDisconnectKg: advice.fuelAtDisconnectKg
  }
}

export function holdsOf(slots: readonly SlotView[]): View['holds'] {
  const advised = slots.flatMap((slot) => (slot.hold?.kind === 'hold' ? [slot.hold] : []))
  return { savedS: advised.reduce((sum, hold) => sum + hold.savedS, 0), shipCount: advised.length }
}
