/** A point after the push: burn from push to it, and recovery fuel from it. */
export interface PointAhead {
  readonly burnFromPushKg: number
  readonly recoveryKg: number
}

export interface Ahead {
  /** Every point of the route up to the next contact, or to the end. */
  readonly points: readonly PointAhead[]
  /** The end of the task, where bingo must still be aboard. */
  readonly taskEnd?: { readonly burnFromPushKg: number; readonly bingoKg: number } | undefined
  /** The next visit: burn from push to contact, hook-up included, and abort fuel there. */
  readonly nextVisit?: { readonly burnToContactKg: number; readonly abortKg: number } | undefined
  /** With no further visit: burn to the recovery base, then approach and landing reserve. */
  readonly home?:
    { readonly burnFromPushKg: number; readonly approachKg: number; readonly reserveKg: number } | undefined
}

export type NeedTerm = 'recovery' | 'bingo' | 'next contact' | 'home'

export interface Need {
  readonly requiredKg: number
  /** What asks for the most; the first of equals as listed here: next contact, recovery, bingo, home. */
  readonly binds: NeedTerm
  /** Which point, where the recovery fuel of a point binds. */
  readonly pointIndex: number | undefined
}

/**
 * Usable fuel a ship needs at its push, kg, and which term asks for it: the greatest of all that lies ahead. No transfer
 * ahead is counted on; the next contact itself is reached with abort fuel aboard.
 * @throws RangeError when nothing lies ahead.
 * Source: CNAF M-3710.7, in-flight refuelling (fuel to each control point and then to a recovery field).
 * Checked: tests/shared/fuel/need.test.ts, tests/truth/burn.json.
 */
export function requiredAtPushKg({ points, taskEnd, nextVisit, home }: Ahead): Need {
  let need: Need | undefined
  const ask = (requiredKg: number, binds: NeedTerm, pointIndex?: number): void => {
    if (need === undefined || requiredKg > need.requiredKg) need = { requiredKg, binds, pointIndex }
  }
  if (nextVisit !== undefined) ask(nextVisit.burnToContactKg + nextVisit.abortKg, 'next contact')
  points.forEach((point, index) => {
    ask(point.burnFromPushKg + point.recoveryKg, 'recovery', index)
  })
  if (taskEnd !== undefined) ask(taskEnd.burnFromPushKg + taskEnd.bingoKg, 'bingo')
  if (home !== undefined) ask(home.burnFromPushKg + home.approachKg + home.reserveKg, 'home')
  if (need === undefined) throw new RangeError('a need has at least 1 point ahead, has 0')
  return need
}
