import { lowered, raised, type Figure } from './drain.ts'
import { feedDownTo, measured, type Measure } from './feed.ts'
import { gaugeKg, totalKg, type Sheet, type TankState } from './sheet.ts'
import { gives } from './trouble.ts'

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
  /** No less than while externals give: they do, or the internal tanks are full from a contact. */
  | 'in band'
  /** Less than while they give, not so little that they surely do not. */
  | 'unclear'
  /** Below the mark, and as the carried fuel has it nothing usable is left in them. */
  | 'empty'
  /** Below the mark although they should hold usable fuel. */
  | 'not giving'
  /** Low, but as carried they have not had the time to fill the inside. */
  | 'filling'
  | 'no externals'
  | 'not selected'
  | 'total gauge'

/** A gauge is wrong by so much of its full scale. Source: assumed. */
const GAUGE_ERROR_SHARE = 0.01
/** A reading further from what is expected than so many times that is no error. Source: assumed. */
const ERRORS_MOST = 3

/** Fuel above the unusable rest of external tanks that are still there, kg: of all, and of those that give. */
function outside(sheet: Sheet, state: TankState): { tankCount: number; heldKg: number; givingKg: number } {
  let tankCount = 0
  let heldKg = 0
  let givingKg = 0
  sheet.groups.forEach((group, g) => {
    if (group.place !== 'external') return
    state.quantitiesKg[g]?.forEach((quantityKg, tank) => {
      const trouble = state.troubles[g]?.[tank]
      if (trouble === 'gone') return
      const kg = Math.max(0, quantityKg - group.unusableKg)
      tankCount++
      heldKg += kg
      if (gives(trouble)) givingKg += kg
    })
  })
  return { tankCount, heldKg, givingKg }
}

/**
 * What a figure of the internal gauge, kg, tells of the externals, with the ship as carried up to the reading.
 *
 * Below `notGivingBelowKg` the carried fuel decides. Externals that should still hold more than the gauge is wrong by
 * (1 % of the internal tanks) are not giving, be they empty early or stuck: either way nothing in them counts, and that
 * is the safe way to read it. Only where they should be dry are they empty.
 *
 * After a hold is released, or after a short contact, the inside is low because nothing gave until then: a low figure
 * tells something only once the carried inside, filled from outside since, is above it by more than the gauge's error
 * and stands at the mark, or in the band for what is unclear.
 *
 * A carried switch that is off with nothing left to give is one that the plan assumed to be put off. Such a ship is read
 * as one that is selected; but its figure is in the band only where the carried internal fuel is below it, since then
 * something came from outside after all, while full internals after a contact tell nothing.
 * A sheet without a band, or without a mark below it, leaves a lower figure unclear.
 * Source: common practice, no source. Checked: tests/shared/tanks/reading.test.ts, tests/shared/tanks/fighter.test.ts.
 */
export function readingOf(sheet: Sheet, state: TankState, figureKg: number): Reading {
  if (sheet.gauge === 'total') return 'total gauge'
  const { tankCount, heldKg, givingKg } = outside(sheet, state)
  if (tankCount === 0) return 'no externals'
  const assumedOff = state.externals === 'off' && givingKg === 0
  if (state.externals !== 'selected' && !assumedOff) return 'not selected'
  const { gaugeBandKg: band, notGivingBelowKg } = sheet
  if (band === undefined) return 'unclear'
  if (figureKg >= band.lowKg) return assumedOff && gaugeKg(sheet, state) >= band.lowKg ? 'not selected' : 'in band'
  const fullScaleKg = sheet.groups.reduce(
    (kg, group) => (group.place === 'internal' ? kg + group.tankCount * group.capacityKg : kg),
    0
  )
  const errorKg = GAUGE_ERROR_SHARE * fullScaleKg
  const isUnclear = notGivingBelowKg === undefined || figureKg >= notGivingBelowKg
  const dueKg = Math.max(isUnclear ? band.lowKg : notGivingBelowKg, figureKg + ERRORS_MOST * errorKg)
  if (givingKg > errorKg && gaugeKg(sheet, state) < dueKg) return 'filling'
  if (isUnclear) return 'unclear'
  return heldKg > errorKg ? 'not giving' : 'empty'
}

/** The two states at which a ship is planned while nobody knows what its externals hold. */
export interface BothEnds {
  readonly full: TankState
  readonly empty: TankState
}

/**
 * Both ends of an unclear reading: external tanks that are there and give full to the brim, as if they never had given,
 * and down to their unusable rest. A tank known not to give stays as carried: what it holds counts at neither end.
 * Checked: tests/shared/tanks/reading.test.ts.
 */
export function bothEnds(sheet: Sheet, state: TankState): BothEnds {
  const end = (kg: (group: Sheet['groups'][number], quantityKg: number) => number): TankState => ({
    ...state,
    quantitiesKg: state.quantitiesKg.map((tanks, g) => {
      const group = sheet.groups[g]
      if (group?.place !== 'external') return tanks
      return tanks.map((quantityKg, tank) => (gives(state.troubles[g]?.[tank]) ? kg(group, quantityKg) : quantityKg))
    })
  })
  return {
    full: end((group) => group.capacityKg),
    empty: end((group, quantityKg) => Math.min(quantityKg, group.unusableKg))
  }
}

/** How far along a burn a level is looked for, s. */
const HORIZON_S = 24 * 3600
/** Burn by which a ship that burns nothing is taken down, kg/s: slow, so that the tanks go in their order. */
const SLOW_KG_PER_S = 0.1

/** The gauge with fuel added to what the measure counts, inside first; undefined when that does not fit, kg. */
function gaugeWith(sheet: Sheet, state: TankState, measure: Measure, addedKg: number): number | undefined {
  let insideKg = 0
  let outsideKg = 0
  sheet.groups.forEach((group, g) => {
    const external = group.place === 'external'
    if (external && measure === 'counted' && !(state.externals === 'selected' && state.proven[g] === true)) return
    state.quantitiesKg[g]?.forEach((quantityKg, tank) => {
      if (!gives(state.troubles[g]?.[tank])) return
      if (external) outsideKg += Math.max(0, group.capacityKg - quantityKg)
      else insideKg += Math.max(0, group.capacityKg - quantityKg)
    })
  })
  if (addedKg > insideKg + outsideKg) return undefined
  return gaugeKg(sheet, state) + (sheet.gauge === 'internal' ? Math.min(addedKg, insideKg) : addedKg)
}

/**
 * What the ship's own gauge shows at the instant at which a measure falls to a level along a burn, kg; a ship that burns
 * nothing is taken down slowly. Already below the level, it is the gauge of the ship with the lacking fuel put back
 * against feed order, which reads higher than now. Undefined when the measure never falls so far, or the tanks could not
 * hold so much.
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
  const lackingKg = levelKg - measured(sheet, state, measure)
  if (lackingKg >= 0) return gaugeWith(sheet, state, measure, lackingKg)
  const [flowKgPerS, withinS] =
    burnKgPerS === 0 ? [SLOW_KG_PER_S, totalKg(sheet, state) / SLOW_KG_PER_S + 1] : [burnKgPerS, HORIZON_S]
  const reached = feedDownTo(sheet, state, flowKgPerS, { measure, levelKg }, withinS)
  return reached && gaugeKg(sheet, reached.state)
}
