import { Painter } from './painter.ts'
import type { ToPainter } from './picture.ts'

const painter = new Painter()
let timer: ReturnType<typeof setTimeout> | undefined

/** Whatever has come meanwhile is heard before a picture is worked out: only the newest instant counts. */
addEventListener('message', ({ data }: MessageEvent<ToPainter>) => {
  painter.hear(data)
  timer ??= setTimeout(() => {
    timer = undefined
    // An answer of nothing is one too: the page asks again.
    postMessage(painter.paint() ?? null)
  })
})
