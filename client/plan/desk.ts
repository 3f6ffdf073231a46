import type { Plan } from '../../shared/contracts/plan.ts'
import type { View } from '../../shared/contracts/view.ts'
import { estimate } from '../../shared/live/estimate.ts'
import { emptyState } from '../../shared/live/state.ts'
import { blankDraft } from '../../shared/tables/draft.ts'
import { planOf, type Memory } from '../../shared/tables/judge.ts'
import { applyPaste, readPaste } from '../../shared/tables/paste.ts'
import type { CellFault, ChosenColumns, Draft, PastePreview, TableName } from '../../shared/tables/table.ts'
import { newsOf, type PictureNews } from '../picture.ts'
import type { Range } from './cursor.ts'
import { readPlaced } from './placed.ts'

/*
 * Works a draft out beside the page: the plan that its tables make, what the board would show of it, or every cell that is
 * faulty. What it needs of schemas and numbers comes in a bundle of its own. Of a draft only the tables that changed are
 * sent, of a picture only what is new.
 */

export interface PasteText {
  table: TableName
  text: string
  replace: boolean
  /** The cells that were chosen. */
  range: Range
  /** Columns that were chosen for headings that are not understood. */
  chosen: ChosenColumns
}

/** What the page says: the tables that changed first, then what it wants to know of them. */
export type ToDraftDesk =
  | { tables: Partial<Draft['tables']> }
  | { judge: number }
  | { ask: number; read: PasteText }
  | { ask: number; apply: PastePreview }

export type FromDraftDesk =
  | { judged: number; plan: Plan; news: PictureNews }
  | { judged: number; faults: readonly CellFault[] }
  | { ask: number; preview: PastePreview; isPlaced: boolean }
  | { ask: number; tables: Draft['tables'] }

export class DraftDesk {
  private draft: Draft = blankDraft()
  private last: View | undefined
  private readonly memory: Memory = {}

  /** The answer, where it is a question. */
  hear(message: ToDraftDesk): FromDraftDesk | undefined {
    if ('tables' in message) {
      this.draft = { tables: { ...this.draft.tables, ...message.tables } }
      return undefined
    }
    if ('judge' in message) return this.judge(message.judge)
    const { ask } = message
    if ('apply' in message) return { ask, tables: applyPaste(this.draft, message.apply).tables }
    const { text, table, replace, range, chosen } = message.read
    const placed = readPlaced(text, table, this.draft, range)
    const preview = placed ?? readPaste(text, table, this.draft, replace, chosen)
    return { ask, preview, isPlaced: placed !== undefined }
  }

  private judge(judged: number): FromDraftDesk {
    const read = planOf(this.draft, this.memory)
    if ('faults' in read) return { judged, faults: read.faults }
    const { plan } = read
    const view = estimate({ ...emptyState('computed'), plan, revision: 0 }, plan.opensAtMs)
    if (view === undefined) throw new RangeError('a plan without a view')
    const news = newsOf(this.last, view)
    this.last = view
    return { judged, plan, news }
  }
}
