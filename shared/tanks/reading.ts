import { lowered, raised, type Figure } from './drain.ts'
import { feed, feedUntil, type Measure } from './feed.ts'
import { countedKg, gaugeKg, gives, totalKg, usableKg, type Sheet, type TankState } from './sheet.ts'

/**
 * The state moved so that its gauge would show the figure: down in feed order, up against it, never above capacity.
 * An internal figure moves internal groups alone, externals stay as carried. Figures include unusable fuel, kg.
 * @throws RangeError when the figure is negative or not a number.
 * Checked: tests/shared/tanks/reading.test.ts.
 */
export function withReading(sheet: Sheet, state: TankState, figure: Figure): TankState {
  return raised(sheet, lowered(sheet, state, figure), figure)
}

/** What a figure of an internal gauge tells of the externals; a property of the reading, never of the tanks. */
export type Reading =
  /** Externals give, or the internal tanks are full: a figure in the band tells no more. */
  | 'in band'
  /** Lower than while they give, not so low that they surely do not. */
  | 'unclear'
  /** Below the mark, as the carried fuel had them: nothing is left in them. */
  | 'empty'
  /** Below the mark although they should hold fuel. */
  | 'not giving'
  | 'no externals'
  | 'not selected'
  | 'total gauge'

/** Usable fuel in externals that give, kg. */
const givenByExternalsKg = (sheet: Sheet, state: TankState): number =>
  usableKg(sheet, state) -
  usableKg(sheet, {
    ...state,
    troubles: state.troubles.map((tanks, g) =>
      sheet.groups[g]?.place === 'external' ? tanks.map(() => 'gone' as const) : tanks
    )
  })

/** Less than this in all externals is empty, share of what they hold when full: no gauge tells it apart. */
const EMPTY_SHARE = 0.02

/**
 * What a figure of the internal gauge tells of the externals while they are selected, kg. Below `notGivingBelow` the
 * carried fuel decides: externals that should hold something do not give, which is the safe way to read it.
 * Checked: tests/shared/tanks/reading.test.ts; tests/shared/tanks/fighter.test.ts (common practice, no source).
 */
export function readingOf(sheet: Sheet, state: TankState, figureKg: number): Reading {
  if (sheet.gauge === 'total') return 'total gauge'
  const carried = sheet.groups.some(
    (group, g) => group.place === 'external' && (state.troubles[g] ?? []).some((trouble) => trouble !== 'gone')
  )
  if (!carried) return 'no externals'
  if (state.externals !== 'selected') return 'not selected'
  if (sheet.gaugeBandKg === undefined || figureKg >= sheet.gaugeBandKg.lowKg) return 'in band'
  if (sheet.notGivingBelowKg === undefined || figureKg >= sheet.notGivingBelowKg) return 'unclear'
  const fullKg = sheet.groups.reduce(
    (kg, group) => (group.place === 'external' ? kg + group.tankCount * group.capacityKg : kg),
    0
  )
  return givenByExternalsKg(sheet, state) > EMPTY_SHARE * fullKg ? 'not giving' : 'empty'
}

/** The two states a ship is planned at while nobody knows whether its externals hold something. */
export interface BothEnds {
  readonly full: TankState
  readonly empty: TankState
}

/**
 * Both ends of an unclear reading: externals that give as carried, and down to their unusable rest.
 * Checked: tests/shared/tanks/reading.test.ts.
 */
export function bothEnds(sheet: Sheet, state: TankState): BothEnds {
  const quantitiesKg = state.quantitiesKg.map((tanks, g) => {
    const group = sheet.groups[g]
    return group?.place === 'external'
      ? tanks.map((kg, tank) => (gives(state.troubles[g]?.[tank]) ? Math.min(kg, group.unusableKg) : kg))
      : tanks
  })
  return { full: state, empty: { ...state, quantitiesKg } }
}

/** How far along a burn a limit is looked for, s. */
const HORIZON_S = 24 * 3600

/**
 * What the ship's own gauge shows when the measure falls to a level along a burn, kg. Below the level already it is the
 * gauge now and what is lacking; undefined when the measure never falls so far.
 * @throws RangeError when the burn is negative or not finite.
 * Checked: tests/shared/tanks/reading.test.ts.
 */
export function gaugeAtLevel(
  sheet: Sheet,
  state: TankState,
  burnKgPerS: number,
  measure: Measure,
  levelKg: number
): number | undefined {
  const heldKg =
    measure === 'total'
      ? totalKg(sheet, state)
      : measure === 'usable'
        ? usableKg(sheet, state)
        : countedKg(sheet, state)
  if (heldKg <= levelKg) return gaugeKg(sheet, state) + (levelKg - heldKg)
  if (burnKgPerS === 0) return gaugeKg(sheet, state) - (heldKg - levelKg)
  const atS = feedUntil(sheet, state, burnKgPerS, measure, levelKg, HORIZON_S)
  return atS === undefined ? undefined : gaugeKg(sheet, feed(sheet, state, burnKgPerS, atS).state)
}
