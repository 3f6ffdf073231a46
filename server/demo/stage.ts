import { addLink } from '../auth/links.ts'
import { onKey } from './key.ts'
import { play } from './player.ts'
import { demoEvent, type DemoParts } from './seed.ts'

/** The key that stops the play. */
const STOP_KEY = 's'

/**
 * Lets the demonstration, if there is one, play on over the service's own address, under a link of its own for as
 * long as it plays. What it gives stops it.
 */
export async function stageDemo({ store, clock }: Pick<DemoParts, 'store' | 'clock'>, address: string) {
  const eventId = await demoEvent(store)
  if (eventId === undefined) return undefined
  const { linkId, secret } = await addLink(store, { role: 'coordinator', eventId }, clock.nowMs())
  const stopping = new AbortController()
  const deaf = onKey(STOP_KEY, () => {
    stopping.abort()
  })
  const ended = play({ address, secret, signal: stopping.signal })
    .then((ending) => `The demonstration is no longer played: ${ending}.`)
    .catch((error: unknown) => `The demonstration broke off: ${error instanceof Error ? error.message : String(error)}`)
    .then(async (line) => {
      deaf()
      await store.revokeLink({ eventId, linkId, atMs: clock.nowMs() })
      console.log(line)
    })
  if (process.stdin.isTTY) console.log(`The demonstration plays by itself; the key ${STOP_KEY} stops it.`)
  return async (): Promise<void> => {
    stopping.abort()
    await ended
  }
}
