import { clock } from './moment.ts'
import { basesNamed } from './name.ts'
import { ask, record, unknown, type Understanding } from './understanding.ts'
import type { Ship, Vocabulary } from './vocabulary.ts'
import type { Means } from './word.ts'

/* Bases: who leaves for one, who landed, which is closed. */

const BEFORE = new Set(['for', 'at', 'to', 'base', 'divert'])

/** Down sooner than this before it is expected is hardly meant: common practice, no source. */
const EARLY_MOST_MS = 5 * 60_000
const MS_PER_MIN = 60_000

/** `landed`; long before it is expected it is asked about, and `landed already` says it is so. */
export const landed: Means<Ship> = (ship, others, vocabulary) => {
  const { callSign, landsAtMs = -Infinity } = ship
  const { observedAtMs, nowMs } = vocabulary
  const said = others.filter((word) => word !== 'already')
  const means = toBase('land')(ship, said, vocabulary)
  const earlyMs = landsAtMs - (observedAtMs ?? nowMs)
  if (means.kind !== 'understood' || said.length < others.length || earlyMs <= EARLY_MOST_MS) return means
  const dueAt = clock(Math.ceil(landsAtMs / 1000) * 1000)
  return ask(`${callSign} landed: it is expected down at ${dueAt}, ${Math.floor(earlyMs / MS_PER_MIN)} min later.`, [
    { text: [callSign, 'landed already', ...said].join(' ').toLowerCase(), sentence: `${callSign} landed already` }
  ])
}

/** `left`, `left for north`, `landed at northgate`. */
export function toBase(kind: 'leave' | 'land'): Means<Ship> {
  const [told, where, say] = kind === 'leave' ? ['leaves', 'for', 'left'] : ['landed', 'at', 'landed']
  return ({ shipId, callSign }, others, { bases }) => {
    const said = others.filter((word) => !BEFORE.has(word))
    if (said.length === 0) return record({ kind, shipId }, `${callSign} ${told}.`)
    const found = basesNamed(said, bases)
    const [base] = found
    if (base === undefined) return unknown(`${callSign} ${told}: no base is called "${said.join(' ')}".`, said)
    const line = (name: string) => `${callSign} ${say} ${name}`
    if (found.length > 1) {
      return ask(
        `${callSign} ${told}: which base?`,
        found.map(({ name }) => ({ text: line(name).toLowerCase(), sentence: name }))
      )
    }
    return record({ kind, shipId, baseId: base.baseId }, `${callSign} ${told} ${where} ${base.name}.`, line(base.name))
  }
}

const OPEN_WORDS: Readonly<Record<string, boolean>> = {
  ...{ closed: false, closes: false, shut: false },
  ...{ open: true, opens: true, reopened: true }
}

/** `adze closed`, `closed adze`, `divert adze open`: undefined where the line says no such thing, or names no base. */
export function landing(words: readonly string[], { bases }: Vocabulary): Understanding | undefined {
  const at = words.findIndex((word) => Object.hasOwn(OPEN_WORDS, word))
  const open = OPEN_WORDS[words[at] ?? '']
  const said = words.filter((word, index) => index !== at && !BEFORE.has(word))
  const found = open === undefined || said.length === 0 ? [] : basesNamed(said, bases)
  const [base] = found
  if (open === undefined || base === undefined) return undefined
  const state = open ? 'open' : 'closed'
  if (found.length > 1) {
    return ask(
      `${open ? 'Open' : 'Closed'}: which base?`,
      found.map(({ name }) => ({ text: `${name} ${state}`.toLowerCase(), sentence: `${name} ${state}` }))
    )
  }
  return record({ kind: 'setBase', baseId: base.baseId, open }, `${base.name} is ${state} for landing.`)
}
