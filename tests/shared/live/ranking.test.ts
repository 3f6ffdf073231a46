import { describe, expect, it } from 'vitest'
import { ranked } from '../../../shared/live/ranking.ts'

type Ranked = Parameters<typeof ranked>[0][number]

const ESTIMATE: Ranked['estimate'] = {
  sdKg: 10,
  unsureKg: 20,
  burnFactor: 1,
  reason: null,
  check: false,
  waiting: null
}
const ship = (callSign: string, its: Partial<Ranked> = {}): Ranked => ({
  callSign,
  status: 'on task',
  margin: null,
  abortKg: 800,
  slotId: null,
  countedKg: 2_000,
  estimate: ESTIMATE,
  bingoKg: 900,
  recoveryKg: 700,
  flowKgPerS: 0.5,
  ...its
})
const inOrder = (...ships: Ranked[]): string[] => ranked(ships).map(({ callSign }) => callSign)

// All constructed.
describe('the order of the rows', () => {
  it('goes by what is spare where ships meet no limit on their way', () => {
    const least = ship('Zinc', { countedKg: 1_300 })
    const more = ship('Alder', { countedKg: 1_500 })
    expect(inOrder(more, least)).toEqual(['Zinc', 'Alder'])
  })

  it('counts of that what is sure, above the greater of bingo and recovery fuel, at the flow of now', () => {
    const usual = ship('Alder', { countedKg: 1_500 })
    expect(inOrder(usual, ship('Zinc', { countedKg: 1_600, estimate: { ...ESTIMATE, unsureKg: 130 } }))).toEqual([
      'Zinc',
      'Alder'
    ])
    expect(inOrder(usual, ship('Zinc', { countedKg: 1_600, recoveryKg: 1_010 }))).toEqual(['Zinc', 'Alder'])
    expect(inOrder(usual, ship('Zinc', { countedKg: 1_600, flowKgPerS: 1.5 }))).toEqual(['Zinc', 'Alder'])
    expect(inOrder(usual, ship('Zinc', { countedKg: 1_600 }))).toEqual(['Alder', 'Zinc'])
  })

  it('puts whoever has a margin before them, and equals by call sign', () => {
    const margin = { limit: 'bingo', atMs: 0, marginS: 3_000, meanS: 3_100 } as const
    const scarce = ship('Alder', { countedKg: 1_000 })
    expect(inOrder(scarce, ship('Zinc', { margin }))).toEqual(['Zinc', 'Alder'])
    expect(inOrder(ship('Zinc'), ship('Alder'))).toEqual(['Alder', 'Zinc'])
    // On the ground nothing burns, and nothing is compared.
    const down = { flowKgPerS: 0, bingoKg: null, recoveryKg: null }
    expect(inOrder(ship('Zinc', down), ship('Alder', down))).toEqual(['Alder', 'Zinc'])
  })

  it('leaves those that went in the order of their call signs', () => {
    const left = (callSign: string, countedKg: number): Ranked => ship(callSign, { status: 'left', countedKg })
    expect(inOrder(left('Zinc', 900), left('Alder', 2_000), ship('Yew'))).toEqual(['Yew', 'Alder', 'Zinc'])
  })
})
