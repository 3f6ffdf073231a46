import type { Flight, Ship, Station, Tanker, Vocabulary } from './vocabulary.ts'

/** Whom some words of a line name, and the words left without the name. */
export interface Named {
  ships: readonly Ship[]
  flights: readonly Flight[]
  tankers: readonly Tanker[]
  rest: readonly string[]
  /** By a number alone that does not begin the line: perhaps it names nobody. */
  unsure: boolean
}

/** A name as it is compared: small letters and digits alone. */
export const squeezed = (name: string): string => name.toLowerCase().replace(/[^a-z0-9]/g, '')
const letters = (callSign: string): string => callSign.toLowerCase().replace(/[^a-z]/g, '')
const digits = (callSign: string): string => callSign.replace(/\D/g, '')

/** Those whose letters are the given ones; if there are none, those whose letters begin with them. */
function fitting<Item extends { callSign: string }>(
  items: readonly Item[],
  begin: string,
  number: string | undefined
): Item[] {
  const numbered = items.filter((item) => number === undefined || digits(item.callSign) === number)
  const exact = numbered.filter((item) => letters(item.callSign) === begin)
  return exact.length > 0 ? exact : numbered.filter((item) => letters(item.callSign).startsWith(begin))
}

/** Splits `a21` into `a` and `21`, leaves everything else whole. */
const splitCallSign = (word: string): string[] => /^([a-z]+)-?(\d{1,3})$/.exec(word)?.slice(1) ?? [word]

/**
 * Everybody that words of the line may name, whoever is named first foremost: `alder 21`, `a21`, `kelp`, `alder 2 1` spoken
 * digit by digit, and `21` alone where it is the first figure of the line.
 */
export function named(said: readonly string[], vocabulary: Vocabulary): Named[] {
  const words = said.flatMap(splitCallSign)
  const firstFigure = words.findIndex((word) => /^\.?\d/.test(word))
  return words.flatMap((word, at) => {
    if (/^[a-z]/.test(word)) return byLetters(words, at, vocabulary)
    const isFree = at === firstFigure && words[at - 1] !== 'at' && !isSpoken(words, at, vocabulary)
    return isFree ? byNumber(words, at, at, '', vocabulary) : []
  })
}

/** The number belongs to the letters before it: `a1` is Alder 1, and no other ship of that number. */
const isSpoken = (words: readonly string[], at: number, vocabulary: Vocabulary): boolean =>
  [1, 2, 3].some((count) => {
    const before = words.slice(Math.max(0, at - count), at)
    return before.length === count && byNumber(words, at - count, at, before.join(''), vocabulary).length > 0
  })

/** With as many words as a name takes, longest first; a number behind them belongs to the name where it can. */
function byLetters(words: readonly string[], from: number, vocabulary: Vocabulary): Named[] {
  const wordCount = words.slice(from).findIndex((word) => !/^[a-z]+$/.test(word))
  const most = Math.min(3, wordCount === -1 ? words.length - from : wordCount)
  for (let count = most; count >= 1; count--) {
    const begin = words.slice(from, from + count).join('')
    const numbered = byNumber(words, from, from + count, begin, vocabulary)
    if (numbered.length > 0) return numbered
    const found = among(vocabulary, begin, undefined)
    if (found !== undefined) return [without(words, from, from + count, found)]
  }
  return []
}

/** A number of one word, or of single digits spoken in turn. */
function byNumber(words: readonly string[], from: number, at: number, begin: string, vocabulary: Vocabulary): Named[] {
  const spoken = words.slice(at, at + 3).findIndex((word) => !/^\d$/.test(word))
  const most = Math.max(1, spoken === -1 ? Math.min(3, words.length - at) : spoken)
  const found: Named[] = []
  for (let count = most; count >= 1; count--) {
    const number = words.slice(at, at + count).join('')
    const its = /^\d{1,3}$/.test(number) ? among(vocabulary, begin, number) : undefined
    // Digits that make a ship's number are not a flight's and a figure.
    if (its === undefined || (found.length > 0 && its.ships.length + its.tankers.length === 0)) continue
    found.push(without(words, from, at + count, its))
  }
  return found
}

const without = (words: readonly string[], from: number, to: number, found: Omit<Named, 'rest' | 'unsure'>): Named => ({
  ...found,
  rest: [...words.slice(0, from), ...words.slice(to)],
  unsure: from > 0 && /^\d/.test(words[from] ?? '')
})

function among(
  vocabulary: Vocabulary,
  begin: string,
  number: string | undefined
): Omit<Named, 'rest' | 'unsure'> | undefined {
  const ships = fitting(vocabulary.ships, begin, number)
  const flights = fitting(vocabulary.flights, begin, number)
  const tankers = fitting(vocabulary.tankers, begin, number)
  if (ships.length + flights.length + tankers.length === 0) return undefined
  // A whole name beats the beginning of another kind of name: `kelp` is the tanker, not the ship Kelpie 11.
  const wholeTankers = tankers.filter((tanker) => letters(tanker.callSign) === begin)
  const wholeShips = ships.filter((ship) => letters(ship.callSign) === begin)
  if (wholeTankers.length > 0 && wholeShips.length === 0) return { ships: [], flights: [], tankers: wholeTankers }
  if (wholeShips.length > 0 && wholeTankers.length === 0) return { ships, flights, tankers: [] }
  return { ships, flights, tankers }
}

/** Stations of some tankers that the words may name: `kelp boom`, `port hose`, `port`. */
export function stationsNamed(
  words: readonly string[],
  tankers: readonly Tanker[]
): { tanker: Tanker; station: Station }[] {
  const said = words.join('')
  const all = tankers.flatMap((tanker) => tanker.stations.map((station) => ({ tanker, station })))
  const ways = ({ tanker, station }: { tanker: Tanker; station: Station }) => {
    const name = squeezed(station.name)
    return [name, letters(tanker.callSign) + name, squeezed(tanker.callSign) + name]
  }
  const whole = all.filter((one) => ways(one).includes(said))
  return whole.length > 0 ? whole : all.filter((one) => ways(one).some((way) => way.startsWith(said)))
}

/** Tankers the words may name, and nothing else: `kelp`, `kelp 61`. */
export function tankersNamed(words: readonly string[], tankers: readonly Tanker[]): Tanker[] {
  const said = squeezed(words.join(''))
  const whole = tankers.filter((tanker) => [letters(tanker.callSign), squeezed(tanker.callSign)].includes(said))
  return whole.length > 0 ? whole : tankers.filter((tanker) => squeezed(tanker.callSign).startsWith(said))
}

/** Bases whose name begins with the words. */
export function basesNamed(words: readonly string[], bases: Vocabulary['bases']): Vocabulary['bases'] {
  const said = words.join('')
  const whole = bases.filter((base) => squeezed(base.name) === said)
  return whole.length > 0 ? whole : bases.filter((base) => squeezed(base.name).startsWith(said))
}
