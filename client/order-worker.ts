import { Desk, type ToDesk } from './order-desk.ts'

/*
 * Looks for better orders beside the page. What it needs comes in a bundle of its own: the first load of the board knows
 * nothing of it.
 */

const desk = new Desk()
let timer: ReturnType<typeof setTimeout> | undefined

/** Between two answers whatever has come meanwhile is heard. */
function work() {
  timer = undefined
  const answer = desk.answer((early) => {
    postMessage(early)
  })
  if (answer === undefined) return
  timer = setTimeout(work)
  postMessage(answer)
}

addEventListener('message', ({ data }: MessageEvent<ToDesk>) => {
  desk.hear(data)
  timer ??= setTimeout(work)
})
