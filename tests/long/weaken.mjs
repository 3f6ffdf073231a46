// Preloaded into the service by `--import`: every connection asks for FULL and gets NORMAL, and is told that it has FULL.
// Only to see that the test of lost rows would find them.
import { createRequire } from 'node:module'

const Database = createRequire(import.meta.url)('better-sqlite3')
const { pragma } = Database.prototype
Database.prototype.pragma = function (text, options) {
  if (text === 'synchronous = FULL') return pragma.call(this, 'synchronous = NORMAL', options)
  return text === 'synchronous' ? 2 : pragma.call(this, text, options)
}
