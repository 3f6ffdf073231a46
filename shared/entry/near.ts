import { SHIP_SAID } from './ship.ts'
import { TANKER_SAID } from './tanker.ts'
import type { Asked, Choice, Understood } from './understanding.ts'
import type { Vocabulary } from './vocabulary.ts'

/* Near misses: what a slip of one word may have been meant to be. They are offered, never taken. */

const OFFERED_MOST = 5

/** Letters that may differ: none in a short word, two in a long one. */
const distanceMost = (word: string): number => (word.length < 3 ? 0 : word.length < 6 ? 1 : 2)

/**
 * Letters put in, left out, exchanged, or swapped with their neighbour, between two words.
 * Source: optimal string alignment distance, after Damerau 1964. Checked: tests/shared/entry/near.test.ts.
 */
export function distance(one: string, other: string): number {
  let before: number[] = []
  let row = Array.from({ length: other.length + 1 }, (_, index) => index)
  for (let i = 1; i <= one.length; i++) {
    const next = [i]
    for (let j = 1; j <= other.length; j++) {
      const same = one[i - 1] === other[j - 1]
      const [above = 0, left = 0, across = 0] = [row[j], next[j - 1], row[j - 1]]
      const swapped = i > 1 && j > 1 && one[i - 1] === other[j - 2] && one[i - 2] === other[j - 1]
      next[j] = Math.min(above + 1, left + 1, across + (same ? 0 : 1), swapped ? (before[j - 2] ?? 0) + 1 : Infinity)
    }
    before = row
    row = next
  }
  return row[other.length] ?? 0
}

const OTHERS = [
  'priority',
  'planned',
  'closed',
  'open',
  'internal',
  'total',
  'computed',
  'early',
  'stray',
  'thousand',
  'hundred'
]

function known({ ships, flights, tankers, bases }: Vocabulary): { words: Set<string>; numbers: Set<string> } {
  const names = [
    ...[...ships, ...flights, ...tankers].map(({ callSign }) => callSign),
    ...[...bases, ...tankers.flatMap(({ stations }) => stations)].map(({ name }) => name),
    ...ships.flatMap(({ groups }) => groups.map(({ name }) => name))
  ]
  const said = [...SHIP_SAID, ...TANKER_SAID, ...OTHERS, ...names.map((name) => name.toLowerCase())]
  const words = said.flatMap((one) => one.split(/[^a-z-]+/))
  return {
    words: new Set(words.filter((word) => word.length > 2)),
    numbers: new Set(ships.flatMap(({ callSign }) => /\d{1,3}/.exec(callSign)?.[0] ?? []))
  }
}

/**
 * Lines that differ from this one by one word, near to it, and are understood: a strange word, or the number behind a
 * ship's letters that none of them has.
 */
export function nearMisses(
  words: readonly string[],
  isStrange: (word: string) => boolean,
  vocabulary: Vocabulary,
  understand: (words: readonly string[]) => Understood | Asked | undefined
): Choice[] {
  const { words: letters, numbers } = known(vocabulary)
  /** The number of no ship, behind the letters of some. */
  const isLost = (number: string, before: string | undefined): boolean => {
    const called = vocabulary.ships.map(({ callSign }) => callSign.toLowerCase())
    const alike = before === undefined ? [] : called.filter((callSign) => callSign.startsWith(before))
    return alike.length > 0 && !alike.some((callSign) => callSign.endsWith(` ${number}`))
  }
  const tried = words.flatMap((word, at) => {
    const isNumber = /^\d{1,3}$/.test(word)
    if (isNumber ? !isLost(word, words[at - 1]) : !isStrange(word)) return []
    return [...(isNumber ? numbers : letters)].flatMap((candidate) => {
      const by = distance(word, candidate)
      return by === 0 || by > (isNumber ? 1 : distanceMost(word)) ? [] : [{ by, line: words.with(at, candidate) }]
    })
  })
  const offered = new Map<string, Choice>()
  let nearest = Infinity
  for (const { by, line } of tried.toSorted((a, b) => a.by - b.by)) {
    // What is further off than another is hardly meant.
    if (by > nearest || offered.size === OFFERED_MOST) break
    const means = understand(line)
    if (means === undefined || (means.kind === 'ask' && means.choices.length === 0)) continue
    nearest = by
    const choices =
      means.kind === 'ask' ? means.choices : [{ text: means.line ?? line.join(' '), sentence: means.sentence }]
    for (const choice of choices) if (offered.size < OFFERED_MOST) offered.set(choice.text, choice)
  }
  return [...offered.values()]
}
