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
  /** A figure that nobody meant. */
  isWrong?: boolean
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
    request: { kind: 'callFuel', shipId: ship.id, fuel, covers: type.gauge },
    isWrong: wrongLb !== 0
  }
}

/** What a crew says of its fuel: at its own times, and to those who ask. */
export interface Radio {
  readonly words: readonly Word[]
  /** The answer, and what it takes back; none where nobody answers. */
  readonly answer?: (askedS: number) => readonly Word[]
  /** A figure read back before it is recorded: said again by whom it was wrong of, as it was heard by all others. */
  readonly readBack?: (word: Word) => Word
}

/** What a ship says of its fuel, from what its gauge shows second by second in flight. */
export function radioOf(by: Chance, law: Law, ship: Ship, shownKg: ReadonlyMap<number, number>): Radio {
  const everyS = HOUR_S / law.callsPerShip
  const silentFromS = by.number(0, 50) * 60
  const silentToS = by.yes(law.silentShare) ? silentFromS + by.number(10, 20) * 60 : silentFromS
  const wrong: Word[] = []
  const soonS = (): number => by.number(...law.recordedAfterS)

  /** A call, right or wrong; none from the ground. */
  const called = (atS: number, delayS: () => number): Word[] => {
    const kg = shownKg.get(atS)
    const wrongLb = by.yes(law.wrongShare) ? (by.yes(0.5) ? WRONG_LB : -WRONG_LB) : 0
    const reading = { atS, wrongLb, delayS: delayS() }
    if (kg === undefined) return []
    const word = calledOf(by, law, ship, { ...reading, shownKg: kg })
    if (word.isWrong) wrong.push(word)
    return [word]
  }
  const right = (atS: number): Word[] => {
    const kg = shownKg.get(atS)
    return kg === undefined ? [] : [calledOf(by, law, ship, { atS, shownKg: kg, wrongLb: 0, delayS: 0 })]
  }
  /** A wrong figure is put right some time after, unless somebody asks for it. */
  const putRight = (word: Word): Word[] => {
    if (!word.isWrong || law.askedAgainS === undefined) return [word]
    const againS = Math.round(word.recordedS + by.number(...law.askedAgainS))
    return [word, takesBack(word, againS), ...right(againS)]
  }

  const words: Word[] = []
  for (let t = ship.flight.startsS + by.number(0, everyS); t < HOUR_S; t += everyS * by.number(0.5, 1.5)) {
    const atS = Math.round(t)
    const said = called(atS, () => soonS() + (by.yes(law.lateCallShare) ? by.number(60, 300) : 0))
    if (atS < silentFromS || atS >= silentToS) words.push(...said.flatMap(putRight))
  }
  if (law.asking === undefined) return { words }
  const { answersAfterS, unansweredShare } = law.asking
  const answersAtS = (askedS: number): number => Math.round(askedS + by.number(...answersAfterS))
  return {
    words,
    answer: (askedS) => {
      const atS = answersAtS(askedS)
      const before = wrong.findLast(({ recordedS }) => recordedS <= askedS)
      if (by.yes(unansweredShare)) return []
      return [...(before ? [takesBack(before, atS)] : []), ...called(atS, soonS)]
    },
    readBack: (word) => {
      const atS = answersAtS(word.recordedS)
      const again = word.isWrong && !by.yes(unansweredShare) ? called(atS, () => 0) : []
      return again[0] ?? { ...word, recordedS: atS }
    }
  }
}

const takesBack = (withdraws: Word, atS: number): Word => ({
  observedS: atS,
  recordedS: atS,
  request: { kind: 'withdrawFact' },
  withdraws,
  isWrong: false
})

/** How long after something other than a fuel call is observed it is recorded, s. */
export const turnDelayS = (by: Chance, law: Law): number =>
  by.number(...law.recordedAfterS) + (by.yes(law.lateTurnShare) ? by.number(20, 60) : 0)
