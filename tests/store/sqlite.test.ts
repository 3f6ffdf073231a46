import Database from 'better-sqlite3'
import { getTableConfig, type SQLiteTable } from 'drizzle-orm/sqlite-core'
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
import { ROOT } from '../../server/root.ts'
import * as schema from '../../server/store/sqlite/schema.ts'
import { migrate } from '../../server/store/sqlite/migrations.ts'
import { openSqlite } from '../../server/store/sqlite/file.ts'
import { eventId } from '../../shared/contracts/ids.ts'
import { OPENS_AT_MS, smallPlan } from '../server/plan.ts'
import { storeContract } from './contract.ts'

const newDir = () => mkdtempSync(join(tmpdir(), 'ullage-store-'))

storeContract('SQLite', () => {
  const dir = newDir()
  return Promise.resolve({
    open: () => Promise.resolve(openSqlite(join(dir, 'data', 'ullage.sqlite'))),
    remove: () => {
      rmSync(dir, { recursive: true })
      return Promise.resolve()
    }
  })
})

describe('the SQLite file', () => {
  let dir: string
  let file: string
  beforeEach(() => {
    dir = newDir()
    file = join(dir, 'ullage.sqlite')
  })
  afterEach(() => {
    rmSync(dir, { recursive: true })
  })

  it('is written through to the disk before a write is answered: WAL with synchronous FULL, on its own connection', async () => {
    const store = openSqlite(file)
    expect(store.durability).toEqual({ journalMode: 'wal', synchronous: 2, foreignKeys: 1 })
    await store.close()
  })

  it('is readable by its owner alone', async () => {
    const store = openSqlite(file)
    expect(statSync(file).mode & 0o777).toBe(0o600)
    await store.close()
  })

  it('refuses to change or delete what the log, the requests and the plan revisions hold', async () => {
    const store = openSqlite(file)
    const event = eventId.parse('e-small')
    await store.createEvent({ eventId: event, plan: smallPlan(), savedAtMs: OPENS_AT_MS, savedBy: 'l-1' })
    await store.close()
    const database = new Database(file)
    database.exec(`INSERT INTO facts VALUES ('e-small', 1, 1, 'eventOpened', 1, 1, 'l-1', 'request-1', '{}');
      INSERT INTO requests VALUES ('e-small', 'request-1', 1, 1, 'hash')`)
    const attempts = [
      `UPDATE facts SET body = '{"a":1}'`,
      'DELETE FROM facts',
      'UPDATE requests SET last_seq = 2',
      'DELETE FROM requests',
      `UPDATE plan_revisions SET document = '{}'`,
      'DELETE FROM plan_revisions'
    ]
    for (const attempt of attempts) expect(() => database.exec(attempt), attempt).toThrow(/never (changed|deleted)/)
    // Nor is there a way round it: what is entered as deleted is gone whole, and what comes back is guarded again.
    database.exec(`INSERT INTO deletions VALUES ('e-other', 1)`)
    for (const attempt of attempts) expect(() => database.exec(attempt), attempt).toThrow(/never (changed|deleted)/)
    expect(() => database.exec(`UPDATE deletions SET event_id = 'e-small'`)).toThrow('never changed')
    expect(database.prepare('SELECT count(*) AS n FROM facts').get()).toEqual({ n: 1 })
    database.close()
  })

  it('has the tables and columns that the queries are written against', async () => {
    await openSqlite(file).close()
    const database = new Database(file)
    const expected = Object.fromEntries(
      Object.values(schema).map((table) => {
        const { name, columns } = getTableConfig(table as unknown as SQLiteTable)
        return [name, columns.map((column) => `${column.name} ${column.getSQLType()}`).sort()]
      })
    )
    const tables = database.prepare(`SELECT name FROM sqlite_schema WHERE type = 'table'`).all() as { name: string }[]
    const found = Object.fromEntries(
      tables.map(({ name }) => {
        const columns = database.pragma(`table_info(${name})`) as { name: string; type: string }[]
        return [name, columns.map((column) => `${column.name} ${column.type.toLowerCase()}`).sort()]
      })
    )
    expect(found).toEqual(expected)
    database.close()
  })

  it('is refused, in a sentence and untouched, when it is damaged, of another program, or no database', () => {
    const other = new Database(file)
    other.exec('CREATE TABLE notes (body TEXT); PRAGMA application_id = 7')
    other.close()
    const before = readFileSync(file)
    expect(() => openSqlite(file)).toThrow(`${file} belongs to another program: its application id is 7`)
    expect(readFileSync(file).equals(before)).toBe(true)
    writeFileSync(file, 'No database. '.repeat(1000))
    expect(() => openSqlite(file)).toThrow(`${file} is not a database`)
    const whole = join(dir, 'whole.sqlite')
    void openSqlite(whole).close()
    const bytes = readFileSync(whole)
    // The second half of the pages is nonsense: the head says nothing of it.
    bytes.fill(0x5a, bytes.length / 2)
    writeFileSync(whole, bytes)
    expect(() => openSqlite(whole)).toThrow(`${whole} is damaged`)
  })

  it('carries our mark, also when it was made before there was one', async () => {
    const mark = () => {
      const database = new Database(file)
      const found = database.pragma('application_id', { simple: true })
      database.close()
      return found
    }
    const database = new Database(file)
    const first = readdirSync(join(ROOT, 'migrations', 'sqlite')).toSorted()[0] ?? ''
    database.exec(readFileSync(join(ROOT, 'migrations', 'sqlite', first), 'utf8'))
    database.pragma('user_version = 1')
    database.close()
    expect(mark()).toBe(0)
    await openSqlite(file).close()
    // "ULLG" in ASCII.
    expect(mark()).toBe(Buffer.from('ULLG').readUInt32BE())
  })

  it('is refused when a newer version made it', async () => {
    await openSqlite(file).close()
    const database = new Database(file)
    database.pragma('user_version = 99')
    database.close()
    expect(() => openSqlite(file)).toThrow('made by a newer version')
  })

  it('is not left half changed by a migration that fails', () => {
    const database = new Database(file)
    expect(() => {
      migrate(database, join(import.meta.dirname, 'broken'))
    }).toThrow()
    expect(database.pragma('user_version', { simple: true })).toBe(1)
    expect(database.prepare(`SELECT name FROM sqlite_schema ORDER BY name`).all()).toEqual([{ name: 'first' }])
    database.close()
  })
})
