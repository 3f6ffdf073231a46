import Database from 'better-sqlite3'
import { getTableConfig, type SQLiteTable } from 'drizzle-orm/sqlite-core'
import { mkdtempSync, rmSync, statSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, it } from 'vitest'
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
