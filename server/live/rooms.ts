import type { EventId } from '../../shared/contracts/ids.ts'
import type { Clock } from '../clock.ts'
import { Problem } from '../problem.ts'
import type { Store } from '../store/store.ts'
import type { Pool } from '../work/pool.ts'
import { Journal, type Recorded } from './journal.ts'
import { openRoom, type Room } from './room.ts'

interface RoomsParts {
  store: Store
  clock: Clock
  version: string
  pool: Pool
}

/** A room in which nobody has looked or asked for so long leaves the memory; it is folded anew when it is asked for. */
const IDLE_MS = 10 * 60_000

/** The rooms in memory; one is folded from the store when it is first asked for, and anew after it was lost. */
export class Rooms {
  readonly #parts: RoomsParts
  readonly #journal: Journal
  readonly #opening = new Map<string, Promise<Room>>()
  readonly #open = new Map<string, Room>()
  /** When a room was last asked for or looked at, on the clock of spans. */
  readonly #usedAtMs = new Map<string, number>()

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
    this.#usedAtMs.set(eventId, this.#parts.clock.elapsedMs())
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
    this.#usedAtMs.delete(eventId)
  }

  /** Call once a second. */
  tick(): void {
    const nowMs = this.#parts.clock.elapsedMs()
    for (const room of this.#open.values()) {
      room.tick()
      if (room.isBusy) this.#usedAtMs.set(room.eventId, nowMs)
      else if (nowMs - (this.#usedAtMs.get(room.eventId) ?? nowMs) > IDLE_MS) this.#forget(room.eventId)
    }
  }

  /** What was recorded since the start, and how long its commits took. */
  get recorded(): Readonly<Recorded> {
    return this.#journal.recorded
  }

  /** The rooms in memory. */
  get open(): readonly Room[] {
    return [...this.#open.values()]
  }

  /** Deletes an event whole, unless somebody has it before him. Whether it was deleted. */
  async delete(eventId: EventId): Promise<boolean> {
    if (this.#open.get(eventId)?.isBusy === true) return false
    this.#forget(eventId)
    return this.#parts.store.deleteEvent(eventId, this.#parts.clock.nowMs())
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
