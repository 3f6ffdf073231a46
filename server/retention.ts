import type { Clock } from './clock.ts'
import type { Rooms } from './live/rooms.ts'
import type { Store } from './store/store.ts'

const DAY_MS = 24 * 3_600_000
const LOOK_EVERY_MS = 3_600_000

interface RetentionParts {
  store: Store
  rooms: Rooms
  clock: Clock
  /** Days without anything saved or recorded, after which an event is deleted. */
  keepDays: number
  tell: (line: string) => void
}

/** Deletes events that were kept long enough, now. */
export async function deleteOld({ store, rooms, clock, keepDays, tell }: RetentionParts): Promise<void> {
  for (const eventId of await store.untouchedBefore(clock.nowMs() - keepDays * DAY_MS)) {
    if (await rooms.delete(eventId)) tell(`The event ${eventId} was kept for ${String(keepDays)} days and is deleted.`)
  }
}

/** Does so at once and every hour, until the answer is called. A disk that is full now may not be in an hour. */
export function keepFor(parts: RetentionParts): () => void {
  const look = (): void => {
    void deleteOld(parts).catch((error: unknown) => {
      parts.tell(`Old events could not be deleted: ${error instanceof Error ? error.message : String(error)}.`)
    })
  }
  look()
  const timer = setInterval(look, LOOK_EVERY_MS)
  return () => {
    clearInterval(timer)
  }
}
