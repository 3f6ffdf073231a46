import { adviseHold, type HoldQuestion } from '../../shared/tanks/hold.ts'
import { startState, type GroupSheet, type Sheet } from '../../shared/tanks/sheet.ts'

/*
 * A table of docs/numbers.md: what a hold saves one ship, over what it took off with and what the station passes. The
 * ship is invented for it.
 */

const BODY: GroupSheet = {
  id: 'body',
  name: 'Body',
  place: 'internal',
  tankCount: 1,
  capacityKg: 1_620,
  unusableKg: 10,
  fillRateKgPerS: 9,
  fillsAfter: undefined,
  canShut: true,
  transferRateKgPerS: 3.5,
  role: { kind: 'stage', turnCount: 3 },
  silencedByExternals: false,
  jettisonable: false
}

/** Four groups; the pair outside fills at a quarter of the rate inside. */
const TYPE: Sheet = {
  groups: [
    { ...BODY, id: 'feed', name: 'Feed', capacityKg: 700, fillRateKgPerS: 5, role: { kind: 'feed' } },
    BODY,
    { ...BODY, id: 'wing', name: 'Wing', tankCount: 2, capacityKg: 580, role: { kind: 'stage', turnCount: 2 } },
    {
      ...BODY,
      id: 'pod',
      name: 'Pod',
      place: 'external',
      tankCount: 2,
      capacityKg: 1_040,
      unusableKg: 12,
      fillRateKgPerS: 4,
      role: { kind: 'stage', turnCount: 1 },
      jettisonable: true
    }
  ],
  feedIndex: 0,
  maxRateKgPerS: 45,
  gauge: 'total'
}

const BURN_KG_PER_S = 0.9
const WAY_S = 2_700
const FLOOR_KG = 1_500
const START_FUELS_KG = [5_560, 5_160, 4_760, 4_360, 3_960]
const STATIONS_KG_PER_MIN = [600, 1_200, 2_400]

const question = (stationRateKgPerS: number): HoldQuestion => ({
  legs: [{ durationS: WAY_S, burnKgPerS: BURN_KG_PER_S }],
  stationRateKgPerS,
  contactBurnKgPerS: BURN_KG_PER_S,
  target: { kind: 'full' },
  floorKg: FLOOR_KG,
  releaseKg: FLOOR_KG - 180 * BURN_KG_PER_S,
  jettisons: false
})

/** Minutes on the tanker are rounded up, minutes saved down, each by itself. */
const up = (seconds: number): string => (Math.ceil(seconds / 6 - 1e-6) / 10).toFixed(1)
const down = (seconds: number): string => (Math.floor(seconds / 6 + 1e-6) / 10).toFixed(1)

/** The table as the code computes it now, with a line that says what it is about. */
export function holdTable(): string {
  const rows = START_FUELS_KG.flatMap((startKg) =>
    STATIONS_KG_PER_MIN.map((kgPerMin) => {
      const advice = adviseHold(TYPE, startState(TYPE, startKg, 'selected'), question(kgPerMin / 60))
      const cells =
        advice.kind === 'hold'
          ? [
              up(advice.withoutHoldS),
              up(advice.withHoldS),
              down(advice.savedS),
              down(advice.holdFromS),
              advice.externalUsedKg.toFixed(0),
              Math.floor(advice.countedAtContactKg + 1e-6).toFixed(0)
            ]
          : ['—', '—', advice.why, '—', '—', '—']
      return `| ${[startKg.toFixed(0), kgPerMin.toFixed(0), ...cells].join(' | ')} |`
    })
  )
  const insideKg = TYPE.groups.reduce(
    (kg, one) => (one.place === 'internal' ? kg + one.tankCount * one.capacityKg : kg),
    0
  )
  return [
    `One invented type, ${String(insideKg)} kg inside at 32 kg/s, 2080 kg outside at 8 kg/s, ${String(WAY_S / 60)} min to contact at ${String(BURN_KG_PER_S)} kg/s, filled up there, at least ${String(FLOOR_KG)} kg counted at contact.`,
    '',
    '| start fuel, kg | station, kg/min | no hold, min | hold, min | saved, min | hold from, min | used outside, kg | counted at contact, kg |',
    '|---|---|---|---|---|---|---|---|',
    ...rows
  ].join('\n')
}
