import type { StationState } from '../contracts/kinds.ts'
import { stationsNamed } from './name.ts'
import { ask, doing, record, unknown, type Understanding } from './understanding.ts'
import type { Ship, Station, Tanker, Vocabulary } from './vocabulary.ts'
import { word, type Means, type Word } from './word.ts'

/* Stations: who is in contact where, who is moved where, and how they are. */

type At = { tanker: Tanker; station: Station }

/** The one station that words name; a question where they name none, or several. */
function atStation(
  words: readonly string[],
  { tankers }: Pick<Vocabulary, 'tankers'>,
  asked: { question: string; none: string; line: (at: At) => string },
  then: (at: At) => Understanding
): Understanding {
  const stations = words.length === 0 ? [] : stationsNamed(words, tankers)
  const [only] = stations
  if (only === undefined) return unknown(asked.none, words)
  if (stations.length === 1) return then(only)
  return ask(
    asked.question,
    stations.map((at) => ({
      text: asked.line(at).toLowerCase(),
      sentence: `${at.tanker.callSign} ${at.station.name}`
    }))
  )
}

/** Said before the name of a station. */
const BEFORE = new Set(['at', 'on', 'to'])
const named = (words: readonly string[]): string[] => words.filter((one) => !BEFORE.has(one))

/** `contact`, `contact port`, `contact kelp boom`. */
export const contact: Means<Ship> = ({ shipId, callSign }, others, vocabulary) => {
  const words = named(others)
  if (words.length === 0) return record({ kind: 'makeContact', shipId }, `${callSign} is in contact at its station.`)
  const line = ({ tanker, station }: At) => `${callSign} contact ${tanker.callSign} ${station.name}`
  return atStation(
    words,
    vocabulary,
    {
      question: `${callSign} contact: at which station?`,
      none: `${callSign} contact: no station is called "${words.join(' ')}".`,
      line
    },
    (at) =>
      record(
        { kind: 'makeContact', shipId, tankerId: at.tanker.tankerId, stationId: at.station.stationId },
        `${callSign} is in contact at ${at.tanker.callSign} ${at.station.name}.`,
        line(at)
      )
  )
}

/** `to kelp port`: the page moves it. */
export const movedTo: Means<Ship> = ({ shipId, callSign }, others, vocabulary) => {
  const line = ({ tanker, station }: At) => `${callSign} to ${tanker.callSign} ${station.name}`
  const question = `${callSign} to: which station?`
  return atStation(others, vocabulary, { question, none: question, line }, (at) =>
    doing(
      { kind: 'moveTo', shipId, tankerId: at.tanker.tankerId, stationId: at.station.stationId },
      `Move ${callSign} to ${at.tanker.callSign} ${at.station.name}.`,
      line(at)
    )
  )
}

type Said = StationState | 'bad'
const SAID: readonly (readonly [say: string, state: Said])[] = [
  ['good, well, back, serviceable', 'good'],
  ['suspect, suspected, doubtful', 'suspect'],
  ['failed, fails, dead, broken', 'failed'],
  // What is bad may yet be good again, or out for good.
  ['bad, unserviceable, u/s', 'bad']
]
const STATES: Readonly<Record<Said, readonly StationState[]>> = {
  good: ['good'],
  suspect: ['suspect'],
  failed: ['failed'],
  bad: ['suspect', 'failed']
}

/** `boom suspect`, `failed`, of a tanker. */
export const STATION_WORDS: readonly Word<Tanker>[] = SAID.map(([say, state]) =>
  word(say, (tanker, others) => stationState(named(others), [tanker], state, `${tanker.callSign} has no`))
)

/** `boom suspect`: of whichever tanker has such a station. */
export function stationsOf(words: readonly string[], { tankers }: Vocabulary): Understanding[] {
  return SAID.flatMap(([say, state]) => {
    const at = words.findIndex((one) => say.split(', ').includes(one))
    const others = named(words.filter((_, index) => index !== at))
    return at === -1 || others.length === 0 ? [] : [stationState(others, tankers, state, 'No tanker has a')]
  })
}

function stationState(words: readonly string[], tankers: readonly Tanker[], said: Said, hasNo: string): Understanding {
  const stations = stationsNamed(words, tankers)
  const [only] = stations
  if (only === undefined) return unknown(`${hasNo} station called "${words.join(' ')}".`, words)
  const line = ({ tanker, station }: At, status: StationState) => `${tanker.callSign} ${station.name} ${status}`
  const states = STATES[said]
  const [status] = states
  if (stations.length === 1 && status !== undefined && states.length === 1) {
    return record(
      { kind: 'setStation', tankerId: only.tanker.tankerId, stationId: only.station.stationId, status },
      `${only.tanker.callSign} ${only.station.name} is ${status}.`,
      line(only, status)
    )
  }
  const several = new Set(stations.map(({ tanker }) => tanker.tankerId)).size > 1
  return ask(
    said === 'bad'
      ? `${only.tanker.callSign}: suspect takes nobody new until the tanker calls it good; failed is out.`
      : `${several ? 'Station' : only.tanker.callSign}: which station?`,
    stations.flatMap((at) =>
      states.map((state) => ({
        text: line(at, state).toLowerCase(),
        sentence: `${several ? `${at.tanker.callSign} ` : ''}${at.station.name} ${state}`
      }))
    )
  )
}
