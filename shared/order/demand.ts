export interface Demand {
  readonly tankersByTime: number
  readonly tankersByGive: number
  readonly tankers: number
  readonly binds: 'time' | 'give' | 'both'
}

/**
 * Tankers of one station each that a number of like receivers need: as many as the window asks for and as many as the
 * fuel asks for, and which of the two binds. Masses kg, spans ms.
 * @throws RangeError when one service does not fit into the window, or a tanker gives nothing.
 * Checked: tests/cases/order.test.ts (constructed).
 */
export function demand(need: {
  readonly receivers: number
  readonly onLoadKg: number
  readonly windowMs: number
  readonly serviceMs: number
  readonly givePerTankerKg: number
}): Demand {
  const eachServes = Math.floor(need.windowMs / need.serviceMs)
  if (!(eachServes >= 1)) {
    throw new RangeError(`serviceMs ${String(need.serviceMs)} does not fit into windowMs ${String(need.windowMs)}`)
  }
  if (!(need.givePerTankerKg > 0)) {
    throw new RangeError(`givePerTankerKg ${String(need.givePerTankerKg)} must be above 0`)
  }
  const tankersByTime = Math.ceil(need.receivers / eachServes)
  const tankersByGive = Math.ceil((need.receivers * need.onLoadKg) / need.givePerTankerKg)
  const binds = tankersByTime === tankersByGive ? 'both' : tankersByTime > tankersByGive ? 'time' : 'give'
  return { tankersByTime, tankersByGive, tankers: Math.max(tankersByTime, tankersByGive), binds }
}
