import { ask, settled, type Understanding } from './understanding.ts'
import type { Vocabulary } from './vocabulary.ts'

/** What is made of a word said of somebody, with the words around it. */
export type Means<Of> = (of: Of, others: readonly string[], vocabulary: Vocabulary) => Understanding

/** A word and everything that says the same; the first is how it is written in a choice. */
export interface Word<Of> {
  say: readonly string[]
  means: Means<Of>
}

export const word = <Of>(say: string, means: Means<Of>): Word<Of> => ({ say: say.split(', '), means })

/** How a word is looked for: as it is, or by its beginning. */
export type By = 'word' | 'beginning'

const LONGEST = 3

/** Letters that stand for a word; one alone is a word of its own, as `j` is. */
const LEAST = 2
/** What is grave takes more of the word: a slip of one letter must not record it. */
const GRAVE_LEAST = 3
const GRAVE = new Set('left, landed, jettisoned, gone, no-show, abort, bingo, joker, required, failed'.split(', '))
const leastOf = (say: readonly string[]): number => (GRAVE.has(say[0] ?? '') ? GRAVE_LEAST : LEAST)

interface Found<Of> {
  word: Word<Of>
  others: readonly string[]
  /** Too little of it was said to be sure. */
  isShort: boolean
}

/** Words of a list anywhere in the line, each with the words around it; a longer one before those inside it. */
function found<Of>(rest: readonly string[], words: readonly Word<Of>[], by: By): Found<Of>[] {
  return rest.flatMap((_, at) => {
    const longest = Math.min(LONGEST, rest.length - at)
    return Array.from({ length: longest }, (_, less) => longest - less).flatMap((count) => {
      const said = rest.slice(at, at + count).join(' ')
      const others = [...rest.slice(0, at), ...rest.slice(at + count)]
      const whole = words.filter(({ say }) => say.includes(said))
      const begun =
        by === 'beginning' && whole.length === 0 && count === 1 && /^[a-z]/.test(said)
          ? words.filter(({ say }) => say.some((one) => one.startsWith(said) && !one.includes(' ')))
          : []
      return [...whole, ...begun].map((one) => ({
        word: one,
        others,
        isShort: whole.length === 0 && said.length < leastOf(one.say)
      }))
    })
  })
}

/** Meant by a beginning that is too short for it: asked about. */
function whetherMeant(means: Understanding, line: string): Understanding {
  if (means.kind !== 'understood') return means
  return ask('Is this meant?', [{ text: (means.line ?? line).toLowerCase(), sentence: means.sentence }])
}

/**
 * What a line says of somebody by one of these words, wherever in it the word stands. Undefined where it has none of them;
 * otherwise all readings must come to one, or it asks.
 */
export function saidOf<Of extends { callSign: string }>(
  of: Of,
  rest: readonly string[],
  { words, by, vocabulary }: { words: readonly Word<Of>[]; by: By; vocabulary: Vocabulary }
): Understanding | undefined {
  const readings = found(rest, words, by).map(({ word: { say, means }, others, isShort }) => {
    const line = [of.callSign, say[0], ...others].join(' ')
    const meant = means(of, others, vocabulary)
    return { means: isShort ? whetherMeant(meant, line) : meant, line, isShort }
  })
  const means = settled(readings)
  if (means === undefined) return readings[0]?.means
  const isOpen = means.kind === 'ask' && means.choices.length > 1 && readings.some(({ isShort }) => isShort)
  return isOpen ? { ...means, sentence: 'Which is meant?' } : means
}

export const notUnderstood = (callSign: string, strange: string, hint: string): Understanding => ({
  ...ask(`${callSign}: "${strange}" is not understood. Say ${hint}.`),
  strange
})

/** A word that takes nothing beside it. */
export function alone<Of extends { callSign: string }>(means: (of: Of) => Understanding): Means<Of> {
  return (of, others) => {
    const extra = others[0]
    return extra === undefined ? means(of) : notUnderstood(of.callSign, extra, 'nothing more')
  }
}
