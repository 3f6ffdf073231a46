/** What is said on the radio of what is truly so: late, wrong, or not at all. */
import { KG_PER_LB } from '../../shared/units.ts'
import { normal } from '../shared/filter/sorties.ts'
import type { AnyRequest } from '../../shared/contracts/requests.ts'
import type { chance } from '../shared/order/chance.ts'
import type { Law } from './law.ts'
import { fullScaleKg, type Ship } from './ship.ts'

export type Chance = ReturnType<typeof chance>

/** Something said: observed at one time and recorded at another, s of the hour. */
export interface Word {
  observedS: number
  recordedS: number
  request: { kind: AnyRequest['kind'] } & Record<string, unknown>
  /** What it takes back. */
  withdraws?: Word
}

const HOUR_S = 3600
const WRONG_LB = 1000

interface Reading {
  atS: number
  shownKg: number
  wrongLb: number
  delayS: number
}

function calledOf(by: Chance, law: Law, ship: Ship, { atS, shownKg, wrongLb, delayS }: Reading): Word {
  const { type } = ship.flight
  const readLb = (shownKg + normal(by, law.gaugeShare * fullScaleKg(type))) / KG_PER_LB
  const roundedLb = law.roundedToLb > 0 ? Math.round(readLb / law.roundedToLb) * law.roundedToLb : readLb
  const fuel = { value: Math.max(0, roundedLb + wrongLb), unit: 'lb' }
  return {
    observedS: atS,
    recordedS: atS + delayS,
    request: { kind: 'callFuel', shipId: ship.id, fuel, covers: type.gauge }
  }
}

/** The fuel calls of a ship, from what its gauge shows second by second in flight. */
export function fuelCalls(by: Chance, law: Law, ship: Ship, shownKg: ReadonlyMap<number, number>): Word[] {
  const words: Word[] = []
  const everyS = HOUR_S / law.callsPerShip
  const silentFromS = by.number(0, 50) * 60
  const silentToS = by.yes(law.silentShare) ? silentFromS + by.number(10, 20) * 60 : silentFromS
  for (let t = ship.flight.startsS + by.number(0, everyS); t < HOUR_S; t += everyS * by.number(0.5, 1.5)) {
    const atS = Math.round(t)
    const kg = shownKg.get(atS)
    const wrongLb = by.yes(law.wrongShare) ? (by.yes(0.5) ? WRONG_LB : -WRONG_LB) : 0
    const delayS = by.number(...law.recordedAfterS) + (by.yes(law.lateCallShare) ? by.number(60, 300) : 0)
    if (kg === undefined || (atS >= silentFromS && atS < silentToS)) continue
    const word = calledOf(by, law, ship, { atS, shownKg: kg, wrongLb, delayS })
    words.push(word)
    if (wrongLb === 0 || law.askedAgainS === undefined) continue
    const againS = Math.round(word.recordedS + by.number(...law.askedAgainS))
    words.push({ observedS: againS, recordedS: againS, request: { kind: 'withdrawFact' }, withdraws: word })
    const rightKg = shownKg.get(againS)
    if (rightKg !== undefined)
      words.push(calledOf(by, law, ship, { atS: againS, shownKg: rightKg, wrongLb: 0, delayS: 0 }))
  }
  return words
}

/** How long after something other than a fuel call is observed it is recorded, s. */
export const turnDelayS = (by: Chance, law: Law): number =>
  by.number(...law.recordedAfterS) + (by.yes(law.lateTurnShare) ? by.number(20, 60) : 0)
