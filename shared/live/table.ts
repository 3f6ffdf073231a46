/**
 * A map that is never changed: `with` gives another one, and what is the same in both is shared. Versions that differ in
 * a value alone have their keys in common, so that a new one costs the copy of a list and not that of a map; the state
 * of an event is made anew for every fact.
 */
export class Table<V> implements ReadonlyMap<string, V> {
  /**
   * The place of every key in the lists of values, in their order. Grows with the newest version: a place behind its own
   * values tells a version that the key came later.
   */
  readonly #places: Map<string, number>
  readonly #values: readonly V[]

  private constructor(places: Map<string, number>, values: readonly V[]) {
    this.#places = places
    this.#values = values
  }

  static empty<V>(): Table<V> {
    return new Table<V>(new Map(), [])
  }

  /** The same entries in the same order. */
  static of<V>(entries: ReadonlyMap<string, V>): Table<V> {
    if (entries instanceof Table) return entries as Table<V>
    const places = new Map([...entries.keys()].map((key, place) => [key, place]))
    return new Table(places, [...entries.values()])
  }

  get size(): number {
    return this.#values.length
  }

  /** A table in which the key has this value: where it was, or behind all others. */
  with(key: string, value: V): Table<V> {
    const values = this.#values.slice()
    const place = this.#places.get(key)
    if (place !== undefined && place < values.length) {
      values[place] = value
      return new Table(this.#places, values)
    }
    // A key that another version has gained does not stand where it would in this one.
    const places =
      this.#places.size === values.length ? this.#places : new Map([...this.#places].slice(0, values.length))
    places.set(key, values.length)
    values.push(value)
    return new Table(places, values)
  }

  get(key: string): V | undefined {
    const place = this.#places.get(key)
    // Nothing stands behind the end, where the places of later keys are.
    return place === undefined ? undefined : this.#values[place]
  }

  has(key: string): boolean {
    return (this.#places.get(key) ?? Infinity) < this.#values.length
  }

  *keys(): MapIterator<string> {
    let left = this.#values.length
    for (const key of this.#places.keys()) {
      if (left-- === 0) return
      yield key
    }
  }

  values(): MapIterator<V> {
    return this.#values.values()
  }

  *entries(): MapIterator<[string, V]> {
    let place = 0
    for (const key of this.keys()) yield [key, this.#values[place++] as V]
  }

  [Symbol.iterator](): MapIterator<[string, V]> {
    return this.entries()
  }

  forEach(act: (value: V, key: string, map: ReadonlyMap<string, V>) => void): void {
    for (const [key, value] of this) act(value, key, this)
  }
}
