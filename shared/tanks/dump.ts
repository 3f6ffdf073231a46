import { feedDownTo, feedDumping, type DumpResult } from './feed.ts'
import { type Sheet, type TankState } from './sheet.ts'
import { gives } from './trouble.ts'

/*
 * Fuel let go on purpose: dumped overboard, or thrown off with its tank.
 */

/**
 * The ship after dumping and burning for a while; with nothing to dump it only burns. Seconds from the start, kg.
 * @throws RangeError when burn or duration is negative or not finite, or the sheet's dump rate not positive.
 * Checked: tests/shared/tanks/dump.test.ts, against a time-step integration.
 */
export const dumpFor = (sheet: Sheet, state: TankState, burnKgPerS: number, durationS: number): DumpResult =>
  feedDumping(sheet, state, burnKgPerS, durationS)

/** Longer than any dump of this ship takes, s: transfer to the feed group only shortens it. */
function longestS(sheet: Sheet, state: TankState): number {
  const { dump } = sheet
  if (dump === undefined) return 0
  let kg = 0
  for (const g of dump.groups) {
    const floorKg = sheet.groups[g]?.unusableKg ?? 0
    state.quantitiesKg[g]?.forEach((quantityKg, tank) => {
      if (gives(state.troubles[g]?.[tank])) kg += Math.max(0, quantityKg - floorKg)
    })
  }
  return kg === 0 ? 0 : (kg / dump.rateKgPerS) * (1 + 1e-9) + 1e-6
}

/**
 * Time to dump down to a usable fuel while burning, s: 0 when it is there already; undefined where the sheet dumps
 * nothing, or the groups that can be dumped run dry before.
 * @throws RangeError when the burn is negative or not finite, or the sheet's dump rate not positive.
 * Checked: tests/shared/tanks/dump.test.ts.
 */
export function dumpTimeS(sheet: Sheet, state: TankState, burnKgPerS: number, usableKg: number): number | undefined {
  if (sheet.dump === undefined) return undefined
  const mark = { measure: 'usable', levelKg: usableKg } as const
  return feedDownTo(sheet, state, burnKgPerS, mark, longestS(sheet, state), true)?.atS
}

/**
 * Time until nothing more can be dumped while burning, s; 0 when nothing can be now, null where the sheet dumps nothing.
 * @throws RangeError when the burn is negative or not finite, or the sheet's dump rate not positive.
 * Checked: tests/shared/tanks/dump.test.ts.
 */
export function dumpAllS(sheet: Sheet, state: TankState, burnKgPerS: number): number | null {
  if (sheet.dump === undefined) return null
  const withinS = longestS(sheet, state)
  return feedDumping(sheet, state, burnKgPerS, withinS).dumpDryAtS ?? withinS
}

/**
 * The ship without some groups, and what goes with them, kg: all they held, and what of it the engines could have had.
 * What is gone already is not lost again.
 * @throws RangeError when a group cannot be jettisoned, or there is no such group.
 * Checked: tests/shared/tanks/dump.test.ts.
 */
export function jettisoned(
  sheet: Sheet,
  state: TankState,
  groups: readonly number[]
): { readonly state: TankState; readonly lostKg: number; readonly lostUsableKg: number } {
  const off = new Set(groups)
  let lostKg = 0
  let lostUsableKg = 0
  for (const g of off) {
    const group = sheet.groups[g]
    if (group?.jettisonable !== true) throw new RangeError(`group ${g} cannot be jettisoned`)
    state.quantitiesKg[g]?.forEach((quantityKg, tank) => {
      const trouble = state.troubles[g]?.[tank]
      if (trouble === 'gone') return
      lostKg += quantityKg
      if (gives(trouble)) lostUsableKg += Math.max(0, quantityKg - group.unusableKg)
    })
  }
  return {
    state: {
      ...state,
      quantitiesKg: state.quantitiesKg.map((tanks, g) => (off.has(g) ? tanks.map(() => 0) : tanks)),
      troubles: state.troubles.map((tanks, g) => (off.has(g) ? tanks.map(() => 'gone' as const) : tanks))
    },
    lostKg,
    lostUsableKg
  }
}
