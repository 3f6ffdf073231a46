import { dumpingUntil, feedDumping, type FeedResult } from './feed.ts'
import { gives, type Sheet, type TankState } from './sheet.ts'

/*
 * Fuel let go on purpose: dumped overboard, or thrown off with its tank.
 */

/** How long a dump is followed, s. */
const HORIZON_S = 12 * 3600

/**
 * The ship after dumping and burning for a while; with nothing to dump it only burns.
 * @throws RangeError when burn or duration is negative or not finite.
 * Checked: tests/shared/tanks/dump.test.ts.
 */
export const dumpFor = (sheet: Sheet, state: TankState, burnKgPerS: number, durationS: number): FeedResult =>
  feedDumping(sheet, state, burnKgPerS, durationS)

/**
 * Time to dump down to a usable fuel while burning, s: 0 when it is there already; undefined where the sheet dumps
 * nothing, or what can be dumped runs out before.
 * @throws RangeError when the burn is negative or not finite.
 * Checked: tests/shared/tanks/dump.test.ts.
 */
export function dumpTimeS(sheet: Sheet, state: TankState, burnKgPerS: number, usableKg: number): number | undefined {
  if (sheet.dump === undefined) return undefined
  const reachedS = dumpingUntil(sheet, state, burnKgPerS, 'usable', usableKg, HORIZON_S)
  const emptyS = dumpAllS(sheet, state, burnKgPerS)
  return reachedS === undefined || emptyS === null || reachedS > emptyS ? undefined : reachedS
}

/**
 * Time until nothing more can be dumped while burning, s; null where the sheet dumps nothing.
 * @throws RangeError when the burn is negative or not finite.
 * Checked: tests/shared/tanks/dump.test.ts.
 */
export function dumpAllS(sheet: Sheet, state: TankState, burnKgPerS: number): number | null {
  const { dump } = sheet
  if (dump === undefined) return null
  const heldKg = (after: TankState): number =>
    dump.groups.reduce((kg, g) => {
      const floorKg = sheet.groups[g]?.unusableKg ?? 0
      const tanks = after.quantitiesKg[g] ?? []
      return kg + tanks.reduce((sum, quantityKg, tank) => sum + left(after, g, tank, quantityKg, floorKg), 0)
    }, 0)
  const most = heldKg(state) / dump.rateKgPerS
  if (most === 0) return 0
  // Transfer to the feed group only helps, so the dump alone takes longest; the last group to run dry ends it.
  const { events } = feedDumping(sheet, state, burnKgPerS, most)
  const dry = events.filter((event) => event.kind === 'group dry' && dump.groups.includes(event.group))
  return dry.length === 0 ? most : Math.max(...dry.map((event) => event.atS))
}

const left = (state: TankState, g: number, tank: number, quantityKg: number, floorKg: number): number =>
  state.troubles[g]?.[tank] === 'gone' ? 0 : Math.max(0, quantityKg - floorKg)

/**
 * The ship without some groups, and the fuel lost with them, kg: what they held that the engines could have had, and all.
 * @throws RangeError when a group cannot be jettisoned.
 * Checked: tests/shared/tanks/dump.test.ts.
 */
export function jettisoned(
  sheet: Sheet,
  state: TankState,
  groups: readonly number[]
): { readonly state: TankState; readonly lostKg: number; readonly lostUsableKg: number } {
  let lostKg = 0
  let lostUsableKg = 0
  for (const g of groups) {
    const group = sheet.groups[g]
    if (group?.jettisonable !== true) throw new RangeError(`group ${String(g)} cannot be jettisoned`)
    state.quantitiesKg[g]?.forEach((quantityKg, tank) => {
      const trouble = state.troubles[g]?.[tank]
      if (trouble === 'gone') return
      lostKg += quantityKg
      if (gives(trouble)) lostUsableKg += Math.max(0, quantityKg - group.unusableKg)
    })
  }
  const troubles = state.troubles.map((tanks, g) => (groups.includes(g) ? tanks.map(() => 'gone' as const) : tanks))
  return { state: { ...state, troubles }, lostKg, lostUsableKg }
}
