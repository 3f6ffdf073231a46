import { TABLE_NAMES, type Cells, type Draft, type Row, type TableName } from '../../shared/tables/table.ts'

/*
 * Where a draft waits that nobody has saved yet. The browser's database survives the end of its process, but is slow to be
 * reached; its plain store is written at once, as a page must that is being closed, but may lose minutes when the process
 * ends. A draft goes to both, and the later one counts. Each has an id of its own: two tabs never write over one another.
 */

/** The first try to make an event of a draft: its id, and the plan that was sent. Its answer may have been lost. */
export interface FirstTry {
  requestId: string
  text: string
}

/** A draft as it is kept, with the revision it began from: 0 where nothing was saved yet. */
export interface KeptDraft {
  v: 1
  revision: number
  draft: Draft
  keptAtMs: number
  firstTry?: FirstTry
}

export interface DraftShelf {
  read: () => Promise<KeptDraft | undefined>
  /** Whether it is kept anywhere. */
  put: (kept: KeptDraft) => Promise<boolean>
  /** What a page still manages to do while it is being closed. */
  putAtOnce: (kept: KeptDraft) => boolean
  drop: () => Promise<void>
}

const DATABASE = 'ullage'
const DRAFTS = 'drafts'

const stemOf = (as: string, eventId: string): string => `ullage draft ${as} ${eventId}`

/** All drafts that this browser keeps of an event under a link, the newest first. */
export async function keptDrafts(as: string, eventId: string): Promise<{ id: string; kept: KeptDraft }[]> {
  const stem = `${stemOf(as, eventId)} `
  const ids = (await keysUnder(stem)).map((key) => key.slice(stem.length))
  const found = await Promise.all(ids.map(async (id) => ({ id, kept: await browserShelf(as, eventId, id).read() })))
  return found
    .flatMap(({ id, kept }) => (kept === undefined ? [] : [{ id, kept }]))
    .toSorted((a, b) => b.kept.keptAtMs - a.kept.keptAtMs)
}

/** How many drafts this browser keeps under a link, of whichever event. */
export const countDrafts = async (as: string): Promise<number> => (await keysUnder(`ullage draft ${as} `)).length

/** Takes every draft under a link out of this browser. */
export async function dropDrafts(as: string): Promise<void> {
  const keys = await keysUnder(`ullage draft ${as} `)
  for (const key of keys) plainStore()?.removeItem(key)
  const database = openDatabase()
  await Promise.all(keys.map((key) => ask(database, 'readwrite', (all) => all.delete(key))))
}

/** Keys of drafts that begin so, wherever they are kept. */
async function keysUnder(stem: string): Promise<string[]> {
  const plain = plainStore()
  const inPlain = plain === undefined ? [] : Array.from({ length: plain.length }, (_, at) => plain.key(at) ?? '')
  const inDatabase = (await ask(openDatabase(), 'readonly', (all) => all.getAllKeys())) ?? []
  const keys = [...inPlain, ...inDatabase.filter((key) => typeof key === 'string')]
  return [...new Set(keys.filter((key) => key.startsWith(stem)))]
}

export function browserShelf(as: string, eventId: string, id: string): DraftShelf {
  const key = `${stemOf(as, eventId)} ${id}`
  const plain = plainStore()
  const database = openDatabase()

  const putAtOnce = (kept: KeptDraft): boolean => {
    try {
      plain?.setItem(key, JSON.stringify(kept))
      return plain !== undefined
    } catch {
      // Full or forbidden. An older draft must not stand in for this one.
      plain?.removeItem(key)
      return false
    }
  }
  return {
    read: async () => {
      const both = [
        draftIn(parsed(plain?.getItem(key))),
        draftIn(await ask(database, 'readonly', (all) => all.get(key)))
      ]
      return both.reduce((a, b) => (b !== undefined && b.keptAtMs > (a?.keptAtMs ?? -Infinity) ? b : a), undefined)
    },
    put: async (kept) => {
      const atOnce = putAtOnce(kept)
      const answer = await ask(database, 'readwrite', (all) => all.put(JSON.stringify(kept), key))
      return atOnce || answer !== undefined
    },
    putAtOnce,
    drop: async () => {
      plain?.removeItem(key)
      await ask(database, 'readwrite', (all) => all.delete(key))
    }
  }
}

/** What one asks of the kept drafts; undefined where the browser has no such database, or it fails. */
async function ask<Answer>(
  opening: Promise<IDBDatabase | undefined>,
  mode: IDBTransactionMode,
  question: (drafts: IDBObjectStore) => IDBRequest<Answer>
): Promise<Answer | undefined> {
  const database = await opening
  if (database === undefined) return undefined
  return new Promise((resolve) => {
    try {
      const transaction = database.transaction(DRAFTS, mode)
      const asked = question(transaction.objectStore(DRAFTS))
      transaction.oncomplete = () => {
        resolve(asked.result)
      }
      transaction.onerror = transaction.onabort = () => {
        resolve(undefined)
      }
    } catch {
      resolve(undefined)
    }
  })
}

function openDatabase(): Promise<IDBDatabase | undefined> {
  return new Promise((resolve) => {
    try {
      const opening = indexedDB.open(DATABASE, 1)
      opening.onupgradeneeded = () => {
        opening.result.createObjectStore(DRAFTS)
      }
      opening.onsuccess = () => {
        resolve(opening.result)
      }
      opening.onerror = opening.onblocked = () => {
        resolve(undefined)
      }
    } catch {
      // No such thing here, or forbidden.
      resolve(undefined)
    }
  })
}

function plainStore(): Storage | undefined {
  try {
    return localStorage
  } catch {
    return undefined
  }
}

function parsed(text: unknown): unknown {
  try {
    return typeof text === 'string' ? JSON.parse(text) : undefined
  } catch {
    return undefined
  }
}

/** What another version of the page wrote may be anything: what is no row is left out, a table that lacks is empty. */
function draftIn(found: unknown): KeptDraft | undefined {
  const kept = (typeof found === 'string' ? parsed(found) : found) as Partial<KeptDraft> | null | undefined
  if (kept?.v !== 1 || typeof kept.revision !== 'number' || typeof kept.keptAtMs !== 'number') return undefined
  const tables: unknown = kept.draft?.tables
  if (!isObject(tables) || !TABLE_NAMES.some((name) => Array.isArray(tables[name]))) return undefined
  const whole = TABLE_NAMES.map((name) => [name, rowsIn(tables[name], name)])
  const draft = { tables: Object.fromEntries(whole) as Draft['tables'] }
  const firstTry = isTry(kept.firstTry) ? { firstTry: kept.firstTry } : {}
  return { v: 1, revision: kept.revision, keptAtMs: kept.keptAtMs, draft, ...firstTry }
}

function rowsIn(found: unknown, table: TableName): Row[] {
  const rows = (Array.isArray(found) ? found : []).filter(isRow)
  const each = new Map(rows.map((row) => [row.id, row]))
  return [...each.values()].slice(0, table === 'event' ? 1 : undefined)
}

const isObject = (found: unknown): found is Record<string, unknown> => typeof found === 'object' && found !== null
const isTry = (found: unknown): found is FirstTry =>
  isObject(found) && typeof found['requestId'] === 'string' && typeof found['text'] === 'string'
const isRow = (found: unknown): found is Row =>
  isObject(found) && typeof found['id'] === 'string' && isCells(found['cells'])
const isCells = (found: unknown): found is Cells =>
  isObject(found) && Object.values(found).every((cell) => typeof cell === 'string')
