/** What calls say about tanks: in trouble, well again, thrown off. */
import type { TankTrouble } from '../contracts/kinds.ts'
import { jettisoned } from '../tanks/dump.ts'
import { bothEnds, type Reading } from '../tanks/reading.ts'
import { type Sheet, type TankState } from '../tanks/sheet.ts'
import { gives, type TankTrouble as Trouble } from '../tanks/trouble.ts'

export interface TroubleCall {
  groupId: string
  /** From 1; undefined for the whole group. */
  tankNumber?: number | undefined
  /** Undefined: well again. */
  trouble?: TankTrouble | undefined
}

/** How a tank is named among those in trouble by a reading alone. */
export const tankName = (groupIndex: number, tankIndex: number): string => `${String(groupIndex)}/${String(tankIndex)}`

/** What a tank is said to be in, one by one. */
export const troublesOf = (trouble: Trouble | undefined): readonly TankTrouble[] =>
  trouble === undefined ? [] : trouble === 'neither' ? ['not giving', 'not taking'] : [trouble]

/** A tank with one trouble more; gone is all there is to say of one that is gone. */
function also(had: Trouble | undefined, trouble: TankTrouble): Trouble {
  if (had === undefined || had === trouble || had === 'gone' || trouble === 'gone')
    return had === 'gone' ? had : trouble
  return 'neither'
}

/** The state with one trouble more of a tank or group, or with all of them well again; a tank that is gone stays gone. */
export function withTrouble(sheet: Sheet, state: TankState, { groupId, tankNumber, trouble }: TroubleCall): TankState {
  const troubles = state.troubles.map((tanks, g) =>
    sheet.groups[g]?.id === groupId
      ? tanks.map((had, tank) => {
          if (had === 'gone' || (tankNumber !== undefined && tank !== tankNumber - 1)) return had
          return trouble && also(had, trouble)
        })
      : tanks
  )
  return { ...state, troubles }
}

/** Takes out of what a reading alone had said what is now called: that stands, whatever is read later. */
export function called(sheet: Sheet, { groupId, tankNumber, trouble }: TroubleCall, readTroubles: Set<string>): void {
  // Whether it takes is another matter than whether it gives.
  if (trouble === 'not taking') return
  sheet.groups.forEach((group, g) => {
    if (group.id !== groupId) return
    for (let tank = 0; tank < group.tankCount; tank++)
      if (tankNumber === undefined || tank === tankNumber - 1) readTroubles.delete(tankName(g, tank))
  })
}

/** Whether an external tank is still there. */
export const carriesExternals = (sheet: Sheet, state: TankState): boolean =>
  sheet.groups.some(
    (group, g) => group.place === 'external' && state.troubles[g]?.some((trouble) => trouble !== 'gone')
  )

/** The state without some groups: thrown off with what they held. What cannot be jettisoned stays, whatever a log says. */
export function without(sheet: Sheet, state: TankState, groupIds: readonly string[]): TankState {
  if (groupIds.length === 0) return state
  const groups = sheet.groups.flatMap((group, g) => (group.jettisonable && groupIds.includes(group.id) ? [g] : []))
  return jettisoned(sheet, state, groups).state
}

/**
 * The state as a reading of an internal gauge leaves it. Externals that do not give count nothing from that reading on;
 * empty ones hold their rest alone, and so do those of which nobody knows, for no limit may count on them; a reading inside the band takes back what a reading alone had said, never what was
 * called, and shows that the switch is on.
 */
export function asRead(sheet: Sheet, state: TankState, read: Reading, readTroubles: Set<string>): TankState {
  if (read === 'empty' || read === 'unclear') return bothEnds(sheet, state).empty
  if (read !== 'not giving' && read !== 'in band') return state
  const troubles = state.troubles.map((tanks, g) =>
    sheet.groups[g]?.place === 'external'
      ? tanks.map((had, tank): Trouble | undefined => {
          const name = tankName(g, tank)
          if (read === 'not giving') {
            if (gives(had)) readTroubles.add(name)
            return also(had, 'not giving')
          }
          if (!readTroubles.delete(name)) return had
          return had === 'neither' ? 'not taking' : undefined
        })
      : tanks
  )
  return { ...state, troubles, externals: read === 'in band' ? 'selected' : state.externals }
}
