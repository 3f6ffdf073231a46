import { DraftDesk, type ToDraftDesk } from './plan/desk.ts'

/* Works drafts out beside the page. The page asks for one judgement at a time, and then for that of the newest draft. */

const desk = new DraftDesk()

addEventListener('message', ({ data }: MessageEvent<ToDraftDesk>) => {
  const answer = desk.hear(data)
  if (answer !== undefined) postMessage(answer)
})
