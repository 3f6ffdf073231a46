import { ref, shallowRef, type Ref, type ShallowRef } from 'vue'
import type { View } from '../../shared/contracts/view.ts'
import type { Orders } from '../order.ts'

/** Which proposal is to be chosen when it comes. */
export type Choose = 'best' | 'repair' | 'anew'

export interface Wish {
  choose: Choose
  /** One asking from the next. */
  turn: number
  /** It is asked again because the last proposal was refused as stale. */
  stale: boolean
}

/** What a page shows of the order beside the rows: proposals, the list, a sheet to print. Each comes when it is asked for. */
export interface OrderDesk {
  /** Undefined while no proposal is asked for. */
  wish: ShallowRef<Wish | undefined>
  listOpen: Ref<boolean>
  /** What is being printed, as it was when that was asked for. */
  printed: ShallowRef<View | undefined>
  /** Orders that figures on the page are of, by their names; those of the moved order have none. */
  named: ShallowRef<ReadonlyMap<string, Orders>>
  suggest: (choose: Choose, stale?: boolean) => void
  close: () => void
  print: () => void
}

export function useOrder(view: Ref<View | undefined>): OrderDesk {
  const wish = shallowRef<Wish>()
  const printed = shallowRef<View>()
  let turn = 0
  return {
    wish,
    listOpen: ref(false),
    printed,
    named: shallowRef(new Map()),
    suggest: (choose, stale = false) => {
      wish.value = { choose, turn: ++turn, stale }
    },
    close: () => {
      wish.value = undefined
    },
    print: () => {
      printed.value = view.value
    }
  }
}
