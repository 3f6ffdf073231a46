import type { FactOf } from '../../contracts/facts.ts'
import type { LimitView, ShipView } from '../../contracts/view.ts'
import { abortBaseOf } from '../../plan/abort.ts'
import {
  abortKg,
  abortRuling,
  bingoFrom,
  bingoRuling,
  jokerRuling,
  recoveryKg,
  requiredRuling
} from '../../plan/limits.ts'
import type { Ruling } from '../../fuel/limits.ts'
import { isInsideKnown } from '../../filter/fold.ts'
import { dumpAllS } from '../../tanks/dump.ts'
import { gaugeAtLevel } from '../../tanks/reading.ts'
import { countedKg, gaugeKg, totalKg, trappedKg, usableKg, type Sheet, type TankState } from '../../tanks/sheet.ts'
import { quantityKg } from '../../units.ts'
import { starvedAt } from '../ahead.ts'
import { positionOn } from '../course.ts'
import { tankName, troublesOf } from '../troubles.ts'
import { reasonOf } from './ask.ts'
import { leftView } from './left.ts'
import { slotNow, statusOf, type Scene } from './scene.ts'
import { marginsOf } from './margin.ts'

export function shipView(scene: Scene, nextAt: ReadonlyMap<string, string>): ShipView {
  const { plan, crew, leg, tanks, way, nowMs } = scene
  const { ship, flight, current } = crew
  const { sheet } = ship
  const status = statusOf(scene, nextAt)
  const slot = slotNow(scene)
  const at = positionOn(leg, nowMs)
  const track =
    slot?.placed.visit.id === current?.id
      ? slot?.placed.tanker.trackId
      : plan.tankers.get(current?.tankerId ?? '')?.trackId
  const abort = track === undefined ? undefined : abortBaseOf(plan, flight, track)
  const { read } = crew.folded
  const starved = starvedAt(way, nowMs)
  const margins = marginsOf(scene, status)
  const call = crew.record.findLast(
    (fact): fact is FactOf<'fuelCalled'> => fact.kind === 'fuelCalled' && fact.atMs <= nowMs
  )
  const staleAtMs = call ? call.atMs + plan.staleAfterMs : null
  return {
    shipId: ship.id,
    callSign: ship.callSign,
    flightId: flight.id,
    rank: 0,
    status,
    phaseId: leg.phaseId ?? null,
    externals: tanks.externals,
    tanks: sheet.groups.map((group, index) => ({
      groupId: group.id,
      name: group.name,
      external: group.place === 'external',
      tankCount: group.tankCount,
      quantityKg: (tanks.quantitiesKg[index] ?? []).reduce((sum, kg) => sum + kg, 0),
      capacityKg: group.capacityKg * group.tankCount,
      trappedKg: trappedKg(sheet, tanks, index),
      troubles: (tanks.troubles[index] ?? []).flatMap((its, tank) =>
        troublesOf(its).map((trouble) => ({
          tankNumber: tank + 1,
          trouble,
          read: trouble === 'not giving' && crew.folded.readTroubles.has(tankName(index, tank))
        }))
      )
    })),
    fuelKg: totalKg(sheet, tanks),
    usableKg: starved ? 0 : usableKg(sheet, tanks),
    countedKg: starved ? 0 : countedKg(sheet, tanks),
    gaugeKg: gaugeKg(sheet, tanks),
    capacityKg: ship.capacityKg,
    flowKgPerS: leg.burnKgPerS,
    estimate: estimateOf(scene),
    lastCall: call
      ? {
          seq: call.seq,
          atMs: call.atMs,
          figureKg: quantityKg(call.fuel, plan.fuelKgPerM3),
          covers: call.covers,
          stale: nowMs > (staleAtMs ?? Infinity)
        }
      : null,
    staleAtMs,
    externalsRead: read === 'in band' || read === 'unclear' || read === 'empty' || read === 'not giving' ? read : null,
    jettisoned: [...ship.fit.jettisoned],
    gaugeBand: sheet.gaugeBandKg ? { ...sheet.gaugeBandKg, notGivingBelowKg: sheet.notGivingBelowKg ?? null } : null,
    feedLow: feedLow(sheet, tanks),
    feedLowAtMs: way.feedLowAtMs.find((atMs) => atMs >= nowMs) ?? null,
    dumpS: dumpAllS(sheet, tanks, leg.burnKgPerS),
    limits: {
      abort: track === undefined ? null : limitView(scene, abortRuling(plan, ship, track)),
      bingo: limitView(scene, bingoRuling(plan, ship, leg.phaseIndex)),
      joker: limitView(scene, jokerRuling(plan, ship, leg.phaseIndex)),
      required: limitView(scene, current && requiredRuling(plan, flight, ship, current), 'usable')
    },
    abortKg: track === undefined ? null : abortKg(plan, ship, track),
    abortBaseId: abort?.baseId ?? null,
    abortWhy: abort?.why ?? null,
    bingoKg: bingoFrom(plan, ship, leg.phaseIndex) ?? null,
    jokerKg: jokerRuling(plan, ship, leg.phaseIndex)?.kg ?? null,
    recoveryKg: recoveryKg(plan, ship, at, flight.recoveryBaseId) ?? null,
    recoveryBaseId: flight.recoveryBaseId,
    margin: margins[0] ?? null,
    margins,
    slotId: slot?.placed.id ?? null,
    left: leftView(scene)
  }
}

/** How sure the fuel is, and what the calls are worth. */
function estimateOf(scene: Scene): ShipView['estimate'] {
  const { crew, tanks } = scene
  const { fuel, unsureKg, folded } = crew
  const { waiting } = fuel
  const amount = (isInsideKnown(folded.filtered) ? fuel.inside : undefined) ?? fuel
  return {
    sdKg: amount.sdKg,
    unsureKg,
    burnFactor: fuel.burnFactor,
    reason: reasonOf(scene, gaugeKg(crew.ship.sheet, tanks), amount.sdKg),
    check: folded.filtered.check || folded.check,
    waiting: waiting
      ? { seq: waiting.seq, atMs: waiting.atMs, figureKg: waiting.figureKg, covers: waiting.covers }
      : null
  }
}

function limitView(
  scene: Scene,
  ruling: Ruling | undefined,
  measure: 'counted' | 'usable' = 'counted'
): LimitView | null {
  if (!ruling) return null
  const { crew, tanks, leg } = scene
  const { kg, computedKg, byHandKg } = ruling
  const gauge = gaugeAtLevel(crew.ship.sheet, tanks, leg.burnKgPerS, measure, kg)
  return { fuelKg: kg, computedKg, byHandKg: byHandKg ?? null, gaugeKg: gauge ?? null }
}

function feedLow(sheet: Sheet, tanks: TankState): boolean {
  if (sheet.feedLowMarkKg === undefined) return false
  const feedKg = (tanks.quantitiesKg[sheet.feedIndex] ?? []).reduce((sum, kg) => sum + kg, 0)
  return feedKg <= sheet.feedLowMarkKg
}
