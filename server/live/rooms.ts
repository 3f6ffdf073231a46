import type { EventId } from '../../shared/contracts/ids.ts'
import type { Clock } from '../clock.ts'
import { Problem } from '../problem.ts'
import type { Store } from '../store/store.ts'
import type { Pool } from '../work/pool.ts'
import { Journal } from './journal.ts'
import { openRoom, type Room } from './room.ts'

interface RoomsParts {
  store: Store
  clock: Clock
  version: string
  pool: Pool
}

/** The rooms in memory; one is folded from the store when it is first asked for, and anew after it was lost. */
export class Rooms {
  readonly #parts: RoomsParts
  readonly #journal: Journal
  readonly #opening = new Map<string, Promise<Room>>()
  readonly #open = new Map<string, Room>()

  constructor(parts: RoomsParts) {
    this.#parts = parts
    this.#journal = new Journal(parts.store)
    parts.store.onTrouble((trouble) => {
      for (const room of this.#open.values()) room.stream.tellTrouble(trouble ?? null)
    })
  }

  /** @throws Problem `not-found` when there is no such event */
  of(eventId: EventId): Promise<Room> {
    const opening = this.#opening.get(eventId) ?? this.#enter(eventId)
    this.#opening.set(eventId, opening)
    return opening
  }

  async #enter(eventId: EventId): Promise<Room> {
    try {
      if ((await this.#parts.store.event(eventId)) === undefined) throw new Problem('not-found')
      const room: Room = await openRoom(eventId, {
        store: this.#parts.store,
        journal: this.#journal,
        clock: this.#parts.clock,
        version: this.#parts.version,
        pool: this.#parts.pool,
        onLost: () => {
          this.#forget(eventId)
        }
      })
      this.#open.set(eventId, room)
      return room
    } catch (error) {
      this.#forget(eventId)
      throw error
    }
  }

  #forget(eventId: EventId): void {
    this.#opening.delete(eventId)
    this.#open.delete(eventId)
  }

  /** Call once a second. */
  tick(): void {
    for (const room of this.#open.values()) room.tick()
  }

  /** Ends what a revoked link holds open. */
  dropLink(eventId: EventId, linkId: string): void {
    this.#open.get(eventId)?.stream.dropLink(linkId)
  }

  /** Lets what was decided reach the store and ends every search, then every socket. */
  async close(): Promise<void> {
    await Promise.all([this.#journal.drained(), this.#parts.pool.close()])
    for (const room of this.#open.values()) room.stream.end()
  }
}
