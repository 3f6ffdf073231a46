import type { Vocabulary } from './vocabulary.ts'

/* A typed line as words: numbers spoken in words become digits, words that say nothing are left out. */

const UNITS: Readonly<Record<string, number>> = {
  zero: 0,
  one: 1,
  two: 2,
  three: 3,
  tree: 3,
  four: 4,
  fower: 4,
  five: 5,
  fife: 5,
  six: 6,
  seven: 7,
  eight: 8,
  nine: 9,
  niner: 9
}
const TEENS = [
  'ten',
  'eleven',
  'twelve',
  'thirteen',
  'fourteen',
  'fifteen',
  'sixteen',
  'seventeen',
  'eighteen',
  'nineteen'
]
const TENS = ['twenty', 'thirty', 'forty', 'fifty', 'sixty', 'seventy', 'eighty', 'ninety']

/** Said around a call and told by nothing in it. */
const EMPTY: ReadonlySet<string> = new Set(
  'has have had is are was with the says said reports reporting calls calling its and please'.split(' ')
)

/**
 * The words of a line in lower case. `two one` becomes `2`, `1`, digit by digit as numbers are spoken; `twenty one`
 * becomes `21`. A word that stands beside another as a name of this event has them stays as it is.
 * Source of the spoken digits, `tree`, `fower`, `fife`, `niner` among them: ICAO Annex 10 volume II, 5.2.1.4.
 * Checked: tests/shared/entry/spoken.test.ts.
 */
export function heard(line: string, vocabulary: Vocabulary): string[] {
  const pairs = pairsOfNames(vocabulary)
  const said = line
    .trim()
    .toLowerCase()
    .split(/\s+/)
    .flatMap((word) => (isNumberWord(word.split('-')[0]) ? word.split('-') : [word]))
    .map((word) => word.replace(/^[,;]+|[,;:!.]+$/g, ''))
    .filter((word) => word !== '')
  const isName = (at: number): boolean =>
    pairs.has(`${said[at - 1] ?? ''} ${said[at] ?? ''}`) || pairs.has(`${said[at] ?? ''} ${said[at + 1] ?? ''}`)
  const words: string[] = []
  for (let at = 0; at < said.length; at++) {
    const word = said[at] ?? ''
    const value = isName(at) ? undefined : valueOf(word)
    const unit = UNITS[said[at + 1] ?? '']
    if (value !== undefined && TENS.includes(word) && unit !== undefined && unit > 0) {
      words.push(String(value + unit))
      at++
    } else if (value !== undefined) words.push(String(value))
    else if (isName(at) || !EMPTY.has(word)) words.push(word)
  }
  return words
}

const isNumberWord = (word: string | undefined): boolean => word !== undefined && valueOf(word) !== undefined

function valueOf(word: string): number | undefined {
  if (Object.hasOwn(UNITS, word)) return UNITS[word]
  if (TEENS.includes(word)) return 10 + TEENS.indexOf(word)
  return TENS.includes(word) ? 20 + 10 * TENS.indexOf(word) : undefined
}

/** Words that follow each other in a name. */
function pairsOfNames({ ships, flights, tankers, bases, types }: Vocabulary): ReadonlySet<string> {
  const names = [
    ...[...ships, ...flights, ...tankers].map(({ callSign }) => callSign),
    ...[...bases, ...types, ...tankers.flatMap(({ stations }) => stations)].map(({ name }) => name),
    ...ships.flatMap(({ groups }) => groups.map(({ name }) => name))
  ]
  return new Set(
    names.flatMap((name) => {
      const words = name.toLowerCase().split(/[^a-z0-9]+/)
      return words.slice(1).map((word, at) => `${words[at] ?? ''} ${word}`)
    })
  )
}
