import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { Table } from '../../../shared/live/table.ts'

/** A value set in one of the tables made so far: of few keys, so that most are met again. */
const steps = fc.array(
  fc.record({ from: fc.nat(), key: fc.constantFrom('', 'a', 'b', 'c', 'd', '__proto__'), value: fc.option(fc.nat()) }),
  { maxLength: 30 }
)

/** All that can be asked of one. */
const seenOf = (map: ReadonlyMap<string, unknown>) => {
  const each: unknown[] = []
  map.forEach((value, key) => each.push([key, value]))
  const got = ['', 'a', 'b', 'c', 'd', '__proto__', 'never'].map((key) => [map.has(key), map.get(key)])
  return {
    size: map.size,
    all: [...map],
    entries: [...map.entries()],
    keys: [...map.keys()],
    values: [...map.values()],
    each,
    got
  }
}

describe('a table', () => {
  it('is what a map would be, however it came about, and stays so when others are made of it', () => {
    let forks = 0
    fc.assert(
      fc.property(steps, (taken) => {
        const tables = [Table.empty<unknown>()]
        const maps = [new Map<string, unknown>()]
        for (const { from, key, value } of taken) {
          const at = from % tables.length
          if (at < tables.length - 1) forks += 1
          tables.push((tables[at] as Table<unknown>).with(key, value))
          maps.push(new Map(maps[at]).set(key, value))
        }
        expect(tables.map(seenOf)).toEqual(maps.map(seenOf))
      })
    )
    expect(forks).toBeGreaterThan(100)
  })

  it('is made of a map with its order, and is itself where it is made of one', () => {
    fc.assert(
      fc.property(fc.uniqueArray(fc.tuple(fc.string(), fc.nat()), { selector: ([key]) => key }), (entries) => {
        const table = Table.of(new Map(entries))
        expect([...table]).toEqual(entries)
        expect(Table.of(table)).toBe(table)
      })
    )
  })

  it('is equal to another of the same entries alone', () => {
    const table = Table.empty<number>().with('a', 1)
    table.with('b', 2)
    expect(table).toEqual(Table.empty<number>().with('a', 1))
    expect(table).not.toEqual(table.with('b', 2))
    expect(table).not.toEqual(table.with('a', 2))
    expect(table.with('b', 2)).not.toEqual(Table.empty<number>().with('b', 2).with('a', 1))
  })
})
