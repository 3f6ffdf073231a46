import { fillCourse, receiverOf } from '../../shared/tanks/course.ts'
import { fillCurve, stopAt } from '../../shared/tanks/fill.ts'
import { flatQuantities, layoutOf } from '../../shared/tanks/layout.ts'
import { startState, type Sheet, type TankState } from '../../shared/tanks/sheet.ts'
import { pairOf } from './demo.ts'
import { interleaved, latencies, rowOf, type Row } from './timing.ts'

const ON_LOAD_KG = 1_680
const BATCHES = 120

/**
 * The fill of one ship: its course in numbers only, as a table of service asks for it, and the whole curve with its
 * states and where it stops; both against the same ship's two rates written out by hand.
 */
export function fillRows(): Row[] {
  const { ship, flight, station } = pairOf('kelp-1', 'auger/left')
  const { sheet } = ship
  const state = startState(sheet, 2_500, 'selected')
  const burnKgPerS = flight.refuellingFlowKgPerS * ship.dragFactor
  const flow = { stationRateKgPerS: station.rateKgPerS, burnKgPerS }
  const full = () => stopAt(fillCurve(sheet, state, flow), { kind: 'onLoad', onLoadKg: ON_LOAD_KG })
  const bare = () => twoRates(sheet, state, burnKgPerS, ON_LOAD_KG)
  if (Math.abs(full().durationS - bare().durationS) > 1e-6) throw new Error('the bare fill is not the same fill')

  const receiver = receiverOf(sheet, state)
  const quantitiesKg = flatQuantities(layoutOf(sheet), state)
  const numbers = () => fillCourse(receiver, quantitiesKg, flow).points
  const ends = [numbers().at(-1), fillCurve(sheet, state, flow).points.at(-1)]
  if (ends[0]?.onLoadKg !== ends[1]?.onLoadKg) throw new Error('the course in numbers is not the same fill')

  const jobs = { numbers: () => numbers().length, ours: () => full().durationS, bare: () => bare().durationS }
  const times = interleaved(jobs, BATCHES)
  const us = (name: keyof typeof jobs) => latencies(times[name].map((ms) => ms * 1_000))
  return [
    rowOf('fill of one ship, numbers only', 'µs', BATCHES, us('numbers'), us('bare')),
    rowOf('fill curve and stop of one ship', 'µs', BATCHES, us('ours'), us('bare'))
  ]
}

/**
 * Feed and body are full on arrival: wings and external tanks fill together, past the wings' knee the externals alone;
 * the station could pass more.
 */
function twoRates(sheet: Sheet, state: TankState, burnKgPerS: number, onLoadKg: number) {
  const [feed, body, wing, external] = sheet.groups
  if (!feed || !body || !wing || !external) throw new RangeError('not the ship this was written for')
  const wingKg = state.quantitiesKg[2]?.[0] ?? 0
  const externalKg = state.quantitiesKg[3]?.[0] ?? 0
  const kneeS = (wing.capacityKg - wingKg) / wing.fillRateKgPerS
  const endS = (external.capacityKg - externalKg) / external.fillRateKgPerS
  const slowKgPerS = 2 * external.fillRateKgPerS + burnKgPerS
  const fastKgPerS = slowKgPerS + 2 * wing.fillRateKgPerS
  const kneeKg = fastKgPerS * kneeS
  const wantedS = onLoadKg <= kneeKg ? onLoadKg / fastKgPerS : kneeS + (onLoadKg - kneeKg) / slowKgPerS
  const durationS = Math.min(wantedS, endS)
  const wings = Math.min(wing.capacityKg, wingKg + wing.fillRateKgPerS * durationS)
  const externals = externalKg + external.fillRateKgPerS * durationS
  return {
    durationS,
    onLoadKg: durationS <= kneeS ? fastKgPerS * durationS : kneeKg + slowKgPerS * (durationS - kneeS),
    quantitiesKg: [[feed.capacityKg], [body.capacityKg], [wings, wings], [externals, externals]]
  }
}
