import type { Vocabulary } from '../../../shared/entry/vocabulary.ts'
import { KG_PER_LB } from '../../../shared/units.ts'

/* Constructed: a small event of invented names, some of which begin alike. */

const ship = (callSign: string, over: Partial<Vocabulary['ships'][number]> = {}) => ({
  shipId: callSign.toLowerCase().replace(' ', '-'),
  callSign,
  gauge: 'total' as const,
  capacityKg: 12_300 * KG_PER_LB,
  slotId: `slot-${callSign.toLowerCase().replace(' ', '-')}`,
  pinned: false,
  left: false,
  isThere: false,
  landsAtMs: undefined,
  flowedAt: undefined,
  readyAtMs: Date.UTC(2031, 4, 17, 14, 40, 20) as number | undefined,
  groups: [
    { groupId: 'body', name: 'Body', external: false, tankCount: 1, capacityKg: 9_000 * KG_PER_LB },
    { groupId: 'wing-tank', name: 'Wing tank', external: true, tankCount: 2, capacityKg: 3_300 * KG_PER_LB }
  ],
  ...over
})

export const NOW_MS = Date.UTC(2031, 4, 17, 14, 30, 0)
export const at = (hour: number, minute: number, second = 0) => Date.UTC(2031, 4, 17, hour, minute, second)
const times = { onStationAtMs: at(14, 0), leavesAtMs: at(16, 0), givenKg: 0, told: {} }

const lb = (value: number) => value * KG_PER_LB
/** In contact for some minutes, at 1,000 lb/min; 3,700 lb are planned, 300 lb of them are burned meanwhile. */
const inContact = (hadLb: number, sinceMs: number, capacityLb: number): Partial<Vocabulary['ships'][number]> => ({
  isThere: true,
  capacityKg: lb(capacityLb),
  flowedAt: (atMs) => {
    const flowedLb = (ms: number) => Math.max(0, Math.min(capacityLb - hadLb, ms / 60))
    const spanMs = atMs - sinceMs
    return {
      hadKg: lb(hadLb),
      burnedKg: lb(spanMs / 720),
      plannedKg: lb(3_700),
      flowedKg: lb(flowedLb(spanMs)),
      flowedBeforeKg: lb(flowedLb(spanMs - 30_000)),
      flowedSoonKg: lb(flowedLb(spanMs + 30_000)),
      mostFlowedKg: lb(flowedLb(spanMs) * 1.25),
      mostTakenKg: lb((capacityLb - hadLb) * 1.25)
    }
  }
})

export const vocabulary: Vocabulary = {
  massUnit: 'lb',
  nowMs: NOW_MS,
  opensAtMs: at(13, 30),
  ships: [
    ship('Alder 21'),
    ship('Alder 22'),
    ship('Ash 21', { readyAtMs: Date.UTC(2031, 4, 17, 14, 20) }),
    ship('Sleet 11', { gauge: 'internal' }),
    ship('Rasp 41', { slotId: undefined, readyAtMs: undefined }),
    ship('Hazel 51', inContact(6_200, NOW_MS - 222_000, 14_000)),
    ship('Hazel 52', inContact(6_000, NOW_MS - 66_000, 14_000)),
    ship('Hazel 53', { groups: [], landsAtMs: at(14, 55, 35) - 400 }),
    ship('Hazel 54', { landsAtMs: at(14, 34) }),
    ship('Cedar 71', { capacityKg: lb(150_000) })
  ],
  flights: [
    { flightId: 'alder', callSign: 'Alder 2', shipIds: ['alder-21', 'alder-22'] },
    { flightId: 'sleet', callSign: 'Sleet 1', shipIds: ['sleet-11'] }
  ],
  tankers: [
    {
      ...times,
      plannedFuelKg: 140_000 * KG_PER_LB,
      fuelKg: 113_900 * KG_PER_LB,
      tankerId: 'kelp-61',
      callSign: 'Kelp 61',
      stations: [
        { stationId: 'boom', name: 'boom' },
        { stationId: 'port', name: 'port hose' },
        { stationId: 'starboard', name: 'starboard hose' }
      ]
    },
    {
      tankerId: 'moss',
      plannedFuelKg: 100_000 * KG_PER_LB,
      fuelKg: undefined,
      callSign: 'Moss',
      stations: [{ stationId: 'boom', name: 'boom' }],
      onStationAtMs: at(14, 50),
      leavesAtMs: at(16, 30),
      givenKg: 10_003 * KG_PER_LB,
      told: { leavesAtMs: at(16, 30), keeps: { value: 20_000, unit: 'lb' } }
    }
  ],
  bases: [
    { baseId: 'north', name: 'North shore' },
    { baseId: 'northgate', name: 'Northgate' },
    { baseId: 'south', name: 'South shore' }
  ],
  types: [
    { receiverTypeId: 'larch', name: 'Larch, one engine, receptacle' },
    { receiverTypeId: 'larkspur', name: 'Larkspur, probe' },
    { receiverTypeId: 'single-probe', name: 'Single-probe' }
  ]
}
