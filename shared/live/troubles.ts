/** What calls say about tanks: in trouble, well again, thrown off. */
import type { TankTrouble } from '../contracts/kinds.ts'
import { jettisoned } from '../tanks/dump.ts'
import { bothEnds, type Reading } from '../tanks/reading.ts'
import type { Sheet, TankState, TankTrouble as Trouble } from '../tanks/sheet.ts'

export interface TroubleCall {
  groupId: string
  /** From 1; undefined for the whole group. */
  tankNumber?: number | undefined
  /** Undefined: well again. */
  trouble?: TankTrouble | undefined
}

/** The state with the trouble of one tank or group changed; a tank that is gone stays gone. */
export function withTrouble(sheet: Sheet, state: TankState, { groupId, tankNumber, trouble }: TroubleCall): TankState {
  const troubles = state.troubles.map((tanks, g) =>
    sheet.groups[g]?.id === groupId
      ? tanks.map((had, tank) =>
          had === 'gone' || (tankNumber !== undefined && tank !== tankNumber - 1) ? had : trouble
        )
      : tanks
  )
  return { ...state, troubles }
}

/** The state without some groups: thrown off with what they held. What cannot be jettisoned stays, whatever a log says. */
export function without(sheet: Sheet, state: TankState, groupIds: readonly string[]): TankState {
  if (groupIds.length === 0) return state
  const groups = sheet.groups.flatMap((group, g) => (group.jettisonable && groupIds.includes(group.id) ? [g] : []))
  return jettisoned(sheet, state, groups).state
}

/**
 * The state as a reading of an internal gauge leaves it. Externals that do not give count nothing from that reading on,
 * empty ones hold their rest alone; a reading inside the band takes back what a reading alone had said, never what was
 * called, and shows that the switch is on.
 */
export function asRead(sheet: Sheet, state: TankState, read: Reading, readTroubles: Set<string>): TankState {
  if (read === 'empty') return bothEnds(sheet, state).empty
  if (read !== 'not giving' && read !== 'in band') return state
  const troubles = state.troubles.map((tanks, g) =>
    sheet.groups[g]?.place === 'external'
      ? tanks.map((had, tank): Trouble | undefined => {
          const name = `${String(g)}/${String(tank)}`
          if (read === 'not giving' && had === undefined) {
            readTroubles.add(name)
            return 'not giving'
          }
          return read === 'in band' && readTroubles.delete(name) ? undefined : had
        })
      : tanks
  )
  return { ...state, troubles, externals: read === 'in band' ? 'selected' : state.externals }
}
