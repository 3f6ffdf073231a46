import type { Part } from './part.ts'
import { goesOn, putBest, type Table, type Work } from './unit.ts'
import { Heads, Ways } from './ways.ts'

/*
 * Ways at some tankers and ways at others, put together where they serve different ships.
 */

/** Pairs of ways that are as much work as one way. */
const PAIRS_A_WAY = 8

/** The sets have no ship in common, nor ships of one flight that stays whole. */
function apart<State>({ kinds, parties, mixed }: Checks<State>, a: number, b: number): boolean {
  if (!mixed) {
    if ((a & b) !== 0) return false
  } else for (const { mask, all } of kinds) if ((a & mask) + (b & mask) > all) return false
  for (const { mask } of parties) if ((a & mask) !== 0 && (b & mask) !== 0) return false
  return true
}

interface Checks<State> extends Pick<Part<State>, 'kinds' | 'parties'> {
  /** Some kind has more than one ship. */
  readonly mixed: boolean
}

interface By {
  readonly hopeless: (ways: Ways, way: number) => boolean
  readonly work: Work
  /** Only all ships of the part will do. */
  readonly whole: boolean
  /** Sets that will do. */
  readonly fits: (set: number) => boolean
}

/** All that both may serve together; undefined when the work ends. */
export function joined<State>(part: Part<State>, one: Table, other: Table, by: By): Table | undefined {
  const ways = new Ways(part)
  const heads = new Heads()
  const sets: number[] = []
  const checks = { kinds: part.kinds, parties: part.parties, mixed: part.kinds.some((kind) => kind.rows.length > 1) }
  const bySet = new Map(other.sets.map((b) => [b.set, [b]]))
  for (const a of one.sets) {
    for (const b of by.whole ? (bySet.get(part.all - a.set) ?? []) : other.sets) {
      if (!apart(checks, a.set, b.set)) continue
      const set = a.set + b.set
      if (!by.fits(set)) continue
      const at = heads.placeOf(set)
      const had = heads.head(at)
      if (!putAll(part, { ways, heads, at, set }, { a: [one.ways, a.head], b: [other.ways, b.head] }, by))
        return undefined
      if (had < 0 && heads.head(at) >= 0) sets.push(set)
    }
  }
  return { ways, sets: sets.map((set) => ({ set, head: heads.headOf(set) })), of: [one, other] }
}

/** Each of one list with each of another; false when the work ends. */
function putAll<State>(
  part: Part<State>,
  into: { readonly ways: Ways; readonly heads: Heads; readonly at: number; readonly set: number },
  from: { readonly a: readonly [Ways, number]; readonly b: readonly [Ways, number] },
  by: By
): boolean {
  const { ways, heads, at, set } = into
  const [[as, firstA], [bs, firstB]] = [from.a, from.b]
  const { groups } = ways
  let pairs = 0
  for (let a = firstA; a >= 0; a = as.next[a] ?? -1) {
    for (let b = firstB; b >= 0; b = bs.next[b] ?? -1) {
      if (++pairs % PAIRS_A_WAY === 0 && !goesOn(by.work)) return false
      const way = ways.add()
      let [cost, mustCost] = [0, 0]
      for (let group = 0; group < groups; group++) {
        const late = Math.max(as.late[a * groups + group] ?? 0, bs.late[b * groups + group] ?? 0)
        ways.late[way * groups + group] = late
        cost += late * (part.weights[group] ?? 0)
        mustCost += late * (part.mustWeights[group] ?? 0)
      }
      ways.set[way] = set
      ways.cost[way] = cost
      ways.mustCost[way] = mustCost
      ways.last[way] = Math.max(as.last[a] ?? 0, bs.last[b] ?? 0)
      ways.from[way] = a
      ways.with[way] = b
      if (by.hopeless(ways, way) || !putBest(ways, heads, at, way)) ways.count--
    }
  }
  return true
}
