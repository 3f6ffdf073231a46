/*
 * Queues of a station as they grow, each with the one it came from. Of those that were put since the last layer began, of
 * the same ships, which make them worth the same, and the same flight last only the one that is over first is kept.
 */

export interface Grown {
  /** Its last ship, and the flight of that. */
  readonly ship: number
  readonly flight: number
  readonly overMs: number
  readonly worth: number
  /** What it was before that ship came, by index; below 0: nothing. */
  readonly from: number
}

const FIRST_ROOM = 1024
const BITS = 32

export class GrownQueues {
  count = 0
  overMs = new Float64Array(FIRST_ROOM)
  worth = new Float64Array(FIRST_ROOM)
  ship = new Int32Array(FIRST_ROOM)
  from = new Int32Array(FIRST_ROOM)
  private flight = new Int32Array(FIRST_ROOM)
  /** By queue so many words: a bit for each ship that is in it. */
  private sets: Int32Array
  private readonly words: number
  /** Where those of the layer are, by their hash: index + 1, 0 where there is none. */
  private places = new Int32Array(4 * FIRST_ROOM)
  private layerFrom = 0

  constructor(ships: number) {
    this.words = Math.max(1, Math.ceil(ships / BITS))
    this.sets = new Int32Array(FIRST_ROOM * this.words)
  }

  clear(): void {
    this.count = 0
    this.beginLayer()
  }

  beginLayer(): void {
    this.layerFrom = this.count
    this.places.fill(0)
  }

  has(queue: number, ship: number): boolean {
    return (((this.sets[queue * this.words + (ship >> 5)] ?? 0) >>> (ship & 31)) & 1) === 1
  }

  inTurn(queue: number): number[] {
    const ships: number[] = []
    for (let at = queue; at >= 0; at = this.from[at] ?? -1) ships.push(this.ship[at] ?? 0)
    return ships.reverse()
  }

  put(one: Grown): void {
    if (this.count === this.ship.length) this.grow()
    const at = this.count
    this.setShips(at, one)
    this.flight[at] = one.flight
    let place = this.hashOf(at) & (this.places.length - 1)
    for (let had = this.at(place); had >= 0; had = this.at(place)) {
      if (this.isAlike(had, at)) {
        if (one.overMs < (this.overMs[had] ?? 0)) this.write(had, one)
        return
      }
      place = (place + 1) & (this.places.length - 1)
    }
    this.places[place] = at + 1
    this.write(at, one)
    this.count++
    if ((this.count - this.layerFrom) * 2 > this.places.length) this.spread()
  }

  private at(place: number): number {
    return (this.places[place] ?? 0) - 1
  }

  private setShips(at: number, { ship, from }: Grown): void {
    const { sets, words } = this
    for (let word = 0; word < words; word++) {
      const before = from < 0 ? 0 : (sets[from * words + word] ?? 0)
      sets[at * words + word] = ship >> 5 === word ? before | (1 << (ship & 31)) : before
    }
  }

  private hashOf(at: number): number {
    let hash = (this.flight[at] ?? 0) * 31
    for (let word = 0; word < this.words; word++) {
      hash = Math.imul(hash ^ (this.sets[at * this.words + word] ?? 0), 0x9e3779b1)
      hash ^= hash >>> 15
    }
    return hash
  }

  private isAlike(a: number, b: number): boolean {
    if (this.flight[a] !== this.flight[b]) return false
    for (let word = 0; word < this.words; word++)
      if (this.sets[a * this.words + word] !== this.sets[b * this.words + word]) return false
    return true
  }

  private write(at: number, { overMs, worth, ship, from }: Grown): void {
    this.overMs[at] = overMs
    this.worth[at] = worth
    this.ship[at] = ship
    this.from[at] = from
  }

  private spread(): void {
    this.places = new Int32Array(this.places.length * 2)
    for (let queue = this.layerFrom; queue < this.count; queue++) {
      let place = this.hashOf(queue) & (this.places.length - 1)
      while (this.at(place) >= 0) place = (place + 1) & (this.places.length - 1)
      this.places[place] = queue + 1
    }
  }

  private grow(): void {
    const { overMs, worth, ship, from, flight, sets } = this
    const room = 2 * ship.length
    this.overMs = new Float64Array(room)
    this.overMs.set(overMs)
    this.worth = new Float64Array(room)
    this.worth.set(worth)
    this.ship = longer(ship)
    this.from = longer(from)
    this.flight = longer(flight)
    this.sets = longer(sets)
  }
}

function longer(array: Int32Array): Int32Array<ArrayBuffer> {
  const made = new Int32Array(2 * array.length)
  made.set(array)
  return made
}
