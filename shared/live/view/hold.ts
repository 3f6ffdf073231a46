import type { HoldView, SlotView, View } from '../../contracts/view.ts'
import type { SlotOut } from '../../order/times.ts'
import { dumpFor, dumpTimeS } from '../../tanks/dump.ts'
import { adviseHold, type HoldQuestion } from '../../tanks/hold.ts'
import type { TankState } from '../../tanks/sheet.ts'
import { advance } from '../course.ts'
import { without } from '../troubles.ts'
import { burnAt, fillTargetOf, keep, targetOf, type PlacedSlot } from '../slots.ts'
import type { Scene } from './scene.ts'

/** Counted fuel may fall this much above abort fuel before a held external is wanted again, s of burn. */
export const RELEASE_S = 120

/** Whether holding externals on the way to a contact makes it shorter; null for a contact that is not to come. */
export function holdOf(scene: Scene, placed: PlacedSlot, out: SlotOut, trackAbortKg: number): HoldView | null {
  const { crew, nowMs } = scene
  const from = holdBegins(scene, out)
  // Whether a flown hold may go on is asked of the ship as it is now.
  if (holdsNow(scene, out, from)) {
    const here = { atMs: nowMs, state: scene.tanks }
    return nowMs <= out.contactAtMs ? holdFrom(scene, placed, out, trackAbortKg, here) : { kind: 'none', why: 'floor' }
  }
  if (out.state !== 'planned') return null
  const { folded } = crew
  const key = `hold ${placed.id} ${scene.key} ${String(trackAbortKg)} ${String(out.requiredAtPushKg)} ${String(placed.internalsOnly)}`
  const early = keep(folded.kept, key, () => ({
    advice: holdFrom(scene, placed, out, trackAbortKg, from)
  })).advice
  // Advice of the past that nobody followed: what can still be done begins now.
  const passed = early?.kind === 'hold' && early.fromMs < nowMs && scene.tanks.externals === 'selected'
  return passed ? holdFrom(scene, placed, out, trackAbortKg, { atMs: nowMs, state: scene.tanks }) : early
}

/** A ship at an instant. */
interface Then {
  readonly atMs: number
  readonly state: TankState
}

/** The ship when what is held before a contact may first be chosen: at its last call, or off the contact before. */
export function holdBegins(scene: Scene, out: SlotOut): Then {
  const before = scene.slots.findLast(({ out: one }) => one.contactAtMs < out.contactAtMs && one.state !== 'gone')
  const after = before && scene.way.bends.findLast((bend) => bend.atMs === before.out.disconnectAtMs)
  return after ?? scene.crew.folded.anchor
}

/** Whether the ship holds its externals now, on its way to this contact; one that it missed counts as well. */
export const holdsNow = ({ crew, tanks, nowMs }: Scene, { state }: SlotOut, from: Then): boolean =>
  tanks.externals === 'held' && from.atMs <= nowMs && !crew.its.inContact && (state === 'planned' || state === 'missed')

const carries = (scene: Scene, state: TankState, groupId: string): boolean =>
  scene.crew.ship.sheet.groups.some(
    (group, g) =>
      group.id === groupId && group.place === 'external' && state.troubles[g]?.some((trouble) => trouble !== 'gone')
  )

/** The ship once all that the plan throws off or dumps before an instant is gone: no hold saves any of it. */
function relieved({ crew, legs }: Scene, from: Then, untilMs: number): Then {
  const { ship } = crew
  let then = from
  for (const leg of legs) {
    const throws = leg.fromAtMs >= from.atMs && leg.jettisons.length > 0
    const dumps = leg.dumpToKg !== undefined && leg.toAtMs > then.atMs
    if ((!throws && !dumps) || leg.fromAtMs > untilMs) continue
    const startMs = Math.max(then.atMs, leg.fromAtMs)
    const flownTo = advance(ship, legs, { ...then, contact: undefined }, startMs).state
    const state = throws ? without(ship.sheet, flownTo, leg.jettisons) : flownTo
    then = { atMs: startMs, state }
    if (leg.dumpToKg === undefined || !dumps) continue
    const legS = (Math.min(leg.toAtMs, untilMs) - startMs) / 1000
    const dumpS = Math.max(0, Math.min(legS, dumpTimeS(ship.sheet, state, leg.burnKgPerS, leg.dumpToKg) ?? legS))
    then = { atMs: startMs + dumpS * 1000, state: dumpFor(ship.sheet, state, leg.burnKgPerS, dumpS).state }
  }
  return then
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
  placed: PlacedSlot,
  out: SlotOut,
  trackAbortKg: number,
  from: Then
): HoldCase | undefined {
  const { plan, legs } = scene
  const { station, visit, crew } = placed
  const { flight } = crew
  if (out.contactAtMs < from.atMs) return undefined
  const { atMs: fromMs, state } = relieved(scene, from, out.contactAtMs)
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
      target: fillTargetOf(targetOf(plan, placed), out.contactAtMs, burnKgPerS),
      floorKg: trackAbortKg + plan.lateMarginS * burnKgPerS,
      releaseKg: trackAbortKg + RELEASE_S * burnKgPerS,
      jettisons: flight.phases.some(
        ({ jettisons }, index) =>
          index > visit.phaseIndex && jettisons.some((groupId) => carries(scene, state, groupId))
      )
    }
  }
}

function holdFrom(scene: Scene, placed: PlacedSlot, out: SlotOut, trackAbortKg: number, from: Then): HoldView | null {
  const asked = holdCase(scene, placed, out, trackAbortKg, from)
  if (!asked) return null
  const { beginMs, state } = asked
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
