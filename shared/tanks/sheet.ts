import { type Externals, type Gauge, type Place } from '../contracts/kinds.ts'
import { lowered } from './drain.ts'
import { gives, type TankTrouble } from './trouble.ts'

/*
 * What a ship's tanks are and what they hold. Figures of a group are for one tank; quantities and troubles name a tank.
 */

/** What a group does for the engines; the mark of a reserve is the quantity of the whole feed group. */
export type GroupRole =
  | { readonly kind: 'feed' }
  | { readonly kind: 'stage'; readonly turnCount: number }
  | { readonly kind: 'reserve'; readonly releasedBelowKg: number }

/** Like tanks; every figure is for one tank. */
export interface GroupSheet {
  readonly id: string
  readonly name: string
  readonly place: Place
  readonly tankCount: number
  readonly capacityKg: number
  readonly unusableKg: number
  /** Most one tank takes from a tanker. */
  readonly fillRateKgPerS: number
  /** Index of the group that must be full before this one opens to the tanker. */
  readonly fillsAfter: number | undefined
  /** Can be closed to the tanker. */
  readonly canShut: boolean
  /** Most one tank gives to the feed group. */
  readonly transferRateKgPerS: number
  readonly role: GroupRole
  /** Gives nothing while external transfer is selected. */
  readonly silencedByExternals: boolean
  readonly jettisonable: boolean
}

/** Internal groups and the external ones that are fitted; the engines drink from the feed group alone. */
export interface Sheet {
  readonly groups: readonly GroupSheet[]
  readonly feedIndex: number
  /** Most the whole receiver takes. */
  readonly maxRateKgPerS: number
  readonly gauge: Gauge
  /** Where an internal gauge stands while externals give. */
  readonly gaugeBandKg?: { readonly lowKg: number; readonly highKg: number } | undefined
  /** An internal gauge below this with externals selected: they are empty, or they do not give. */
  readonly notGivingBelowKg?: number | undefined
  /** Quantity of the whole feed group at which its low-level light comes on. */
  readonly feedLowMarkKg?: number | undefined
  /** Groups that can be dumped, down to their unusable rest, and the rate of all together. */
  readonly dump?: { readonly rateKgPerS: number; readonly groups: readonly number[] } | undefined
}

export interface TankState {
  /** [group][tank] */
  readonly quantitiesKg: readonly (readonly number[])[]
  /** [group][tank] */
  readonly troubles: readonly (readonly (TankTrouble | undefined)[])[]
  readonly externals: Externals
  /** By group: seen to give since take-off or the last contact; true for internal groups. */
  readonly proven: readonly boolean[]
}

/** All external tanks together take this share of what all internal groups take. Source: common practice, no source. */
export const EXTERNAL_SHARE = 1 / 4

/**
 * Fill rate of one tank of each external group where the sheet states none, kg/s; undefined for internal groups.
 * All external tanks together take a quarter of what all internal groups together take, split by capacity.
 * Source: common practice, no source. Checked: tests/shared/tanks/sheet.test.ts, by hand.
 */
export function defaultExternalFillRates(
  groups: readonly {
    readonly place: Place
    readonly tankCount: number
    readonly capacityKg: number
    readonly fillRateKgPerS?: number | undefined
  }[]
): readonly (number | undefined)[] {
  let internalKgPerS = 0
  let externalCapacityKg = 0
  for (const group of groups) {
    if (group.place === 'internal') internalKgPerS += group.tankCount * (group.fillRateKgPerS ?? 0)
    else externalCapacityKg += group.tankCount * group.capacityKg
  }
  return groups.map((group) =>
    group.place === 'internal' || externalCapacityKg === 0
      ? undefined
      : (EXTERNAL_SHARE * internalKgPerS * group.capacityKg) / externalCapacityKg
  )
}

/** Whether a tank takes fuel from a tanker: one that does not give is shut where it can be. */
export const takes = (group: GroupSheet, trouble: TankTrouble | undefined): boolean =>
  trouble === undefined || (trouble === 'not giving' && !group.canShut)

/** A ship with every tank full, nothing in trouble, no external group seen to give. */
export function fullState(sheet: Sheet, externals: Externals): TankState {
  return {
    quantitiesKg: sheet.groups.map((group) => new Array<number>(group.tankCount).fill(group.capacityKg)),
    troubles: sheet.groups.map((group) => new Array<TankTrouble | undefined>(group.tankCount).fill(undefined)),
    externals,
    proven: sheet.groups.map((group) => group.place === 'internal')
  }
}

/**
 * A ship before take-off with so much aboard: full, then drained in feed order; nothing proven. More than the tanks
 * hold gives full tanks.
 * @throws RangeError when fuelKg is negative or not a number.
 * Checked: tests/shared/tanks/sheet.test.ts.
 */
export function startState(sheet: Sheet, fuelKg: number, externals: Externals): TankState {
  return lowered(sheet, fullState(sheet, externals), { figureKg: fuelKg, covers: 'total' })
}

/** Sum over tanks that are still there of what `count` makes of a tank. */
function sum(
  sheet: Sheet,
  state: TankState,
  count: (group: GroupSheet, quantityKg: number, trouble: TankTrouble | undefined, index: number) => number
): number {
  let kg = 0
  for (let g = 0; g < sheet.groups.length; g++) {
    const group = sheet.groups[g]
    const quantities = state.quantitiesKg[g]
    const troubles = state.troubles[g]
    if (group === undefined || quantities === undefined) continue
    for (let i = 0; i < quantities.length; i++) {
      const trouble = troubles?.[i]
      if (trouble !== 'gone') kg += count(group, quantities[i] ?? 0, trouble, g)
    }
  }
  return kg
}

const usableOf = (group: GroupSheet, quantityKg: number, trouble: TankTrouble | undefined): number =>
  gives(trouble) ? Math.max(0, quantityKg - group.unusableKg) : 0

/** Everything aboard, kg; tanks that are gone hold nothing. Checked: tests/shared/tanks/sheet.test.ts. */
export const totalKg = (sheet: Sheet, state: TankState): number => sum(sheet, state, (_, quantityKg) => quantityKg)

/** What the engines can have, held externals included, kg. Checked: tests/shared/tanks/sheet.test.ts. */
export const usableKg = (sheet: Sheet, state: TankState): number => sum(sheet, state, usableOf)

/**
 * What limits may count on, kg: usable fuel less externals that are not selected or were not seen to give since
 * take-off or the last contact. Checked: tests/shared/tanks/sheet.test.ts.
 */
export const countedKg = (sheet: Sheet, state: TankState): number =>
  sum(sheet, state, (group, quantityKg, trouble, index) =>
    group.place === 'internal' || (state.externals === 'selected' && state.proven[index] === true)
      ? usableOf(group, quantityKg, trouble)
      : 0
  )

/** Whether the feed group holds anything the engines can have. Checked: tests/shared/tanks/sheet.test.ts. */
export const feedHolds = (sheet: Sheet, state: TankState): boolean =>
  sum(sheet, state, (group, quantityKg, trouble, index) =>
    index === sheet.feedIndex ? usableOf(group, quantityKg, trouble) : 0
  ) > 0

/** What the internal tanks hold, kg. Checked: tests/shared/tanks/sheet.test.ts. */
export const internalKg = (sheet: Sheet, state: TankState): number =>
  sum(sheet, state, (group, quantityKg) => (group.place === 'internal' ? quantityKg : 0))

/** What the external tanks hold, kg. Checked: tests/shared/tanks/sheet.test.ts. */
export const externalKg = (sheet: Sheet, state: TankState): number =>
  sum(sheet, state, (group, quantityKg) => (group.place === 'external' ? quantityKg : 0))

/** What the tanks would still take from a tanker, kg. Checked: tests/shared/tanks/sheet.test.ts. */
export const ullageKg = (sheet: Sheet, state: TankState): number =>
  sum(sheet, state, (group, quantityKg, trouble) =>
    takes(group, trouble) ? Math.max(0, group.capacityKg - quantityKg) : 0
  )

/** Fuel above unusable in tanks of one group that do not give, kg. Checked: tests/shared/tanks/sheet.test.ts. */
export const trappedKg = (sheet: Sheet, state: TankState, groupIndex: number): number =>
  sum(sheet, state, (group, quantityKg, trouble, index) =>
    index === groupIndex && !gives(trouble) ? Math.max(0, quantityKg - group.unusableKg) : 0
  )

/** What all tanks of the sheet hold when full, kg. */
export const capacityKg = (sheet: Sheet): number =>
  sheet.groups.reduce((kg, group) => kg + group.tankCount * group.capacityKg, 0)

/** What the ship's own gauge shows, kg: an internal gauge knows nothing of externals. */
export const gaugeKg = (sheet: Sheet, state: TankState): number =>
  sheet.gauge === 'internal' ? internalKg(sheet, state) : totalKg(sheet, state)
