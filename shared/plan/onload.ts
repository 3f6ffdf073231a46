/** One ship on one station, without an event: the curve, its knee, the hold, and the limits at once. */
import type { OnLoadAnswer } from '../contracts/answers.ts'
import type { Fault } from '../contracts/problem.ts'
import type { OnLoadBody } from '../contracts/requests.ts'
import { burnedDownToKg, type Weighing } from '../fuel/burn.ts'
import { landingReserveKg, ruling } from '../fuel/limits.ts'
import { dumpAllS } from '../tanks/dump.ts'
import { feed, feedUntil } from '../tanks/feed.ts'
import { fillCurve, stopAt, stopTable, type FillTarget } from '../tanks/fill.ts'
import { adviseHold } from '../tanks/hold.ts'
import { gaugeAtLevel } from '../tanks/reading.ts'
import { capacityKg, countedKg, gaugeKg, startState, usableKg, type Sheet, type TankState } from '../tanks/sheet.ts'
import { densityKgPerM3, distanceM, flowKgPerS, massKg, quantityKg, speedMPerS } from '../units.ts'
import { dragFactorOf, dragFactorsOf, sheetOf } from './brief.ts'
import { flownBurnsKgPerS } from './burns.ts'
import { typeFaults, volumeFaults } from './check.ts'
import { weighingHome } from './limits.ts'
import { typeWarnings } from './warnings.ts'

/** How far ahead the latest contact is looked for, s. */
const LOOK_AHEAD_S = 8 * 3600
/** Counted fuel at a contact stands this much of burn above abort fuel, unless said otherwise, s: the late margin. */
const LATE_MARGIN_S = 5 * 60
/** Held externals are wanted again this much of burn above abort fuel, s. */
const RELEASE_S = 2 * 60
/** Any density serves where nothing is given by volume; the faults have asked for one where something is. */
const MASSES_ONLY = { value: 800, unit: 'kg/m3' } as const

function targetOf(rule: OnLoadBody['onLoad'], fuelKgPerM3: number): FillTarget {
  switch (rule.kind) {
    case 'fuelAtDisconnect':
      return { kind: 'usable', usableKg: quantityKg(rule.fuel, fuelKgPerM3) }
    case 'fixed':
      return { kind: 'onLoad', onLoadKg: quantityKg(rule.fuel, fuelKgPerM3) }
    case 'internals':
    case 'full':
      return rule
  }
}

function faultsOf(body: OnLoadBody): Fault[] {
  const { receiverType } = body
  const faults = body.fuelDensity ? [] : volumeFaults(body)
  if (faults.length === 0) faults.push(...typeFaults(receiverType, body.fuelDensity ?? MASSES_ONLY))
  body.fitted.forEach((id, index) => {
    if (receiverType.groups.some((group) => group.id === id && group.place === 'external')) return
    faults.push({
      path: `/fitted/${String(index)}`,
      value: JSON.stringify(id),
      limit: 'an external group of its type',
      message: 'no such external group'
    })
  })
  if (body.abort?.landingReserve.kind === 'minutes' && !receiverType.flows.holding) {
    faults.push({
      path: '/receiverType/flows/holding',
      value: 'nothing',
      limit: 'a flow',
      message: 'the landing reserve is counted in minutes of holding'
    })
  }
  return faults
}

/** Curve, knee, hold and limits; or why the question makes no sense. */
export function computeOnLoad(body: OnLoadBody): OnLoadAnswer | { faults: Fault[] } {
  const faults = faultsOf(body)
  if (faults.length > 0) return { faults }
  const { receiverType } = body
  const fuelKgPerM3 = densityKgPerM3(body.fuelDensity ?? MASSES_ONLY)
  const sheet = sheetOf(receiverType, body.fitted, fuelKgPerM3)
  const fuelKg = quantityKg(body.fuelNow, fuelKgPerM3)
  const most = capacityKg(sheet)
  if (fuelKg > most) {
    const limit = `at most ${most.toFixed(1)} kg, what its tanks hold`
    return {
      faults: [
        { path: '/fuelNow/value', value: String(body.fuelNow.value), limit, message: 'more fuel than its tanks hold' }
      ]
    }
  }
  const drag = dragFactorOf(dragFactorsOf(receiverType), body.fitted)
  const weighing = receiverType.weighing && {
    zeroFuelKg: massKg(receiverType.weighing.zeroFuel),
    referenceKg: massKg(receiverType.weighing.reference)
  }
  const { legs, burnKgPerS } = burnsOf(body, { sheet, fuelKg, fuelKgPerM3, drag, weighing })
  const now = startState(sheet, fuelKg, body.externals)
  const flow = { stationRateKgPerS: flowKgPerS(body.stationRate, fuelKgPerM3), burnKgPerS }
  const target = targetOf(body.onLoad, fuelKgPerM3)
  const ends = {
    windowS: body.windowMin === undefined ? undefined : body.windowMin * 60,
    giveKg: body.give && quantityKg(body.give, fuelKgPerM3)
  }
  const atContact = flown(sheet, now, legs)
  const contactAtS = legs.reduce((sum, leg) => sum + leg.durationS, 0)
  const home = weighingHome({ weighing, sheet, fit: { jettisoned: [], byHandKg: {} } })
  const abort = body.abort && abortOf(body.abort, body, { fuelKgPerM3, drag, weighing: home })
  const floorKg = abort === undefined ? 0 : abort + lateMarginS(body) * burnKgPerS
  const advice = adviseHold(sheet, now, {
    legs,
    stationRateKgPerS: flow.stationRateKgPerS,
    contactBurnKgPerS: burnKgPerS,
    target,
    floorKg,
    releaseKg: abort === undefined ? 0 : abort + RELEASE_S * burnKgPerS,
    jettisons: body.jettisonsAfter ?? false
  })
  return {
    ...contactOf(sheet, atContact, flow, target, ends),
    contactAtS,
    burnsKgPerS: legs.map((leg) => leg.burnKgPerS),
    limits: abort === undefined ? null : limitsAt(sheet, { now, legs, atContact }, burnKgPerS, abort),
    hold:
      advice.kind === 'none'
        ? { kind: 'none', why: advice.why }
        : {
            kind: 'hold',
            fromS: advice.holdFromS,
            gaugeFromKg: advice.gaugeAtHoldKg,
            releaseAtS: advice.releaseAtS ?? null,
            gaugeReleaseKg: advice.gaugeAtReleaseKg ?? null,
            savedS: advice.savedS,
            externalUsedKg: advice.externalUsedKg,
            countedAtContactKg: advice.countedAtContactKg,
            aboveFloorKg: advice.aboveFloorKg,
            held: contactOf(
              sheet,
              flown(sheet, now, legs, advice.holdFromS),
              flow,
              { kind: 'usable', usableKg: advice.fuelAtDisconnectKg },
              ends
            )
          },
    dumpS: dumpAllS(sheet, now, burnKgPerS),
    warnings: [...typeWarnings(receiverType, fuelKgPerM3)]
  }
}

const lateMarginS = (body: OnLoadBody): number =>
  body.lateMarginMin === undefined ? LATE_MARGIN_S : body.lateMarginMin * 60

/** Burns of the way to contact and in it, as a plan has them: where flows grow with weight, each of the weight there. */
function burnsOf(
  { ahead = [], receiverType }: OnLoadBody,
  ship: { sheet: Sheet; fuelKg: number; fuelKgPerM3: number; drag: number; weighing: Weighing | undefined }
): { legs: { durationS: number; burnKgPerS: number }[]; burnKgPerS: number } {
  const { sheet, fuelKg, fuelKgPerM3, drag, weighing } = ship
  const flown = [...ahead, { durationMin: 0, flow: receiverType.flows.refuelling }]
  const phases = flown.map(({ durationMin, flow }, index) => ({
    durationS: durationMin * 60,
    flowKgPerS: flowKgPerS(flow, fuelKgPerM3) * drag,
    fullAfter: index === ahead.length,
    lump: false
  }))
  const burns = flownBurnsKgPerS(phases, { startKg: fuelKg, fullKg: capacityKg(sheet), weighing })
  return {
    legs: ahead.map(({ durationMin }, index) => ({ durationS: durationMin * 60, burnKgPerS: burns[index] ?? 0 })),
    burnKgPerS: burns.at(-1) ?? 0
  }
}

/** The ship at the end of its way, externals held from an instant on where one is given. */
function flown(
  sheet: Sheet,
  from: TankState,
  legs: readonly { durationS: number; burnKgPerS: number }[],
  holdFromS = Infinity
): TankState {
  let state = from
  let atS = 0
  for (const { durationS, burnKgPerS } of legs) {
    const freeS = Math.min(durationS, Math.max(0, holdFromS - atS))
    state = feed(sheet, state, burnKgPerS, freeS).state
    if (freeS < durationS) {
      if (state.externals === 'selected') state = { ...state, externals: 'held' }
      state = feed(sheet, state, burnKgPerS, durationS - freeS).state
    }
    atS += durationS
  }
  return state
}

type Ends = Parameters<typeof stopAt>[2]

function contactOf(
  sheet: Sheet,
  atContact: TankState,
  flow: Parameters<typeof fillCurve>[2],
  target: FillTarget,
  ends: Ends
) {
  const curve = fillCurve(sheet, atContact, flow)
  const stop = stopAt(curve, target, ends)
  const names = (groups: readonly number[]): string[] => groups.map((index) => sheet.groups[index]?.id ?? '')
  return {
    minutesMin: stop.durationS / 60,
    onLoadKg: stop.onLoadKg,
    lostKg: stop.lostKg,
    fuelAtContactKg: usableKg(sheet, atContact),
    gaugeAtContactKg: gaugeKg(sheet, atContact),
    countedAtContactKg: countedKg(sheet, atContact),
    fuelAtDisconnectKg: usableKg(sheet, stop.state),
    gaugeAtDisconnectKg: gaugeKg(sheet, stop.state),
    endedBy: stop.endedBy,
    kneeIndex: curve.kneeIndex ?? null,
    points: curve.points.map(({ atS, onLoadKg, fuelKg, usableKg: usable, closes }) => ({
      atS,
      onLoadKg,
      fuelKg,
      usableKg: usable,
      closes: names(closes)
    })),
    stops: stopTable(curve, stop.durationS).map((one) => ({
      atS: one.atS,
      onLoadKg: one.onLoadKg,
      usableKg: one.usableKg,
      closes: names(one.closes),
      knee: one.knee,
      savesS: one.savesS,
      savesKg: one.savesKg,
      forgoesKg: one.forgoesKg,
      rateBeforeKgPerS: one.rateBeforeKgPerS,
      rateAfterKgPerS: one.rateAfterKgPerS
    }))
  }
}

/** Abort fuel, kg: the way at the recovery flow, approach and landing reserve, or what is set by hand above that. */
function abortOf(
  { distance, groundSpeed, landingReserve, byHand }: NonNullable<OnLoadBody['abort']>,
  { receiverType }: OnLoadBody,
  { fuelKgPerM3, drag, weighing }: { fuelKgPerM3: number; drag: number; weighing: Weighing | undefined }
): number {
  const flowOf = (flow: OnLoadBody['stationRate'] | undefined) => (flow ? flowKgPerS(flow, fuelKgPerM3) * drag : 0)
  const timeS = distanceM(distance) / speedMPerS(groundSpeed)
  const reserveKg = landingReserveKg(
    landingReserve.kind === 'minutes'
      ? { kind: 'minutes', holdingS: landingReserve.holdingMin * 60 }
      : { kind: 'fixed', fuelKg: quantityKg(landingReserve.fuel, fuelKgPerM3) },
    flowOf(receiverType.flows.holding),
    weighing
  )
  const leftKg = quantityKg(receiverType.approachFuel, fuelKgPerM3) + reserveKg
  const way = { durationS: timeS, flowKgPerS: flowOf(receiverType.flows.recovery) }
  const computedKg = burnedDownToKg(leftKg, way, weighing) + leftKg
  return ruling({ computedKg, byHandKg: byHand && quantityKg(byHand, fuelKgPerM3) }).kg
}

/**
 * When counted fuel fell to abort fuel for good on a way that ends below it, s from now; before now where it lay below
 * from the beginning. Externals that are first seen to give on the way lift it once.
 */
function fallsBelowAtS(sheet: Sheet, { now, legs }: Way, contactBurnKgPerS: number, abortKg: number): number {
  const lackingKg = abortKg - countedKg(sheet, now)
  let fellAtS = lackingKg > 0 ? -lackingKg / (legs[0]?.burnKgPerS ?? contactBurnKgPerS) : 0
  let state = now
  let atS = 0
  for (const { durationS, burnKgPerS } of legs) {
    const fallsS = feedUntil(sheet, state, burnKgPerS, 'counted', abortKg, durationS)
    if (fallsS !== undefined && countedKg(sheet, state) >= abortKg) fellAtS = atS + fallsS
    state = feed(sheet, state, burnKgPerS, durationS).state
    atS += durationS
  }
  return fellAtS
}

interface Way {
  now: TankState
  legs: readonly { durationS: number; burnKgPerS: number }[]
  atContact: TankState
}

function limitsAt(sheet: Sheet, way: Way, burnKgPerS: number, abortKg: number) {
  const { legs, atContact } = way
  const contactAtS = legs.reduce((sum, leg) => sum + leg.durationS, 0)
  const slackS =
    countedKg(sheet, atContact) < abortKg
      ? fallsBelowAtS(sheet, way, burnKgPerS, abortKg) - contactAtS
      : feedUntil(sheet, atContact, burnKgPerS, 'counted', abortKg, LOOK_AHEAD_S)
  return {
    abortKg,
    abortGaugeKg: gaugeAtLevel(sheet, atContact, burnKgPerS, 'counted', abortKg) ?? null,
    latestContactAtS: slackS === undefined ? null : contactAtS + slackS,
    slackS: slackS ?? null
  }
}
