import { computed, shallowRef, watch, type ComputedRef, type Ref } from 'vue'
import type { View } from '../../shared/contracts/view.ts'
import { settle, urgencyOf, type Ranking } from '../ranking.ts'

/** So long rows stand before others move that do not press, ms: one change of place is followed by the eye, not several. */
const STAND_MS = 1_000

/**
 * The order rows are shown in: the view's ranking once it has settled, and no move while rows are held but of what comes to "soon" or "now". A margin shorter
 * than `soonS` is "soon".
 */
export function useRanking(
  view: Ref<View | undefined>,
  held: () => boolean,
  soonS: () => number
): ComputedRef<readonly string[]> {
  let movedAtMs = -Infinity
  const ranking = shallowRef<Ranking>({ shown: [], since: new Map() })
  watch(
    view,
    (seen) => {
      if (seen === undefined) return
      const wanted = seen.ships.toSorted((a, b) => a.rank - b.rank).map((ship) => ship.shipId)
      const ships = new Map(seen.ships.map((ship) => [ship.shipId, ship]))
      const slots = new Map(seen.slots.map((slot) => [slot.slotId, slot]))
      const before = ranking.value.shown
      ranking.value = settle(ranking.value, wanted, {
        nowMs: seen.atMs,
        held: held() || (seen.atMs >= movedAtMs && seen.atMs - movedAtMs < STAND_MS),
        urgency: (shipId) => {
          const ship = ships.get(shipId)
          return ship ? urgencyOf(ship, slots.get(ship.slotId ?? ''), soonS()) : 'calm'
        }
      })
      if (ranking.value.shown.some((shipId, place) => shipId !== before[place])) movedAtMs = seen.atMs
    },
    { immediate: true }
  )
  return computed(() => ranking.value.shown)
}
