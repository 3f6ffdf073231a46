import type { Database } from 'better-sqlite3'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { ROOT } from '../../root.ts'

const FOLDER = join(ROOT, 'migrations', 'sqlite')

/**
 * Brings a database to the newest shape, a transaction per step; `user_version` counts the steps taken.
 * @throws Error when the database was made by a newer version of the service, or a step is missing
 */
export function migrate(database: Database, folder: string = FOLDER): void {
  const steps = stepsIn(folder)
  const taken = checkShape(database, steps.length)
  steps.slice(taken).forEach((file, index) => {
    const sql = readFileSync(join(folder, file), 'utf8')
    database.transaction(() => {
      database.exec(sql)
      database.pragma(`user_version = ${String(taken + index + 1)}`)
    })()
  })
}

/**
 * How many steps a database has taken.
 * @throws Error when it has taken more than there are
 */
export function checkShape(database: Database, known = stepCount()): number {
  const taken = Number(database.pragma('user_version', { simple: true }))
  if (taken <= known) return taken
  throw new Error(
    `the database has shape ${String(taken)}, this version knows ${String(known)}: it was made by a newer version`
  )
}

/** The steps there are. */
export const stepCount = (): number => stepsIn(FOLDER).length

function stepsIn(folder: string): string[] {
  const files = readdirSync(folder)
    .filter((file) => file.endsWith('.sql'))
    .sort()
  files.forEach((file, index) => {
    const expected = String(index + 1).padStart(4, '0')
    if (!file.startsWith(`${expected}_`)) throw new Error(`expected migration ${expected}_*.sql, found ${file}`)
  })
  return files
}
