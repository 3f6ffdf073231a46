import type { Fact, FactOf } from '../shared/contracts/facts.ts'
import type { Sequence } from '../shared/contracts/plan.ts'
import { orderOf, type LiveState } from '../shared/live/state.ts'
import { clockText } from './figures.ts'
import type { Labels } from './labels.ts'
import { STALE } from './words/stale.ts'

/** Moved ships named for one tanker; the others are counted. */
const MOST = 3

/** What has changed of the orders of these tankers since a fact, and by whom, a sentence for each; empty while nothing is known of it. */
export function changedSince(
  seq: number,
  tankerIds: readonly string[],
  {
    log,
    state,
    labels,
    nameOf
  }: { log: readonly Fact[]; state: LiveState; labels: Labels; nameOf: (linkId: string) => string }
): string {
  return tankerIds
    .flatMap((tankerId) => {
      const since = log.filter((fact) => fact.seq > seq && changes(fact, tankerId, log))
      const last = since.at(-1)
      if (last === undefined) return []
      const moved = movedShips(sequencesAt(seq, tankerId, log, state), orderOf(state, tankerId).sequences)
      const places = moved
        .slice(0, MOST)
        .map(({ shipId, stationId, place }) =>
          stationId === undefined
            ? STALE.gone(labels.ship(shipId))
            : STALE.placed(labels.ship(shipId), labels.station(tankerId, stationId), place)
        )
      return [
        STALE.changed({
          tanker: labels.tanker(tankerId),
          by: nameOf(last.by),
          at: clockText(last.atMs),
          places,
          more: moved.length - places.length
        })
      ]
    })
    .join(' ')
}

function changes(fact: Fact, tankerId: string, log: readonly Fact[]): boolean {
  if (fact.kind === 'orderSet') return fact.tankerId === tankerId
  if (fact.kind === 'planAdopted') return true
  const withdrawn = fact.kind === 'factWithdrawn' ? log[fact.withdrawnSeq - 1] : undefined
  return withdrawn?.kind === 'orderSet' && withdrawn.tankerId === tankerId
}

/** The order of a tanker as it was read. */
function sequencesAt(seq: number, tankerId: string, log: readonly Fact[], state: LiveState): readonly Sequence[] {
  const upTo = log.filter((fact) => fact.seq <= seq)
  const gone = new Set(upTo.flatMap((fact) => (fact.kind === 'factWithdrawn' ? fact.withdrawnSeq : [])))
  const adopted = upTo.findLast((fact): fact is FactOf<'planAdopted'> => fact.kind === 'planAdopted')
  const set = upTo.findLast(
    (fact): fact is FactOf<'orderSet'> => fact.kind === 'orderSet' && fact.tankerId === tankerId && !gone.has(fact.seq)
  )
  if (set !== undefined && set.seq > (adopted?.seq ?? 0)) return set.sequences
  const plan = adopted?.plan ?? state.plan
  return plan?.orders.find((order) => order.tankerId === tankerId)?.sequences ?? []
}

/** Ships that stand elsewhere now, from 1; without a station they stand there no more. */
function movedShips(before: readonly Sequence[], now: readonly Sequence[]) {
  const placesOf = (sequences: readonly Sequence[]) =>
    new Map(
      sequences.flatMap(({ stationId, slots }) =>
        slots.map(({ id, shipId }, index) => [id as string, { shipId: shipId, stationId, place: index + 1 }])
      )
    )
  const [were, are] = [placesOf(before), placesOf(now)]
  const moved = [...are].flatMap(([id, place]) => {
    const was = were.get(id)
    return was?.stationId === place.stationId && was.place === place.place ? [] : [place]
  })
  const gone = [...were].flatMap(([id, was]) =>
    are.has(id) ? [] : [{ shipId: was.shipId, stationId: undefined, place: 0 }]
  )
  return [...moved, ...gone]
}
