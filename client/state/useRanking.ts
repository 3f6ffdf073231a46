import { computed, shallowRef, watch, type ComputedRef, type Ref } from 'vue'
import type { View } from '../../shared/contracts/view.ts'
import { settle, type Ranking } from '../ranking.ts'

/** The order rows are shown in: the view's ranking once it has settled, and no move while rows are held. */
export function useRanking(view: Ref<View | undefined>, held: () => boolean): ComputedRef<readonly string[]> {
  const ranking = shallowRef<Ranking>({ shown: [], since: new Map() })
  watch(
    view,
    (seen) => {
      if (seen === undefined) return
      const wanted = seen.ships.toSorted((a, b) => a.rank - b.rank).map((ship) => ship.shipId)
      ranking.value = settle(ranking.value, wanted, { nowMs: seen.atMs, held: held() })
    },
    { immediate: true }
  )
  return computed(() => ranking.value.shown)
}
