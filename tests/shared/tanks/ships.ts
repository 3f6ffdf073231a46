import fc from 'fast-check'
import { fullState, type GroupSheet, type Sheet, type TankState } from '../../../shared/tanks/sheet.ts'
import { type TankTrouble } from '../../../shared/tanks/trouble.ts'

/** One group, a stage of one tank unless told otherwise. */
export function group(over: Partial<GroupSheet> = {}): GroupSheet {
  return {
    id: 'group',
    name: 'Group',
    place: 'internal',
    tankCount: 1,
    capacityKg: 1000,
    unusableKg: 0,
    fillRateKgPerS: 10,
    fillsAfter: undefined,
    canShut: true,
    transferRateKgPerS: 3,
    role: { kind: 'stage', turnCount: 1 },
    silencedByExternals: false,
    jettisonable: false,
    ...over
  }
}

/** A sheet whose first group is the feed group. */
export function sheet(groups: readonly GroupSheet[], over: Partial<Sheet> = {}): Sheet {
  return { groups, feedIndex: 0, maxRateKgPerS: 1e6, gauge: 'total', ...over }
}

/** A ship that holds the same in every tank of a group, kg by group. */
export function holding(of: Sheet, kgByGroup: readonly number[], over: Partial<TankState> = {}): TankState {
  return {
    ...fullState(of, 'selected'),
    quantitiesKg: of.groups.map((one, g) => new Array<number>(one.tankCount).fill(kgByGroup[g] ?? 0)),
    ...over
  }
}

/** The same ship with one tank in trouble. */
export function troubled(state: TankState, groupIndex: number, tankIndex: number, trouble: TankTrouble): TankState {
  return {
    ...state,
    troubles: state.troubles.map((tanks, g) =>
      g === groupIndex ? tanks.map((was, i) => (i === tankIndex ? trouble : was)) : tanks
    )
  }
}

/**
 * Feed, silenced wings, a reserve that keeps a mark, and two external tanks that go first: every rule of feeding in one
 * ship. Constructed.
 */
export const kelp = sheet(
  [
    group({ id: 'feed', role: { kind: 'feed' }, capacityKg: 900, unusableKg: 20, fillRateKgPerS: 12 }),
    group({
      id: 'wing',
      tankCount: 2,
      capacityKg: 1500,
      unusableKg: 15,
      fillRateKgPerS: 15,
      silencedByExternals: true
    }),
    group({ id: 'fin', capacityKg: 800, unusableKg: 5, role: { kind: 'reserve', releasedBelowKg: 500 } }),
    group({
      id: 'pylon',
      place: 'external',
      tankCount: 2,
      capacityKg: 1000,
      unusableKg: 8,
      fillRateKgPerS: 2,
      role: { kind: 'stage', turnCount: 2 },
      jettisonable: true
    })
  ],
  { maxRateKgPerS: 40 }
)

/**
 * Any figure on a grid of hundredths: two rates are equal or well apart, as on any sheet. Rates that differ by next to
 * nothing make events that last for ever, about which no arithmetic agrees.
 */
export const rate = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: Math.ceil(min * 100), max: Math.floor(max * 100) }).map((hundredths) => hundredths / 100)

const anyGroup = fc
  .record({
    external: fc.boolean(),
    tankCount: fc.integer({ min: 1, max: 3 }),
    capacityKg: rate(200, 3000),
    unusableKg: rate(0, 10),
    fillRateKgPerS: rate(1, 30),
    transferRateKgPerS: rate(0.3, 6),
    canShut: fc.boolean(),
    turnCount: fc.integer({ min: 1, max: 3 }),
    reserveMarkKg: fc.option(rate(0, 900), { freq: 5, nil: undefined }),
    silencedByExternals: fc.boolean()
  })
  .map(({ external, turnCount, reserveMarkKg, ...rest }) =>
    group({
      ...rest,
      place: external ? 'external' : 'internal',
      role:
        reserveMarkKg === undefined || external
          ? { kind: 'stage', turnCount }
          : { kind: 'reserve', releasedBelowKg: reserveMarkKg },
      silencedByExternals: rest.silencedByExternals && !external
    })
  )

/** Any sheet: a feed group of one or two tanks and up to four others, of which one may wait for the feed to be full. */
export const anySheet: fc.Arbitrary<Sheet> = fc
  .record({
    feedTanks: fc.integer({ min: 1, max: 2 }),
    feedCapacityKg: rate(300, 1200),
    feedFillKgPerS: rate(3, 20),
    others: fc.array(anyGroup, { minLength: 1, maxLength: 4 }),
    lastFillsAfterFeed: fc.boolean(),
    maxRateKgPerS: rate(8, 80)
  })
  .map(({ feedTanks, feedCapacityKg, feedFillKgPerS, others, lastFillsAfterFeed, maxRateKgPerS }) =>
    sheet(
      [
        group({
          id: 'feed',
          role: { kind: 'feed' },
          tankCount: feedTanks,
          capacityKg: feedCapacityKg,
          unusableKg: 10,
          fillRateKgPerS: feedFillKgPerS
        }),
        ...others.map((one, index) => ({
          ...one,
          id: `group-${index}`,
          fillsAfter: lastFillsAfterFeed && index === others.length - 1 ? 0 : undefined
        }))
      ],
      { maxRateKgPerS }
    )
  )

/** Any ship: a sheet, what it holds, a switch, now and then a tank in trouble. */
export const anyShip: fc.Arbitrary<{ sheet: Sheet; state: TankState }> = anySheet.chain((of) =>
  fc
    .record({
      shares: fc.array(fc.array(fc.oneof(fc.constant(0), fc.constant(1), rate(0, 1)), { minLength: 3, maxLength: 3 }), {
        minLength: of.groups.length,
        maxLength: of.groups.length
      }),
      externals: fc.constantFrom('selected' as const, 'held' as const, 'off' as const),
      trouble: fc.option(
        fc.record({
          g: fc.integer({ min: 1, max: of.groups.length - 1 }),
          kind: fc.constantFrom('not giving' as const, 'not taking' as const, 'gone' as const)
        }),
        { freq: 2, nil: undefined }
      )
    })
    .map(({ shares, externals, trouble }) => {
      const state: TankState = {
        ...fullState(of, externals),
        quantitiesKg: of.groups.map((one, g) =>
          Array.from({ length: one.tankCount }, (_, i) => (shares[g]?.[i] ?? 1) * one.capacityKg)
        )
      }
      return { sheet: of, state: trouble === undefined ? state : troubled(state, trouble.g, 0, trouble.kind) }
    })
)

/** Any ship that can dump some of its groups, the feed group never. */
export const anyDumpingShip: fc.Arbitrary<{ sheet: Sheet; state: TankState }> = fc
  .record({ ship: anyShip, rateKgPerS: rate(1, 20), among: fc.array(fc.boolean(), { minLength: 4, maxLength: 4 }) })
  .map(({ ship, rateKgPerS, among }) => {
    const groups = ship.sheet.groups.flatMap((_, g) => (g > 0 && (among[g - 1] === true || g === 1) ? [g] : []))
    return { ...ship, sheet: { ...ship.sheet, dump: { rateKgPerS, groups } } }
  })
