import { describe, expect, it } from 'vitest'
import { dumpAllS } from '../../../shared/tanks/dump.ts'
import { feed, feedPieces, feedUntil, type FeedEvent } from '../../../shared/tanks/feed.ts'
import { fillCurve, stopAt, stopTable } from '../../../shared/tanks/fill.ts'
import { bothEnds, gaugeAtLevel, readingOf } from '../../../shared/tanks/reading.ts'
import {
  capacityKg,
  countedKg,
  defaultExternalFillRates,
  externalKg,
  fullState,
  gaugeKg,
  internalKg,
  totalKg,
  usableKg,
  type Sheet,
  type TankState
} from '../../../shared/tanks/sheet.ts'
import { KG_PER_LB } from '../../../shared/units.ts'
import { group, sheet, troubled } from './ships.ts'

/*
 * Facts of the trade about a twin-engine fighter. Common practice, no source; 6.5 lb to the US gallon.
 *
 * Seven fuselage cells and a pair of wing tanks hold just over 12,000 lb; an outboard external of 370 US gal holds about
 * 2,400 lb, a centreline external 600 US gal; all three bring the total to a little over 20,800 lb. The last cell, about
 * 1,400 lb, is a reserve that starts giving when the two feed cells are below 1,800 lb together; their light comes at
 * 1,650 lb. With externals giving the internal gauge moves between 11,800 and 12,000 lb; below about 11,000 lb with
 * externals selected they are empty. Centreline and outboards never give at once; with external transfer selected the
 * wings give nothing. The engines together burn about 8,000 lb an hour in cruise; 4,000 lb is an ordinary bingo. Wing
 * fuel is dumped in about 15 minutes. At a tanker pressure is off the externals, and they fill at about a quarter of the
 * internal rate.
 *
 * Constructed within these facts: how the inside is shared between cells and wings, transfer and fill rates, outboards
 * before the centreline, the dump rate.
 */

const lb = (kg: number): number => kg / KG_PER_LB
const perMin = (lbPerMin: number): number => (lbPerMin * KG_PER_LB) / 60
const gal = (volumeGal: number): number => volumeGal * 6.5 * KG_PER_LB

const WINGS = 1
const CELLS = 2
const LAST_CELL = 3
const OUTBOARDS = 4
const CENTRELINE = 5

const inside = {
  feed: { tankCount: 2, capacityKg: 1250 * KG_PER_LB, fillRateKgPerS: perMin(500) },
  wings: { tankCount: 2, capacityKg: 2105 * KG_PER_LB, fillRateKgPerS: perMin(600) },
  cells: { tankCount: 4, capacityKg: 1000 * KG_PER_LB, fillRateKgPerS: perMin(350) },
  lastCell: { tankCount: 1, capacityKg: 1400 * KG_PER_LB, fillRateKgPerS: perMin(400) }
}
const outside = {
  outboards: { tankCount: 2, capacityKg: gal(370) },
  centreline: { tankCount: 1, capacityKg: gal(600) }
}
const [, , , , outboardKgPerS = NaN, centrelineKgPerS = NaN] = defaultExternalFillRates([
  ...Object.values(inside).map((tanks) => ({ place: 'internal' as const, ...tanks })),
  ...Object.values(outside).map((tanks) => ({ place: 'external' as const, ...tanks }))
])
const external = { place: 'external', jettisonable: true } as const

const fighter: Sheet = sheet(
  [
    group({ id: 'feed', ...inside.feed, role: { kind: 'feed' } }),
    group({
      id: 'wings',
      ...inside.wings,
      transferRateKgPerS: perMin(100),
      role: { kind: 'stage', turnCount: 3 },
      silencedByExternals: true
    }),
    group({ id: 'cells', ...inside.cells, transferRateKgPerS: perMin(60), role: { kind: 'stage', turnCount: 4 } }),
    group({
      id: 'last-cell',
      ...inside.lastCell,
      transferRateKgPerS: perMin(250),
      role: { kind: 'reserve', releasedBelowKg: 1800 * KG_PER_LB }
    }),
    group({
      id: 'outboards',
      ...outside.outboards,
      ...external,
      fillRateKgPerS: outboardKgPerS,
      transferRateKgPerS: perMin(100),
      role: { kind: 'stage', turnCount: 1 }
    }),
    group({
      id: 'centreline',
      ...outside.centreline,
      ...external,
      fillRateKgPerS: centrelineKgPerS,
      transferRateKgPerS: perMin(200),
      role: { kind: 'stage', turnCount: 2 }
    })
  ],
  {
    gauge: 'internal',
    gaugeBandKg: { lowKg: 11_800 * KG_PER_LB, highKg: 12_000 * KG_PER_LB },
    notGivingBelowKg: 11_000 * KG_PER_LB,
    feedLowMarkKg: 1650 * KG_PER_LB,
    dump: { rateKgPerS: perMin(280), groups: [WINGS] }
  }
)
const CRUISE_KG_PER_S = (8000 * KG_PER_LB) / 3600
const full = fullState(fighter, 'selected')
/** Everything inside, nothing outside. */
const clean: TankState = [0, 1].reduce(
  (state, tank) => troubled(state, OUTBOARDS, tank, 'gone'),
  troubled(fullState(fighter, 'off'), CENTRELINE, 0, 'gone')
)

const minutesOf = (events: readonly FeedEvent[]): [FeedEvent['kind'], number, number][] =>
  events.map(({ kind, group: g, atS }) => [kind, g, Math.round(atS / 6) / 10])
const outboardsKg = (state: TankState): number =>
  (state.quantitiesKg[OUTBOARDS] ?? []).reduce((kg, quantityKg) => kg + quantityKg, 0)

describe('a twin-engine fighter (common practice, no source)', () => {
  it('holds what it is said to hold', () => {
    expect(lb(internalKg(fighter, full))).toBeGreaterThan(12_000)
    expect(lb(internalKg(fighter, full))).toBeLessThan(12_250)
    expect(lb(fighter.groups[OUTBOARDS]?.capacityKg ?? NaN)).toBeCloseTo(2405, 6)
    expect(lb(fighter.groups[CENTRELINE]?.capacityKg ?? NaN)).toBeCloseTo(3900, 6)
    expect(lb(externalKg(fighter, full))).toBeCloseTo(8710, 6)
    expect(lb(capacityKg(fighter))).toBeGreaterThan(20_800)
    expect(lb(capacityKg(fighter))).toBeLessThan(20_950)
    expect(lb(totalKg(fighter, full))).toBeCloseTo(20_820, 6)
  })

  it('empties outboards and then the centreline in a 90-minute cruise, and is an hour and a half from dry inside', () => {
    // 4,810 lb at 133.3 lb/min are 36.1 min, 3,900 lb more 29.2 min; 3,290 lb of the wings' 4,210 lb are left to burn.
    const { state, events, starvedAtS } = feed(fighter, full, CRUISE_KG_PER_S, 90 * 60)
    expect(minutesOf(events)).toEqual([
      ['group dry', OUTBOARDS, 36.1],
      ['group dry', CENTRELINE, 65.3],
      ['externals dry', CENTRELINE, 65.3]
    ])
    expect(starvedAtS).toBeUndefined()
    expect(lb(totalKg(fighter, state))).toBeCloseTo(8820, 6)
    expect(lb(gaugeKg(fighter, state))).toBeCloseTo(8820, 6)
    expect(lb(state.quantitiesKg[WINGS]?.[0] ?? NaN)).toBeCloseTo(460, 6)
  })

  it('without externals empties wings, cells and last cell in a 90-minute cruise, and the light comes after that', () => {
    // Wings 4,210 lb; cells 4,000; feed 2,500 down to 1,800; last cell 1,400; feed 150 more to 1,650: all over 133.3.
    const { state, events } = feed(fighter, clean, CRUISE_KG_PER_S, 90 * 60)
    expect(minutesOf(events)).toEqual([
      ['group dry', WINGS, 31.6],
      ['group dry', CELLS, 61.6],
      ['reserve released', LAST_CELL, 66.8],
      ['group dry', LAST_CELL, 77.3],
      ['feed low', 0, 78.5]
    ])
    expect(lb(totalKg(fighter, state))).toBeCloseTo(110, 6)
  })

  it('releases the last cell when the feed cells hold 1,800 lb, keeps them there, and lights at 1,650 lb', () => {
    const atS = (kind: FeedEvent['kind']): number =>
      feed(fighter, clean, CRUISE_KG_PER_S, 90 * 60).events.find((event) => event.kind === kind)?.atS ?? NaN
    const feedLb = (seconds: number): number =>
      lb((feed(fighter, clean, CRUISE_KG_PER_S, seconds).state.quantitiesKg[0] ?? []).reduce((a, b) => a + b, 0))
    expect(feedLb(atS('reserve released'))).toBeCloseTo(1800, 6)
    expect(feedLb(atS('reserve released') + 300)).toBeCloseTo(1800, 6)
    expect(feedLb(atS('feed low'))).toBeCloseTo(1650, 6)
    // 1,400 lb of the last cell and 150 lb of feed are 11.6 min.
    expect((atS('feed low') - atS('reserve released')) / 60).toBeCloseTo(1550 / (8000 / 60), 6)
  })

  it('shows no less than its band while externals give, and below it once they are dry', () => {
    for (let minute = 0; minute <= 65; minute++) {
      const { state } = feed(fighter, full, CRUISE_KG_PER_S, minute * 60)
      expect(readingOf(fighter, state, gaugeKg(fighter, state)), `minute ${minute}`).toBe('in band')
    }
    // As carried the inside stays full meanwhile; valves let a real gauge move in the band, and that is no tank's state.
    const halfWay = feed(fighter, full, CRUISE_KG_PER_S, 30 * 60).state
    for (const shownLb of [11_800, 11_900, 12_000]) {
      expect(readingOf(fighter, halfWay, shownLb * KG_PER_LB)).toBe('in band')
    }
    // 310 lb from 12,110 lb to the band's low end take 2.3 min, 1,110 lb to 11,000 lb take 8.3 min.
    const dryS = (8710 / 8000) * 3600
    const after = (minutes: number): TankState => feed(fighter, full, CRUISE_KG_PER_S, dryS + minutes * 60).state
    const read = (minutes: number): string => readingOf(fighter, after(minutes), gaugeKg(fighter, after(minutes)))
    expect(read(3)).toBe('unclear')
    expect(read(8)).toBe('unclear')
    expect(read(9)).toBe('empty')
  })

  it('is read as not giving when it should still have fuel outside, and is planned at both ends in between', () => {
    const halfWay = feed(fighter, full, CRUISE_KG_PER_S, 30 * 60).state
    expect(lb(externalKg(fighter, halfWay))).toBeCloseTo(4710, 6)
    expect(readingOf(fighter, halfWay, 10_900 * KG_PER_LB)).toBe('not giving')
    expect(readingOf(fighter, halfWay, 11_400 * KG_PER_LB)).toBe('unclear')
    const ends = bothEnds(fighter, halfWay)
    expect(lb(externalKg(fighter, ends.full))).toBeCloseTo(8710, 6)
    expect(externalKg(fighter, ends.empty)).toBe(0)
  })

  it('never gives from centreline and outboards at once', () => {
    const pieces = feedPieces(fighter, full, CRUISE_KG_PER_S, 90 * 60)
    const rates = pieces.map(({ rateKgPerS }) => ({
      outboards: (rateKgPerS[9] ?? NaN) + (rateKgPerS[10] ?? NaN),
      centreline: rateKgPerS[11] ?? NaN
    }))
    expect(rates.filter(({ outboards, centreline }) => outboards < 0 && centreline < 0)).toEqual([])
    expect(rates.filter(({ outboards }) => outboards < 0)).toHaveLength(1)
    expect(rates.filter(({ centreline }) => centreline < 0)).toHaveLength(1)
  })

  it('gives nothing from the wings while external transfer is selected, and at once when it is not', () => {
    const wingLb = (state: TankState, minutes: number): number =>
      lb(feed(fighter, state, CRUISE_KG_PER_S, minutes * 60).state.quantitiesKg[WINGS]?.[0] ?? NaN)
    expect(wingLb(full, 60)).toBeCloseTo(2105, 6)
    expect(wingLb({ ...full, externals: 'off' }, 15)).toBeCloseTo(2105 - 1000, 6)
    expect(wingLb({ ...full, externals: 'held' }, 15)).toBeCloseTo(2105 - 1000, 6)
  })

  it('dumps its wing fuel in 15 minutes, in less while the wings feed the engines as well', () => {
    const dumpMin = (dumpAllS(fighter, full, CRUISE_KG_PER_S) ?? NaN) / 60
    expect(dumpMin).toBeGreaterThan(13.5)
    expect(dumpMin).toBeLessThan(16.5)
    expect(dumpMin).toBeCloseTo(4210 / 280, 6)
    expect((dumpAllS(fighter, clean, CRUISE_KG_PER_S) ?? NaN) / 60).toBeCloseTo(4210 / (280 + 8000 / 60), 6)
  })

  it('shows a bingo of 4,000 lb as 4,000 lb, whether externals are used up, held or gone', () => {
    const bingoKg = 4000 * KG_PER_LB
    for (const state of [full, { ...full, externals: 'held' as const }, clean]) {
      const shownKg = gaugeAtLevel(fighter, state, CRUISE_KG_PER_S, 'counted', bingoKg)
      expect(lb(shownKg ?? NaN)).toBeCloseTo(4000, 6)
    }
    const minutes = (state: TankState): number =>
      (feedUntil(fighter, state, CRUISE_KG_PER_S, 'counted', bingoKg, 20_000) ?? NaN) / 60
    expect(minutes(full)).toBeCloseTo(16_820 / (8000 / 60), 6)
    expect(minutes({ ...full, externals: 'held' })).toBeCloseTo(8110 / (8000 / 60), 6)
  })
})

describe('a twin-engine fighter at a tanker (common practice, no source)', () => {
  const arrives = feed(fighter, full, CRUISE_KG_PER_S, 90 * 60).state
  const flow = { stationRateKgPerS: perMin(10_000), burnKgPerS: CRUISE_KG_PER_S }

  it('fills its externals at a quarter of the internal rate', () => {
    // Inside 2 x 500 + 2 x 600 + 4 x 350 + 400 = 4,000 lb/min; outside 1,000 lb/min over 8,710 lb.
    const outsideKgPerS = 2 * outboardKgPerS + centrelineKgPerS
    expect(outsideKgPerS / perMin(1)).toBeCloseTo(1000, 6)
    expect(outboardKgPerS / perMin(1)).toBeCloseTo((1000 * 2405) / 8710, 6)
    const tenSeconds = fillCurve(
      fighter,
      { ...arrives, quantitiesKg: full.quantitiesKg.map((tanks) => tanks.map(() => 0)) },
      {
        ...flow,
        burnKgPerS: 0
      }
    ).stateAt(10)
    expect(externalKg(fighter, tenSeconds) / internalKg(fighter, tenSeconds)).toBeCloseTo(1 / 4, 9)
  })

  it('takes nothing from its externals in contact: pressure is off them', () => {
    const partly: TankState = { ...feed(fighter, full, CRUISE_KG_PER_S, 20 * 60).state }
    const curve = fillCurve(fighter, partly, flow)
    let beforeKg = outboardsKg(partly)
    expect(partly.externals).toBe('selected')
    for (const { atS } of curve.points) {
      const nowKg = outboardsKg(curve.stateAt(atS))
      expect(nowKg).toBeGreaterThanOrEqual(beforeKg)
      beforeKg = nowKg
    }
    // Not seen to give since: what they hold is not counted until it is.
    expect(lb(countedKg(fighter, curve.stateAt(1e9)))).toBeCloseTo(12_110, 6)
    expect(lb(usableKg(fighter, curve.stateAt(1e9)))).toBeCloseTo(20_820, 6)
  })

  it('goes on past the knee for twice as long as it took up to it', () => {
    const curve = fillCurve(fighter, arrives, flow)
    const end = stopAt(curve, { kind: 'full' })
    // Only the wings are open inside: 2 x 1,645 lb at 600 lb/min are 2.74 min; 8,710 lb at 1,000 lb/min 8.71 min.
    expect(end.durationS / 60).toBeCloseTo(8.71, 6)
    const rows = stopTable(curve, end.durationS)
    const knee = rows.find((row) => row.knee)
    expect((knee?.atS ?? NaN) / 60).toBeCloseTo(1645 / 600, 6)
    expect((knee?.savesS ?? NaN) / (knee?.atS ?? NaN)).toBeCloseTo(8.71 / (1645 / 600) - 1, 6)
    expect((knee?.rateBeforeKgPerS ?? NaN) / perMin(1)).toBeCloseTo(1000 + 1200 + 8000 / 60, 6)
    expect((knee?.rateAfterKgPerS ?? NaN) / perMin(1)).toBeCloseTo(1000 + 8000 / 60, 6)
    expect(lb(knee?.forgoesKg ?? NaN)).toBeCloseTo(8710 - 1000 * (1645 / 600), 6)
  })
})
