/** A point after the push: burn from push to it, and recovery fuel from it. */
export interface PointAhead {
  readonly burnFromPushKg: number
  readonly recoveryKg: number
}

/** The next visit: burn from push until ready, then the wait allowed for and the hook-up, and abort fuel at contact. */
export interface NextVisit {
  /** Until ready; all the way to contact where wait and hook-up are not given apart. */
  readonly burnToContactKg: number
  readonly waitKg?: number
  readonly hookUpKg?: number
  readonly abortKg: number
}

export interface Ahead {
  /** Every point of the route up to the next contact, or to the end. */
  readonly points: readonly PointAhead[]
  /** The end of the task, where bingo must still be aboard. */
  readonly taskEnd?: { readonly burnFromPushKg: number; readonly bingoKg: number } | undefined
  readonly nextVisit?: NextVisit | undefined
  /** With no further visit: burn to the recovery base, then approach and landing reserve. */
  readonly home?:
    { readonly burnFromPushKg: number; readonly approachKg: number; readonly reserveKg: number } | undefined
}

export type NeedTerm = 'recovery' | 'bingo' | 'next contact' | 'home'

export type NeedPart =
  'burn' | 'wait' | 'hook-up' | 'abort fuel' | 'recovery fuel' | 'bingo' | 'approach' | 'landing reserve'

export interface Need {
  readonly requiredKg: number
  /** What asks for the most; the first of equals as listed here: next contact, recovery, bingo, home. */
  readonly binds: NeedTerm
  /** Which point, where the recovery fuel of a point binds. */
  readonly pointIndex: number | undefined
  /** What makes up the requirement, in the order it is used; their sum is the requirement. */
  readonly parts: readonly { readonly name: NeedPart; readonly kg: number }[]
}

/**
 * Usable fuel a ship needs at its push, kg, and which term asks for it: the greatest of all that lies ahead. No transfer
 * ahead is counted on; the next contact itself is reached with abort fuel aboard.
 * @throws RangeError when nothing lies ahead.
 * Source: CNAF M-3710.7, in-flight refuelling (fuel to each control point and then to a recovery field).
 * Checked: tests/shared/fuel/need.test.ts, tests/truth/fuel-burn.json.
 */
export function requiredAtPushKg({ points, taskEnd, nextVisit, home }: Ahead): Need {
  let need: Need | undefined
  const ask = (binds: NeedTerm, parts: Need['parts'], pointIndex?: number): void => {
    const requiredKg = parts.reduce((sumKg, part) => sumKg + part.kg, 0)
    if (need === undefined || requiredKg > need.requiredKg) need = { requiredKg, binds, pointIndex, parts }
  }
  if (nextVisit !== undefined)
    ask('next contact', [
      { name: 'burn', kg: nextVisit.burnToContactKg },
      { name: 'wait', kg: nextVisit.waitKg ?? 0 },
      { name: 'hook-up', kg: nextVisit.hookUpKg ?? 0 },
      { name: 'abort fuel', kg: nextVisit.abortKg }
    ])
  points.forEach(({ burnFromPushKg, recoveryKg }, index) => {
    ask(
      'recovery',
      [
        { name: 'burn', kg: burnFromPushKg },
        { name: 'recovery fuel', kg: recoveryKg }
      ],
      index
    )
  })
  if (taskEnd !== undefined)
    ask('bingo', [
      { name: 'burn', kg: taskEnd.burnFromPushKg },
      { name: 'bingo', kg: taskEnd.bingoKg }
    ])
  if (home !== undefined)
    ask('home', [
      { name: 'burn', kg: home.burnFromPushKg },
      { name: 'approach', kg: home.approachKg },
      { name: 'landing reserve', kg: home.reserveKg }
    ])
  if (need === undefined) throw new RangeError('a need has at least 1 point ahead, has 0')
  return need
}
