import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import type { Judgement } from '../../shared/order/judgement.ts'
import { exact } from '../../shared/order/suggest/exact.ts'
import { orderOf, unrelatedMachines, valueOf, weightedTardiness, type Aim, type Instance } from './sets.ts'

/*
 * What the search and the proof find on published instances, against the values that are known for them.
 */

export interface Budget {
  /** Orders judged by the search. */
  readonly judgements: number
  /** Ways looked at, station by station, by the proof. */
  readonly labels: number
  readonly orders: number
}

export interface Outcome {
  readonly name: string
  readonly found: number
  /** No order is worth less. */
  readonly least: number
  readonly known: number | undefined
  /** Above what is known, %; undefined where nothing is. */
  readonly gapPercent: number | undefined
  readonly proved: boolean
  readonly ms: number
  /** What cannot be: a bug here or in the list. */
  readonly fault: string | undefined
}

export interface Known {
  readonly value: number
  /** Nobody can do better; else the best known so far. */
  readonly optimal: boolean
}

const LEVEL: Readonly<Record<Aim, { readonly level: keyof Judgement; readonly metLevels: number }>> = {
  'late jobs': { level: 'lostWeight', metLevels: 1 },
  'weighted tardiness': { level: 'lateness', metLevels: 3 },
  'last end': { level: 'lastDisconnect', metLevels: 4 }
}

/** One instance searched and proved, and held against a known value. */
export function outcomeOf(instance: Instance, budget: Budget, known?: Known): Outcome {
  const input = orderOf(instance)
  const everywhere = input.stations.map(({ id }) => id)
  const mayUse = new Map(input.slots.map(({ id }) => [id, everywhere]))
  const startedMs = performance.now()
  const { judgement, sequences, bound } = exact({ input, mayUse, ...budget })
  const ms = performance.now() - startedMs
  const { level, metLevels } = LEVEL[instance.aim]
  const found = judgement[level]
  const least = bound.least[level]
  const proved = bound.metLevels >= metLevels
  const plain = valueOf(instance, sequences)
  return {
    name: instance.name,
    found,
    least,
    known: known?.value,
    gapPercent: known === undefined ? undefined : gapPercent(found, known.value),
    proved,
    ms,
    fault: faultOf({ found, least, proved, plain }, known)
  }
}

const gapPercent = (found: number, known: number): number =>
  known === 0 ? (found === 0 ? 0 : Infinity) : (100 * (found - known)) / known

function faultOf(
  { found, least, proved, plain }: { found: number; least: number; proved: boolean; plain: number },
  known: Known | undefined
): string | undefined {
  if (found !== plain) return `judged ${String(found)}, worth ${String(plain)}`
  if (known === undefined) return undefined
  if (known.optimal && found < known.value) return `${String(found)} is below the known optimum`
  if (least > known.value) return `the bound ${String(least)} is above a known value`
  if (proved && found > known.value) return `${String(found)} is called proved, ${String(known.value)} is known`
  return undefined
}

/** Lines "name value", or "name value best" where it is only the best known; # begins a remark. */
export function knownIn(text: string): Map<string, Known> {
  const known = new Map<string, Known>()
  for (const line of text.split(/\r?\n/)) {
    const [name, value, word] = line.replace(/#.*/, '').trim().split(/\s+/)
    if (name === undefined || name === '') continue
    if (value === undefined || !Number.isFinite(Number(value)) || (word !== undefined && word !== 'best'))
      throw new RangeError(`"${line}" is not "name value" or "name value best"`)
    known.set(name, { value: Number(value), optimal: word === undefined })
  }
  return known
}

const KNOWN_FILE = 'known.txt'

/** All instances of a folder's files, by name; `jobs` for files of weighted tardiness whose name does not say how many. */
export function instancesIn(folder: string, jobs?: number): { instances: Instance[]; known: Map<string, Known> } {
  const files = readdirSync(folder, { withFileTypes: true }).filter((file) => file.isFile())
  const names = files.map((file) => file.name).sort()
  const instances = names
    .filter((file) => file !== KNOWN_FILE && !file.startsWith('.'))
    .flatMap((file) => {
      const text = readFileSync(join(folder, file), 'utf8')
      const name = file.replace(/\.[a-z]+$/i, '')
      if (/^\s*SSD\b/im.test(text)) return [unrelatedMachines(name, text)]
      return weightedTardiness(name, text, jobs ?? Number(/\d+/.exec(name)?.[0] ?? NaN))
    })
  const known = names.includes(KNOWN_FILE) ? readFileSync(join(folder, KNOWN_FILE), 'utf8') : ''
  return { instances, known: knownIn(known) }
}

const WIDTHS = [24, 10, 10, 8, 8, 8] as const
const line = (cells: readonly string[]): string =>
  cells.map((cell, i) => (i === 0 ? cell.padEnd(WIDTHS[0]) : cell.padStart(WIDTHS[i] ?? 0))).join(' ')

export const HEAD = line(['name', 'found', 'known', 'gap %', 'proved', 'ms'])

export const rowOf = ({ name, found, known, gapPercent: gap, proved, ms, fault }: Outcome): string =>
  [
    line([
      name,
      String(found),
      known === undefined ? '-' : String(known),
      gap === undefined ? '-' : gap.toFixed(2),
      proved ? 'yes' : 'no',
      ms.toFixed(0)
    ]),
    ...(fault === undefined ? [] : [`  FAULT: ${fault}`])
  ].join('\n')
