import { onScopeDispose } from 'vue'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { View } from '../../shared/contracts/view.ts'
import { pictureOf, type PictureNews, type ToPainter } from '../picture.ts'
import { unsaidOf } from '../unsaid.ts'

export interface Picture {
  /** Asks for the picture of an instant of event time, with all facts folded so far. */
  ask: (atMs: number) => void
}

/** Pictures made beside the page: one at a time, and the newest instant next. `fail` is told when there are none to come. */
export function usePicture(parts: {
  eventId: string
  log: readonly Fact[]
  show: (view: View) => void
  fail: () => void
}): Picture {
  const worker = new Worker(new URL('../picture-worker.ts', import.meta.url), { type: 'module' })
  const say = (message: ToPainter) => {
    worker.postMessage(message)
  }
  const unsaid = unsaidOf(parts.log)
  let asked = false
  let waitingAtMs: number | undefined
  let last: View | undefined
  say({ eventId: parts.eventId })

  function ask(atMs: number) {
    waitingAtMs = atMs
    if (!asked) send()
  }
  function send() {
    if (waitingAtMs === undefined) return
    asked = true
    const { anew, facts } = unsaid()
    if (anew) say({ eventId: parts.eventId })
    if (facts.length > 0) say({ facts })
    say({ atMs: waitingAtMs })
    waitingAtMs = undefined
  }

  worker.addEventListener('message', ({ data }: MessageEvent<PictureNews | null>) => {
    asked = false
    if (data !== null) {
      last = pictureOf(last, data)
      parts.show(last)
    }
    send()
  })
  worker.addEventListener('error', parts.fail)
  onScopeDispose(() => {
    worker.terminate()
  })
  return { ask }
}
