import { Sights, type ToSights } from './sights.ts'

const sights = new Sights()
let timer: ReturnType<typeof setTimeout> | undefined

/** Whatever has come meanwhile is heard before anything is seen: only the newest look counts. */
addEventListener('message', ({ data }: MessageEvent<ToSights>) => {
  sights.hear(data)
  timer ??= setTimeout(() => {
    timer = undefined
    const seen = sights.seen()
    if (seen !== undefined) postMessage(seen)
  })
})
