import { OBSERVED_REQUESTS } from '../contracts/kinds.ts'
import { clock, spokenPast } from './moment.ts'
import { ask, type Asked, type Understood } from './understanding.ts'
import type { Vocabulary } from './vocabulary.ts'

/* A call from another time is entered with its time, said anywhere in the line. */

/** A line without what it says of when, and that; nothing said is now. */
export interface Timed {
  words: readonly string[]
  when?: { said: string; atMs: number; told: string }
}

const MS_PER_MIN = 60_000
/** Minutes past the hour are of the last half hour: what is further back needs its hour. */
const BARE_MOST_MS = 30 * MS_PER_MIN
/** Digits of a time spoken one by one, behind `at`. */
const LONGEST = 5

/** Said without `at`, a time has its colon or its Z; figures of fuel have neither. */
const TIME_ALONE = /^(?:\d{1,2}:\d\d(?::\d\d)?z?|\d{4}z)$/

/** The line as it is, and without each stretch of it that may be a time. */
export function timed(words: readonly string[], nowMs: number): Timed[] {
  const cut = words.flatMap((word, from): Timed[] => {
    const rest = (to: number) => [...words.slice(0, from), ...words.slice(to)]
    if (word === 'now') return [{ words: rest(from + 1) }]
    if (word === 'just' && words[from + 1] === 'now') return [{ words: rest(from + 2) }]
    // The longest stretch: digits that make a time are not one time and a figure.
    for (let to = Math.min(from + LONGEST, words.length); to > from; to--) {
      const said = words.slice(from, to).join(' ')
      const isTime = word === 'at' ? to > from + 1 : said.endsWith(' ago') || TIME_ALONE.test(said) || isZulu(said)
      const past = isTime ? spokenPast(said.replace(/ ?(?:zulu|utc)$/, 'z'), nowMs) : undefined
      if (past !== undefined) return [{ words: rest(to), when: { said, ...past } }]
    }
    return []
  })
  return [...cut, { words }]
}

const isZulu = (said: string): boolean => /^\d{4} (?:z|zulu|utc)$/.test(said)

const OBSERVED: ReadonlySet<string> = new Set(OBSERVED_REQUESTS)

/** The same, of that time; a question where it cannot have been then. */
export function at(
  means: Understood | Asked,
  { words, when }: Timed,
  { nowMs, opensAtMs }: Vocabulary
): Understood | Asked {
  if (when === undefined) return means
  const { said, atMs, told } = when
  if (means.kind === 'ask') {
    return { ...means, choices: means.choices.map((one) => ({ ...one, text: `${one.text} ${said}` })) }
  }
  const sentence = means.sentence.replace(/[.]$/, '')
  if (means.action.kind !== 'record' || !OBSERVED.has(means.action.request.kind)) {
    return ask(`${sentence}: that holds from now on; say it without a time.`)
  }
  if (atMs > nowMs) return ask(`${sentence}: ${clock(atMs)} is still to come.`)
  if (atMs < opensAtMs) return ask(`${sentence}: ${clock(atMs)} is before the event opened, ${clock(opensAtMs)}.`)
  if (/^at (?:\d ?\d|\d)$/.test(said) && nowMs - atMs > BARE_MOST_MS) {
    const text = `${means.line ?? words.join(' ')} at ${clock(atMs).slice(0, 5)}`
    return ask(`${sentence}: ${said} is ${agoText(nowMs - atMs)}; say the hour too.`, [
      { text, sentence: `${sentence}, ${told}` }
    ])
  }
  return {
    ...means,
    action: { ...means.action, request: { ...means.action.request, atMs } },
    sentence: `${sentence}, ${told}.`,
    line: `${means.line ?? words.join(' ')} ${said}`
  }
}

const agoText = (ms: number): string => `${String(Math.round(ms / MS_PER_MIN))} min ago`
