import { computed, ref, shallowRef, type ComputedRef, type Ref, type ShallowRef } from 'vue'
import type { Plan } from '../../shared/contracts/plan.ts'
import { library } from '../../shared/library/library.ts'
import { draftOf } from '../../shared/tables/draft.ts'
import { addRow } from '../../shared/tables/edit.ts'
import type { Draft, Row, TableName } from '../../shared/tables/table.ts'
import {
  isLibraryTable,
  isThere,
  itemOf,
  itemsOf,
  libraryIn,
  libraryText,
  withItem,
  type LibraryItem
} from '../plan/library.ts'
import { LIBRARY } from '../words/tables.ts'

const KEY = 'ullage library'

export interface OwnLibrary {
  /** Invented types to begin with. */
  shipped: readonly LibraryItem[]
  mine: ShallowRef<readonly LibraryItem[]>
  told: Ref<string>
  keep: (item: LibraryItem) => void
  remove: (item: LibraryItem) => void
  /** The row of a table as it would be kept; undefined where it is none of those that can be. */
  itemAt: (draft: Draft, table: TableName, row: Row | undefined) => LibraryItem | undefined
  /** The draft with a thing of the library; undefined where one of its name is there already. */
  added: (draft: Draft, item: LibraryItem) => Draft | undefined
  /** The whole library as the address of a file. */
  file: ComputedRef<string>
  take: (text: string) => void
}

/** Types, tracks and bases that this browser keeps beside any plan. */
export function useLibrary(): OwnLibrary {
  const kept = libraryIn(stored() ?? '')
  const mine = shallowRef<readonly LibraryItem[]>(kept?.items ?? [])
  const told = ref(LIBRARY.leftOut(kept?.leftOut ?? []))

  function put(items: readonly LibraryItem[], said: string) {
    mine.value = items
    try {
      localStorage.setItem(KEY, libraryText(items))
      told.value = said
    } catch {
      told.value = LIBRARY.full
    }
  }
  return {
    shipped: shippedItems(),
    mine,
    told,
    keep: (item) => {
      put(withItem(mine.value, item), LIBRARY.kept(item.label))
    },
    remove: (item) => {
      put(
        mine.value.filter((one) => one !== item),
        ''
      )
    },
    itemAt: (draft, table, row) => (row !== undefined && isLibraryTable(table) ? itemOf(draft, table, row) : undefined),
    added: (draft, item) => {
      const there = isThere(draft, item)
      told.value = there ? LIBRARY.there(item.label) : LIBRARY.added(item.label)
      return there ? undefined : item.rows.reduce((now, { table, cells }) => addRow(now, table, cells).draft, draft)
    },
    file: computed(() => `data:application/json;charset=utf-8,${encodeURIComponent(libraryText(mine.value))}`),
    take: (text) => {
      const read = libraryIn(text)
      if (read === undefined) {
        told.value = LIBRARY.badFile
        return
      }
      const { items, leftOut } = read
      const said = [LIBRARY.imported(items.length), LIBRARY.leftOut(leftOut)].filter((one) => one !== '').join(' ')
      put(items.reduce<readonly LibraryItem[]>(withItem, mine.value), said)
    }
  }
}

function stored(): string | null {
  try {
    return localStorage.getItem(KEY)
  } catch {
    return null
  }
}

/** The shipped types as rows of tables: those of a plan that has nothing else. */
function shippedItems(): LibraryItem[] {
  const { receivers, tankers } = library()
  const nothing = { clearances: [], bases: [], tracks: [], tankers: [], pushGroups: [], flights: [], orders: [] }
  const plan = { opensAtMs: 0, receiverTypes: receivers, tankerTypes: tankers, ...nothing } as unknown as Plan
  return itemsOf(draftOf(plan))
}
