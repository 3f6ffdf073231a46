import type { Ship, Station, Tanker, Vocabulary } from './vocabulary.ts'

/** Whom a line begins with, and the words left after the name. */
export interface Named {
  ships: readonly Ship[]
  flights: readonly Vocabulary['flights'][number][]
  tankers: readonly Tanker[]
  rest: readonly string[]
}

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

/** Everybody the first words may name: `alder 21`, `alder21`, `a21`, `kelp`; nobody when they name none. */
export function named(words: readonly string[], vocabulary: Vocabulary): Named | undefined {
  const [first, ...others] = words
  if (first === undefined) return undefined
  const split = [...splitCallSign(first), ...others]
  const wordCount = split.findIndex((word) => !/^[a-z]+$/.test(word))
  const most = Math.min(3, wordCount === -1 ? split.length : wordCount)
  for (let count = most; count >= 1; count -= 1) {
    const begin = split.slice(0, count).join('')
    const number = split[count]
    if (number !== undefined && /^\d{1,3}$/.test(number)) {
      const found = among(vocabulary, begin, number, split.slice(count + 1))
      if (found !== undefined) return found
    }
    const found = among(vocabulary, begin, undefined, split.slice(count))
    if (found !== undefined) return found
  }
  return undefined
}

function among(
  vocabulary: Vocabulary,
  begin: string,
  number: string | undefined,
  rest: readonly string[]
): Named | undefined {
  const ships = fitting(vocabulary.ships, begin, number)
  const flights = fitting(vocabulary.flights, begin, number)
  const tankers = fitting(vocabulary.tankers, begin, number)
  if (ships.length + flights.length + tankers.length === 0) return undefined
  // A whole name beats the beginning of another kind of name: `kelp` is the tanker, not the ship Kelpie 11.
  const wholeTankers = tankers.filter((tanker) => letters(tanker.callSign) === begin)
  const wholeShips = ships.filter((ship) => letters(ship.callSign) === begin)
  if (wholeTankers.length > 0 && wholeShips.length === 0) return { ships: [], flights: [], tankers: wholeTankers, rest }
  if (wholeShips.length > 0 && wholeTankers.length === 0) return { ships, flights, tankers: [], rest }
  return { ships, flights, tankers, rest }
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

const squeezed = (name: string): string => name.toLowerCase().replace(/[^a-z0-9]/g, '')
