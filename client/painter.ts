import type { View } from '../shared/contracts/view.ts'
import { estimate } from '../shared/live/estimate.ts'
import { reduce } from '../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../shared/live/state.ts'
import { newsOf, type PictureNews, type ToPainter } from './picture.ts'

/** Works pictures out beside the page; apart from what the page itself needs of them, which comes with its first load. */
export class Painter {
  private state: LiveState = emptyState('')
  private last: View | undefined
  private wantedAtMs: number | undefined

  hear(message: ToPainter): void {
    if ('eventId' in message) this.state = emptyState(message.eventId)
    else if ('atMs' in message) this.wantedAtMs = message.atMs
    else for (const fact of message.facts) if (fact.seq > this.state.seq) this.state = reduce(this.state, fact)
  }

  /** The picture of the instant asked for last; undefined where none was, or while there is no plan. */
  paint(): PictureNews | undefined {
    const atMs = this.wantedAtMs
    this.wantedAtMs = undefined
    const now = atMs === undefined ? undefined : estimate(this.state, atMs)
    if (now === undefined) return undefined
    const news = newsOf(this.last, now)
    this.last = now
    return news
  }
}
