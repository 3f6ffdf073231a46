import { clockText } from '../figures.ts'

/** How the page stands with the service. */
export type ContactState = 'connecting' | 'live' | 'silent' | 'retrying'

/** `lastFrameAtMs` is real time. */
export function contactSentence(state: ContactState, lastFrameAtMs: number | undefined): string {
  if (state === 'live') return 'live'
  if (lastFrameAtMs === undefined) return 'connecting'
  if (state === 'connecting') return 'connecting'
  return `no contact since ${clockText(lastFrameAtMs)}`
}
