/*
 * What a package asks for before there is any order: how many tankers by time, how many by fuel. Each answer is what no
 * order can do with less; that so many are enough is for an order to show.
 */

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

/** A contact that must lie between two instants, on any station. */
export interface TimedContact {
  readonly readyAtMs: number
  /** Its disconnect may not come later. */
  readonly dueAtMs: number
  /** Hook-up and fill. */
  readonly serviceMs: number
  /** After the one before it on its station, at least. */
  readonly changeoverMs: number
}

/** A span of time, what must be done in it, and how many stations that takes. */
export interface Crowd {
  readonly fromMs: number
  readonly toMs: number
  readonly contacts: number
  /** Services and changeovers. */
  readonly stationMs: number
  readonly stations: number
}

/** Smaller parts of a station are noise of the arithmetic. */
const NOISE = 1e-9
const whole = (count: number): number => Math.ceil(count - NOISE)

/**
 * The span in which contacts are most crowded, with the stations it takes; undefined without contacts. Of all spans
 * from a ready instant to a due one: contacts that lie in it need as many stations as their time fills, and as many as
 * even the shortest of them ask for, one after the other. No changeover before the first on a station.
 * @throws RangeError when a service is longer than the time there is for it.
 * Source: interval load, a necessary condition (Baptiste, Le Pape, Nuijten 2001, energetic reasoning; from memory).
 * Checked: tests/shared/order/demand.test.ts, against every dealing of small cases; alike with `demand`.
 */
export function mostCrowded(contacts: readonly TimedContact[]): Crowd | undefined {
  for (const { readyAtMs, dueAtMs, serviceMs } of contacts) {
    if (serviceMs > dueAtMs - readyAtMs + NOISE)
      throw new RangeError(
        `serviceMs ${String(serviceMs)} does not fit between ${String(readyAtMs)} and ${String(dueAtMs)}`
      )
  }
  const shortest = contacts.toSorted((a, b) => a.serviceMs + a.changeoverMs - b.serviceMs - b.changeoverMs)
  let worst: Crowd | undefined
  for (const fromMs of new Set(contacts.map((one) => one.readyAtMs))) {
    for (const toMs of new Set(contacts.map((one) => one.dueAtMs))) {
      const inside = shortest.filter((one) => one.readyAtMs >= fromMs && one.dueAtMs <= toMs)
      if (inside.length === 0) continue
      const crowd = crowdOf(inside, fromMs, toMs)
      const fuller = worst && crowd.stationMs * (worst.toMs - worst.fromMs) > worst.stationMs * (toMs - fromMs)
      if (!worst || crowd.stations > worst.stations || (crowd.stations === worst.stations && fuller)) worst = crowd
    }
  }
  return worst
}

/** Of contacts inside a span, shortest first. */
function crowdOf(inside: readonly TimedContact[], fromMs: number, toMs: number): Crowd {
  const firstMs = inside.reduce((most, one) => Math.max(most, one.changeoverMs), 0)
  const spanMs = toMs - fromMs + firstMs
  let stationMs = 0
  let eachServes = 0
  for (const { serviceMs, changeoverMs } of inside) {
    stationMs += serviceMs + changeoverMs
    if (stationMs <= spanMs * (1 + NOISE)) eachServes++
  }
  const stations = Math.max(whole(inside.length / Math.max(1, eachServes)), whole(stationMs / spanMs))
  return { fromMs, toMs, contacts: inside.length, stationMs, stations }
}

/**
 * Fewest of some things that reach a sum, greatest first; where all together do not, more of the greatest. Undefined
 * when there is nothing above 0 to reach it with.
 */
export function fewestReaching(sum: number, sizes: readonly number[]): number | undefined {
  const sorted = sizes.toSorted((a, b) => b - a)
  let left = sum
  let count = 0
  for (const size of sorted) {
    if (left <= sum * NOISE) return count
    left -= size
    count++
  }
  if (left <= sum * NOISE) return count
  const greatest = sorted[0] ?? 0
  return greatest > 0 ? count + whole(left / greatest) : undefined
}
