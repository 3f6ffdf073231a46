import type { StationRow } from '../timetable.ts'
import type { Before } from './alone.ts'
import type { Part } from './part.ts'
import {
  goesOn,
  overAtMs,
  rootIn,
  sameStation,
  setsOf,
  stepsOf,
  withShip,
  type Step,
  type Table,
  type Work
} from './unit.ts'
import { Heads, Ways, putNewest } from './ways.ts'

/*
 * All that one tanker may serve of a part when flights come to it one after another: a flight's ships worst first, each at
 * any station of the tanker behind those that came before. Far fewer orders than all that keep flights whole. Of two ways
 * to serve the same flights the one that is nowhere earlier is forgotten.
 */

/** Whether no order better than the known one comes of a way. */
export interface HopelessBlocks {
  /** A flight is begun. */
  begun(ways: Ways, way: number): boolean
  /** All flights begun are over; more may come. */
  between(ways: Ways, way: number): boolean
  /** Nobody else comes to this tanker. */
  behind(ways: Ways, way: number): boolean
}

interface By {
  readonly before: readonly Before[]
  readonly hopeless: HopelessBlocks
  readonly work: Work
  readonly startLast: number
}

/** Ways to serve flights at a unit's stations in blocks and nowhere else; undefined when the work ends. */
export function blockTableOf<State>(part: Part<State>, unit: readonly StationRow[], by: By): Table | undefined {
  return new Blocks(part, unit, by).table()
}

/** A heads' second key says who is in turn and how many of its ships are dealt with. */
const SHIPS_A_KEY = 32

class Blocks<State> {
  private readonly ways: Ways
  private readonly heads = new Heads()
  private readonly steps: readonly Step[]
  /** By way, station after station: when it is free, event time ms, and who was on it: a kind + 1, 0 as it was found. */
  private readonly freeAtMs: number[] = []
  private readonly on: number[] = []
  /** By way: the party in turn, −1 none, and how many of its ships are served or lost. */
  private readonly party: number[] = []
  private readonly dealt: number[] = []
  /** By how many ships of all parties begun are served or lost. */
  private readonly byCount: number[][]
  /** Stations that are alike may be taken for each other. */
  private readonly swaps: readonly (readonly number[])[]

  constructor(
    private readonly part: Part<State>,
    unit: readonly StationRow[],
    private readonly by: By
  ) {
    this.ways = new Ways(part)
    this.steps = stepsOf(part, unit, by.before)
    this.byCount = Array.from({ length: part.ships + 1 }, () => [])
    const alike = (a: StationRow, b: StationRow): boolean =>
      a === b || sameStation(part, { station: a, before: by.before }, { station: b, before: by.before })
    this.swaps = permutations(unit.map((_, place) => place)).filter((swap) =>
      swap.every((to, place) => alike(unit[place] as StationRow, unit[to] as StationRow))
    )
  }

  table(): Table | undefined {
    const { part, ways, steps, byCount, by } = this
    const root = rootIn(ways, part, by.startLast)
    steps.forEach((step, place) => {
      this.freeAtMs[place] = step.freeAtMs
      this.on[place] = 0
    })
    if (!this.put(root, { party: -1, dealt: 0, count: 0 })) return undefined
    const over: number[] = []
    for (const [count, here] of byCount.entries()) {
      // Nothing is put among those of the same count while they are gone through.
      for (const way of here) {
        if (ways.dead[way] === 1) continue
        const inTurn = this.party[way] ?? -1
        if (inTurn < 0) over.push(way)
        const coming = inTurn < 0 ? this.untouched(way) : [inTurn]
        for (const party of coming) if (!this.extend(way, party, count + 1)) return undefined
      }
    }
    const left = over.filter((way) => ways.dead[way] === 0 && !by.hopeless.behind(ways, way))
    return { ways, sets: setsOf(part, ways, left) }
  }

  private untouched(way: number): number[] {
    const set = this.ways.set[way] ?? 0
    return this.part.parties.flatMap(({ mask }, party) => ((set & mask) === 0 ? [party] : []))
  }

  /** The next ship of a party at each station, and lost where that may be; false when the work ends. */
  private extend(way: number, party: number, count: number): boolean {
    const { part, ways, steps, freeAtMs, on } = this
    const turn = part.turns[party] ?? []
    const dealt = this.party[way] === party ? (this.dealt[way] ?? 0) : 0
    const k = turn[dealt] ?? -1
    const kind = part.kinds[k]
    if (kind === undefined) return true
    const next = { party: dealt + 1 === turn.length ? -1 : party, dealt: dealt + 1, count }
    const width = steps.length
    for (const [place, step] of steps.entries()) {
      const changeMs = step.changeMs[on[way * width + place] ?? 0]?.[k] ?? 0
      const overMs = overAtMs(kind, step, (freeAtMs[way * width + place] ?? 0) + changeMs)
      if (overMs === undefined) continue
      const made = withShip(ways, part, way, { k, overMs })
      ways.station[made] = place
      this.copyStations(made, way)
      freeAtMs[made * width + place] = overMs
      on[made * width + place] = k + 1
      if (!this.putUnlessHopeless(made, next)) return false
    }
    const noneServed = ((ways.set[way] ?? 0) & (part.parties[party]?.mask ?? 0)) === 0
    if (kind.must || (next.party < 0 && noneServed)) return true
    return this.putUnlessHopeless(this.withoutShip(way), next)
  }

  /** The same again: the next ship of the party in turn is lost. */
  private withoutShip(way: number): number {
    const { ways } = this
    const made = ways.add()
    const { groups } = ways
    for (const values of [ways.set, ways.last, ways.mustCost, ways.cost]) values[made] = values[way] ?? 0
    ways.late.copyWithin(made * groups, way * groups, (way + 1) * groups)
    ways.from[made] = way
    ways.with[made] = -1
    this.copyStations(made, way)
    return made
  }

  private copyStations(to: number, from: number): void {
    const width = this.steps.length
    for (let place = 0; place < width; place++) {
      this.freeAtMs[to * width + place] = this.freeAtMs[from * width + place] ?? 0
      this.on[to * width + place] = this.on[from * width + place] ?? 0
    }
  }

  private putUnlessHopeless(
    way: number,
    at: { readonly party: number; readonly dealt: number; readonly count: number }
  ): boolean {
    const { ways, by } = this
    if (by.hopeless[at.party < 0 ? 'between' : 'begun'](ways, way)) {
      ways.count--
      return true
    }
    return this.put(way, at)
  }

  /** The newest way among those with the same ships, unless another one is as good; false when the work ends. */
  private put(way: number, at: { readonly party: number; readonly dealt: number; readonly count: number }): boolean {
    const { ways, heads } = this
    this.party[way] = at.party
    this.dealt[way] = at.dealt
    const more = goesOn(this.by.work)
    const place = heads.placeOf(ways.set[way] ?? 0, at.party < 0 ? 0 : (at.party + 1) * SHIPS_A_KEY + at.dealt)
    if (putNewest(ways, heads, { way, at: place }, this.covers)) this.byCount[at.count]?.push(way)
    return more
  }

  /** Whatever comes behind both, the first one is as good. */
  private readonly covers = (a: number, b: number): boolean => {
    return this.ways.asGood(a, b) && this.swaps.some((swap) => this.isFreeBefore(a, b, swap))
  }

  private isFreeBefore(a: number, b: number, swap: readonly number[]): boolean {
    const { steps, freeAtMs, on } = this
    const width = steps.length
    for (let place = 0; place < width; place++) {
      const [one, other] = [a * width + (swap[place] ?? 0), b * width + place]
      const handicapMs = steps[place]?.handicapMs[on[one] ?? 0]?.[on[other] ?? 0] ?? Infinity
      if ((freeAtMs[one] ?? 0) + Math.max(0, handicapMs) > (freeAtMs[other] ?? 0)) return false
    }
    return true
  }
}

function permutations(places: readonly number[]): number[][] {
  if (places.length === 0) return [[]]
  return places.flatMap((first) => permutations(places.filter((one) => one !== first)).map((rest) => [first, ...rest]))
}
