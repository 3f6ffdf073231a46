import { clockText } from '../figures.ts'

/** How the page stands with the service. */
export type ContactState = 'connecting' | 'live' | 'silent' | 'retrying' | 'ended'

/** `lastFrameAtMs` is real time. */
export function contactSentence(state: ContactState, lastFrameAtMs: number | undefined): string {
  if (state === 'live') return 'live'
  if (state === 'connecting') return 'connecting'
  if (state === 'ended') return 'link ended'
  if (lastFrameAtMs === undefined) return 'no contact yet'
  return `no contact since ${clockText(lastFrameAtMs)}`
}

/** Said when the service goes on from another log than the one this page had. */
export const BEGUN_ANEW =
  'The service was restored to an earlier record: this page has loaded it anew. What was recorded last may be gone; look at your last calls.'

/** Far enough off to be heard in what a person says the time is, ms. */
const FAR_OFF_MS = 30_000

/** Said of a device whose clock is far off; the page itself shows the service's time. */
export function clockSentence(skewMs: number): string {
  const seconds = Math.round(Math.abs(skewMs) / 1000)
  if (seconds * 1000 < FAR_OFF_MS) return ''
  const minutes = Math.round(seconds / 60)
  const hours = minutes >= 60 ? `${String(Math.floor(minutes / 60))} h ` : ''
  const far = seconds < 60 ? `${String(seconds)} s` : `${hours}${String(minutes % 60)} min`
  return `this device’s clock is ${far} ${skewMs > 0 ? 'slow' : 'fast'}`
}

/** Said when the service was replaced by another version while the page was open. */
export const OUTDATED = 'This page is older than the service.'
export const LOAD_AGAIN = 'Load it again'
