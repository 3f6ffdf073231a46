/*
 * What ships that are not served yet add to an order at least, whatever comes: their services begun and broken off at
 * will, as fast as there are stations for them, each flight at one tanker where it stays whole.
 */

/** What one ship asks of the stations at least. Event time ms, spans ms. */
export interface Asked {
  readonly bit: number
  /** Its work does not begin before: the changeover before it is part of it. */
  readonly releaseAtMs: number
  readonly workMs: number
  /** Alone on its best station. */
  readonly disconnectAtMs: number
  readonly group: number
  /** Its flight and visit where that stays whole; −1: it may go anywhere. */
  readonly party: number
  readonly component: number
}

/** A station in the order in which they are gone through. */
export interface Place {
  readonly tanker: number
  readonly component: number
  /** Its first changeover begins no earlier. */
  readonly beginMs: number
}

export interface RestIn {
  /** Those that every better order serves. */
  readonly ships: readonly Asked[]
  readonly places: readonly Place[]
  /** By party: more work of it at least, the changeover between flights before its first ship, while none of it is served. */
  readonly moreMs: readonly number[]
  /** Steps by which a group is late at least when all of it is over at an instant. */
  readonly lateAt: (group: number, overAtMs: number) => number
  /** By group: weight of those that every better order serves. */
  readonly weights: readonly number[]
  /** Nothing that comes to more weighted lateness matters: Infinity stands for it. */
  readonly mostLateness: number
  /** Sets of flights that may be looked at; what is left adds nothing known from then on. */
  readonly mostWork: number
}

export interface Rest {
  /** Groups with ships that must still be served, as bits, and the weighted lateness of those at least. */
  readonly groups: number
  readonly lateness: number
  /** When the last of them is over at the earliest, event time ms. */
  readonly lastMs: number
}

/** Changeovers between flights beside the least ones in the ships' work: in sum, and one of them. */
export interface More {
  readonly workMs: number
  readonly eachMs: number
}
const NO_MORE: More = { workMs: 0, eachMs: 0 }

/** Sequences of more groups, or tankers of more whole flights, are not gone through. */
const MOST_GROUPS = 6
const MOST_PARTIES = 8
const MOST_SHIPS = 24

const works = new Float64Array(32)

/**
 * The least instant by which all ships of a set and a component are over on stations free from the instants given,
 * ascending; −Infinity where there are no ships, Infinity where there is no station. `more` is work beside theirs. For
 * those that come after any instant: all their work shared by the stations, and on one of them as many as there are at
 * least. `ships`: the latest release first.
 */
function allOverAtMs(
  ships: readonly Asked[],
  of: { readonly set: number; readonly component: number; readonly more: More },
  freeAtMs: readonly number[]
): number {
  let over = -Infinity
  let workMs = 0
  let count = 0
  let fromMs = NaN
  for (const ship of ships) {
    if ((of.set & ship.bit) === 0 || ship.component !== of.component) continue
    // Whoever is released at the same instant is counted in first.
    if (count > 0 && ship.releaseAtMs !== fromMs) over = Math.max(over, endMs(workMs, count, fromMs, freeAtMs))
    fromMs = ship.releaseAtMs
    workMs += ship.workMs
    if (ship.disconnectAtMs > over) over = ship.disconnectAtMs
    let at = count++
    for (; at > 0 && (works[at - 1] ?? 0) > ship.workMs; at--) works[at] = works[at - 1] ?? 0
    works[at] = ship.workMs
  }
  if (count === 0) return -Infinity
  if (freeAtMs.length === 0) return Infinity
  over = Math.max(over, endMs(workMs, count, fromMs, freeAtMs))
  if (of.more.workMs > 0) {
    // More work may begin so much earlier.
    const fullMs = filledAtMs(workMs + of.more.workMs, freeAtMs, fromMs - of.more.eachMs)
    if (fullMs > over) over = fullMs
  }
  return over
}

/** When so many ships that come after an instant are over, their works ascending in `works`. */
function endMs(workMs: number, count: number, fromMs: number, freeAtMs: readonly number[]): number {
  let fullestMs = Math.max(freeAtMs[0] ?? Infinity, fromMs)
  const most = Math.ceil(count / freeAtMs.length)
  for (let k = 0; k < most && k < count; k++) fullestMs += works[k] ?? 0
  return Math.max(fullestMs, filledAtMs(workMs, freeAtMs, fromMs))
}

/** When so much work is done by all stations together, none before an instant. */
function filledAtMs(workMs: number, freeAtMs: readonly number[], fromMs: number): number {
  let sum = workMs
  for (let k = 0; k < freeAtMs.length; k++) {
    sum += Math.max(freeAtMs[k] ?? 0, fromMs)
    const atMs = sum / (k + 1)
    if (k + 1 === freeAtMs.length || atMs <= Math.max(freeAtMs[k + 1] ?? 0, fromMs)) return atMs
  }
  return Infinity
}

interface Best {
  readonly lateness: number
  readonly lastMs: number
}
const NOTHING: Best = { lateness: 0, lastMs: -Infinity }
const NEVER: Best = { lateness: Infinity, lastMs: Infinity }

/** What is left of an order, remembered by what is served and which station is in turn. */
export class Remainders {
  private readonly known = new Map<number, Rest>()
  private work = 0
  private readonly behind = new Map<number, Best>()
  private readonly ships: readonly Asked[]
  private readonly components: number
  private readonly parties: number
  private readonly partyShips: readonly number[]
  private readonly partyGroup: readonly number[]
  private readonly partyWeight: readonly number[]
  private readonly whole: boolean
  private readonly firstOf: ReadonlyMap<number, number>

  constructor(private readonly given: RestIn) {
    this.ships = given.ships.toSorted((a, b) => b.releaseAtMs - a.releaseAtMs)
    this.components = 1 + Math.max(0, ...given.places.map((place) => place.component))
    this.parties = 1 + Math.max(-1, ...this.ships.map((ship) => ship.party))
    const range = Array.from({ length: this.parties }, (_, party) => party)
    const of = (party: number): readonly Asked[] => this.ships.filter((ship) => ship.party === party)
    this.partyShips = range.map((party) => of(party).reduce((set, ship) => set | ship.bit, 0))
    this.partyGroup = range.map((party) => of(party)[0]?.group ?? -1)
    this.whole =
      this.parties <= MOST_PARTIES &&
      this.ships.every(({ party, group }) => party >= 0 && this.partyGroup[party] === group) &&
      new Set(this.partyGroup.filter((group) => group >= 0)).size ===
        this.partyGroup.filter((group) => group >= 0).length
    this.partyWeight = this.partyGroup.map((group) => given.weights[group] ?? 0)
    const firstOf = new Map<number, number>()
    given.places.forEach(({ tanker }, place) => {
      if (!firstOf.has(tanker)) firstOf.set(tanker, place)
    })
    this.firstOf = firstOf
  }

  /** What ships out of a set add at the places from `place` on, none of which is begun. */
  of(set: number, place: number): Rest {
    const key = set * 64 + place
    const known = this.known.get(key)
    if (known !== undefined) return known
    if (this.work > this.given.mostWork) return { groups: 0, ...NOTHING }
    let groups = 0
    const left = this.ships.filter((ship) => (set & ship.bit) === 0)
    for (const ship of left) groups |= 1 << ship.group
    const best = this.whole ? this.byTanker(set, place) : this.together(set, left, place)
    const rest = { groups, ...best }
    this.known.set(key, rest)
    return rest
  }

  /** When the stations of a component are free, from a place on to another, ascending. */
  private freeAt(component: number, from: number, to: number): number[] {
    const freeAtMs: number[] = []
    for (let place = from; place < to; place++) {
      const one = this.given.places[place]
      if (one?.component === component) freeAtMs.push(one.beginMs)
    }
    return freeAtMs.sort((a, b) => a - b)
  }

  /** More work of the parties of some ships none of which is served. */
  private more(served: number, ships: number): More {
    let workMs = 0
    let eachMs = 0
    for (let party = 0; party < this.parties; party++) {
      const all = this.partyShips[party] ?? 0
      const moreMs = this.given.moreMs[party] ?? 0
      if ((ships & all) === 0 || (served & all) !== 0 || moreMs === 0) continue
      workMs += moreMs
      eachMs = Math.max(eachMs, moreMs)
    }
    return workMs === 0 ? NO_MORE : { workMs, eachMs }
  }

  /** When all of some ships are over, component by component. */
  private overAt(served: number, ships: number, freeAtMs: readonly (readonly number[])[]): number {
    let overAtMs = -Infinity
    const more = this.components === 1 ? this.more(served, ships) : NO_MORE
    for (let component = 0; component < this.components; component++) {
      const free = freeAtMs[component] ?? []
      const endMs = allOverAtMs(this.ships, { set: ships, component, more }, free)
      if (endMs > overAtMs) overAtMs = endMs
    }
    return overAtMs
  }

  private together(set: number, left: readonly Asked[], place: number): Best {
    const free = Array.from({ length: this.components }, (_, component) =>
      this.freeAt(component, place, this.given.places.length)
    )
    const groups = [...new Set(left.map((ship) => ship.group))]
    const bits = left.reduce((some, ship) => some | ship.bit, 0)
    const lastMs = this.overAt(set, bits, free)
    if (lastMs === Infinity) return NEVER
    if (groups.length > MOST_GROUPS) return { lateness: 0, lastMs }
    const items = groups.map((group) => ({
      group,
      weight: this.given.weights[group] ?? 0,
      ships: left.reduce((some, ship) => (ship.group === group ? some | ship.bit : some), 0)
    }))
    return { lateness: this.inSequence(items, (ships) => this.overAt(set, ships, free)), lastMs }
  }

  /** The least lateness over all sequences in which items are over: each is late by the instant all so far are over. */
  private inSequence(
    items: readonly { readonly group: number; readonly weight: number; readonly ships: number }[],
    overAt: (ships: number) => number
  ): number {
    const least = new Float64Array(1 << items.length).fill(Infinity)
    this.work += least.length
    least[0] = 0
    for (let some = 1; some < least.length; some++) {
      let ships = 0
      for (let i = 0; i < items.length; i++) if ((some & (1 << i)) !== 0) ships |= items[i]?.ships ?? 0
      const overAtMs = overAt(ships)
      for (let i = 0; i < items.length; i++) {
        const item = items[i]
        if (item === undefined || (some & (1 << i)) === 0) continue
        const late = (least[some & ~(1 << i)] ?? 0) + item.weight * this.given.lateAt(item.group, overAtMs)
        if (late < (least[some] ?? Infinity)) least[some] = late
      }
    }
    return least[least.length - 1] ?? 0
  }

  /** Flights that stay whole: those begun end at the tanker in turn, the others may go to any from there on. */
  private byTanker(set: number, place: number): Best {
    let begun = 0
    let untouched = 0
    this.partyShips.forEach((ships, party) => {
      if (ships === 0 || (set & ships) === ships) return
      if ((set & ships) === 0) untouched |= 1 << party
      else begun |= 1 << party
    })
    const tanker = this.given.places[place]?.tanker
    if (tanker === undefined) return begun === 0 && untouched === 0 ? NOTHING : NEVER
    // Between two tankers no flight may be begun; one that is has ships at the tanker in turn.
    if (place === this.firstOf.get(tanker)) return begun === 0 ? this.from(place, untouched) : NEVER
    const next = this.nextTanker(place)
    const most = this.given.mostLateness
    let lateness = Infinity
    let lastMs = Infinity
    for (let here = untouched; ; here = (here - 1) & untouched) {
      const rest = this.from(next, untouched & ~here)
      if (rest.lateness <= most && (rest.lateness < lateness || rest.lastMs < lastMs)) {
        const own = this.at({ set, from: place, to: next, parties: begun | here })
        if (own.lateness + rest.lateness <= most) {
          lateness = Math.min(lateness, own.lateness + rest.lateness)
          lastMs = Math.min(lastMs, Math.max(own.lastMs, rest.lastMs))
        }
      }
      if (here === 0) break
    }
    return { lateness, lastMs }
  }

  private nextTanker(place: number): number {
    const tanker = this.given.places[place]?.tanker
    let next = place
    while (next < this.given.places.length && this.given.places[next]?.tanker === tanker) next++
    return next
  }

  /** Untouched parties at the tankers from a place on, the first of its tanker. */
  private from(place: number, parties: number): Best {
    if (parties === 0) return NOTHING
    if (place >= this.given.places.length) return NEVER
    const key = parties * 64 + place
    const known = this.behind.get(key)
    if (known !== undefined) return known
    const next = this.nextTanker(place)
    const most = this.given.mostLateness
    let lateness = Infinity
    let lastMs = Infinity
    for (let here = parties; ; here = (here - 1) & parties) {
      const rest = this.from(next, parties & ~here)
      if (rest.lateness <= most && (rest.lateness < lateness || rest.lastMs < lastMs)) {
        const own = this.at({ set: 0, from: place, to: next, parties: here })
        if (own.lateness + rest.lateness <= most) {
          lateness = Math.min(lateness, own.lateness + rest.lateness)
          lastMs = Math.min(lastMs, Math.max(own.lastMs, rest.lastMs))
        }
      }
      if (here === 0) break
    }
    const best = { lateness, lastMs }
    this.behind.set(key, best)
    return best
  }

  private readonly here = new Map<number, Best>()
  private readonly free = new Map<number, readonly (readonly number[])[]>()

  /** Parties at one tanker: what of them is not served yet. */
  private at({
    set,
    from,
    to,
    parties
  }: {
    readonly set: number
    readonly from: number
    readonly to: number
    readonly parties: number
  }): Best {
    if (parties === 0) return NOTHING
    let left = 0
    for (let party = 0; party < this.parties; party++)
      if ((parties & (1 << party)) !== 0) left |= (this.partyShips[party] ?? 0) & ~set
    const key = (from * (1 << MOST_PARTIES) + parties) * 2 ** MOST_SHIPS + left
    const known = this.here.get(key)
    if (known !== undefined) return known
    let free = this.free.get(from)
    if (free === undefined) {
      free = Array.from({ length: this.components }, (_, component) => this.freeAt(component, from, to))
      this.free.set(from, free)
    }
    const freeAtMs = free
    const lastMs = this.overAt(set, left, freeAtMs)
    let best = NEVER
    if (lastMs < Infinity) {
      const items = this.partyShips.flatMap((ships, party) =>
        (parties & (1 << party)) === 0
          ? []
          : [{ group: this.partyGroup[party] ?? -1, weight: this.partyWeight[party] ?? 0, ships: ships & ~set }]
      )
      best = { lateness: this.inSequence(items, (ships) => this.overAt(set, ships, freeAtMs)), lastMs }
    }
    this.here.set(key, best)
    return best
  }
}
