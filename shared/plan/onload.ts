/** One ship on one station, without an event: the fill curve, its knee, and where the rule ends it. */
import type { OnLoadAnswer } from '../contracts/answers.ts'
import type { Fault } from '../contracts/problem.ts'
import type { OnLoadBody } from '../contracts/requests.ts'
import { fillCurve, stopAt, type FillTarget } from '../tanks/fill.ts'
import { capacityKg, startState, usableKg } from '../tanks/sheet.ts'
import { densityKgPerM3, flowKgPerS, massKg } from '../units.ts'
import { dragFactorOf, sheetOf } from './brief.ts'
import { typeFaults } from './check.ts'

function targetOf(rule: OnLoadBody['onLoad']): FillTarget {
  switch (rule.kind) {
    case 'fuelAtDisconnect':
      return { kind: 'usable', usableKg: massKg(rule.fuel) }
    case 'fixed':
      return { kind: 'onLoad', onLoadKg: massKg(rule.fuel) }
    case 'internals':
    case 'full':
      return rule
  }
}

/** Curve, knee, minutes and off-load; or why the question makes no sense. */
export function computeOnLoad(body: OnLoadBody): OnLoadAnswer | { faults: Fault[] } {
  const { receiverType } = body
  const faults = typeFaults(receiverType, body.fuelDensity)
  body.fitted.forEach((id, index) => {
    if (receiverType.groups.some((group) => group.id === id && group.place === 'external')) return
    faults.push({
      path: `/fitted/${String(index)}`,
      value: JSON.stringify(id),
      limit: 'an external group of its type',
      message: 'no such external group'
    })
  })
  if (faults.length > 0) return { faults }
  const fuelKgPerM3 = densityKgPerM3(body.fuelDensity)
  const sheet = sheetOf(receiverType, body.fitted, fuelKgPerM3)
  const fuelKg = massKg(body.fuelAtContact)
  const most = capacityKg(sheet)
  if (fuelKg > most) {
    const limit = `at most ${most.toFixed(1)} kg, what its tanks hold`
    return {
      faults: [
        {
          path: '/fuelAtContact/value',
          value: String(body.fuelAtContact.value),
          limit,
          message: 'more fuel than its tanks hold'
        }
      ]
    }
  }
  const state = startState(sheet, fuelKg, body.externals)
  const burnKgPerS = flowKgPerS(receiverType.flows.refuelling, fuelKgPerM3) * dragFactorOf(receiverType, body.fitted)
  const curve = fillCurve(sheet, state, { stationRateKgPerS: flowKgPerS(body.stationRate, fuelKgPerM3), burnKgPerS })
  const stop = stopAt(curve, targetOf(body.onLoad))
  return {
    minutesMin: stop.durationS / 60,
    onLoadKg: stop.onLoadKg,
    fuelAtContactKg: usableKg(sheet, state),
    fuelAtDisconnectKg: usableKg(sheet, stop.state),
    endedBy: stop.endedBy,
    kneeIndex: curve.kneeIndex ?? null,
    points: curve.points.map((point) => ({
      atS: point.atS,
      onLoadKg: point.onLoadKg,
      fuelKg: point.fuelKg,
      closes: point.closes.map((index) => sheet.groups[index]?.id ?? '')
    }))
  }
}
