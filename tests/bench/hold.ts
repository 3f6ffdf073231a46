import { feed } from '../../shared/tanks/feed.ts'
import { fillCurve, stopAt } from '../../shared/tanks/fill.ts'
import { adviseHold, type HoldQuestion } from '../../shared/tanks/hold.ts'
import { fullState, usableKg, type GroupSheet, type Sheet, type TankState } from '../../shared/tanks/sheet.ts'
import { interleaved, latencies, rowOf, type Row } from './timing.ts'

const BATCHES = 120

const GROUP: GroupSheet = {
  id: 'body',
  name: 'Body',
  place: 'internal',
  tankCount: 1,
  capacityKg: 1_150,
  unusableKg: 6,
  fillRateKgPerS: 7,
  fillsAfter: undefined,
  canShut: true,
  transferRateKgPerS: 3.2,
  role: { kind: 'stage', turnCount: 3 },
  silencedByExternals: false,
  jettisonable: false
}

/** Five groups of seven tanks, every rule among them. Invented. */
const RASP: Sheet = {
  groups: [
    { ...GROUP, id: 'feed', capacityKg: 780, fillRateKgPerS: 6, role: { kind: 'feed' } },
    GROUP,
    {
      ...GROUP,
      id: 'wing',
      tankCount: 2,
      capacityKg: 690,
      role: { kind: 'stage', turnCount: 2 },
      silencedByExternals: true
    },
    { ...GROUP, id: 'fin', capacityKg: 420, fillRateKgPerS: 4, role: { kind: 'reserve', releasedBelowKg: 610 } },
    {
      ...GROUP,
      id: 'drop',
      place: 'external',
      tankCount: 2,
      capacityKg: 910,
      fillRateKgPerS: 3.1,
      jettisonable: true,
      role: { kind: 'stage', turnCount: 1 }
    }
  ],
  feedIndex: 0,
  maxRateKgPerS: 34,
  gauge: 'internal'
}

const QUESTION: HoldQuestion = {
  legs: [
    { durationS: 420, burnKgPerS: 0.98 },
    { durationS: 1_500, burnKgPerS: 0.81 },
    { durationS: 600, burnKgPerS: 0.74 }
  ],
  stationRateKgPerS: 27,
  contactBurnKgPerS: 0.78,
  target: { kind: 'full' },
  floorKg: 1_400,
  releaseKg: 1_250,
  jettisons: false
}

/** The best hold of one ship, against as many single holds run through as a search by minutes needs. */
export function holdRows(): Row[] {
  const start = fullState(RASP, 'selected')
  const advice = () => {
    const hold = adviseHold(RASP, start, QUESTION)
    if (hold.kind !== 'hold') throw new Error(`no hold: ${hold.why}`)
    return hold
  }
  const { fuelAtDisconnectKg, holdFromS, withHoldS } = advice()
  if (Math.abs(contactAfter(start, holdFromS, fuelAtDisconnectKg) - withHoldS) > 1e-6) {
    throw new Error('the bare hold is not the same hold')
  }
  const bare = () => {
    let leastS = Infinity
    for (let fromS = 0; fromS <= 2_520; fromS += 60) {
      leastS = Math.min(leastS, contactAfter(start, fromS, fuelAtDisconnectKg))
    }
    return leastS
  }
  const times = interleaved({ ours: () => advice().withHoldS, bare }, BATCHES)
  const us = (name: 'ours' | 'bare') => latencies(times[name].map((ms) => ms * 1_000))
  return [rowOf('best hold of one ship, five groups and three legs', 'µs', BATCHES, us('ours'), us('bare'))]
}

/** Time on the tanker to so much usable fuel after a hold from one instant. */
function contactAfter(start: TankState, fromS: number, wantedKg: number): number {
  let state = start
  let atS = 0
  let legEndS = 0
  for (const { durationS, burnKgPerS } of QUESTION.legs) {
    legEndS += durationS
    for (const toS of [Math.min(fromS, legEndS), legEndS]) {
      if (toS <= atS) continue
      if (atS >= fromS) state = { ...state, externals: 'held' }
      state = feed(RASP, state, burnKgPerS, toS - atS).state
      atS = toS
    }
  }
  const flow = { stationRateKgPerS: QUESTION.stationRateKgPerS, burnKgPerS: QUESTION.contactBurnKgPerS }
  const stop = stopAt(fillCurve(RASP, state, flow), { kind: 'usable', usableKg: wantedKg })
  return usableKg(RASP, stop.state) < wantedKg - 1e-6 ? Infinity : stop.durationS
}
