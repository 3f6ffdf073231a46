import { landing } from './base.ts'
import { priority, pushed } from './disruption.ts'
import { heard } from './heard.ts'
import { named, type Named } from './name.ts'
import { nearMisses } from './near.ts'
import { ofShip } from './ship.ts'
import { stationsOf } from './station.ts'
import { stray } from './stray.ts'
import { ofTanker } from './tanker.ts'
import {
  ask,
  doing,
  settled,
  type Action,
  type Asked,
  type Reading,
  type Understanding,
  type Understood
} from './understanding.ts'
import type { Flight, Vocabulary } from './vocabulary.ts'
import { at, timed } from './when.ts'
import { saidOf, word, type By, type Word } from './word.ts'

/** The words of the line that name nobody. */
const ALONE: Readonly<Record<string, readonly [Action, string]>> = {
  help: [{ kind: 'help' }, 'Show what can be said.'],
  '?': [{ kind: 'help' }, 'Show what can be said.'],
  'open event': [{ kind: 'record', request: { kind: 'openEvent' } }, 'Open the event: from now on it is recorded.'],
  'close event': [{ kind: 'record', request: { kind: 'closeEvent' } }, 'Close the event: nothing more is recorded.'],
  undo: [{ kind: 'undo' }, 'Withdraw your last entry.'],
  accept: [{ kind: 'accept' }, 'Accept the moved order.'],
  refuse: [{ kind: 'refuse' }, 'Drop the moved order.'],
  suggest: [{ kind: 'suggest', choose: 'best' }, 'Look for a better order.'],
  repair: [{ kind: 'suggest', choose: 'repair' }, 'Look for a repair: only what goes wrong is moved.'],
  anew: [{ kind: 'suggest', choose: 'anew' }, 'Look for a better order from the beginning.'],
  order: [{ kind: 'list' }, 'Show the order as a list, or the ships again.'],
  print: [{ kind: 'print' }, 'Print the order in force.'],
  log: [{ kind: 'log' }, 'Show what was recorded, and by whom.'],
  'lane 30': [{ kind: 'lane', minutes: 30 }, 'Show the next 30 minutes.'],
  'lane 60': [{ kind: 'lane', minutes: 60 }, 'Show the next 60 minutes.'],
  'lane 90': [{ kind: 'lane', minutes: 90 }, 'Show the next 90 minutes.']
}

/**
 * What a typed line means, in the words of the event and in any turn of them: at most one action, and the sentence that
 * tells it before it is entered. What is open to two readings is asked about and never recorded; what is near to something
 * is offered.
 */
export function understand(text: string, vocabulary: Vocabulary): Understanding {
  const line = text.trim().toLowerCase().replace(/\s+/g, ' ')
  if (line === '') return { kind: 'nothing' }
  const alone = Object.hasOwn(ALONE, line) ? ALONE[line] : undefined
  if (alone !== undefined) return doing(...alone)
  const words = heard(line, vocabulary)
  const { means, question } = meant(words, vocabulary)
  if (means?.kind === 'understood') return doing(means.action, means.sentence)
  if (means !== undefined) return ask(means.sentence, means.choices)
  const isStrange = (word: string) => question === undefined || question.strange === word
  // The name of a receiver nobody planned is near to nothing.
  const choices =
    words[0] === 'stray' ? [] : nearMisses(words, isStrange, vocabulary, (near) => meant(near, vocabulary).means)
  const { sentence } =
    question ?? ask(`Nobody here is called "${text.trim()}". Begin with a ship or a tanker, or say help.`)
  if (choices.length === 0) return ask(sentence)
  const strange = question?.strange ?? (question === undefined ? text.trim() : undefined)
  return ask(`${strange === undefined ? sentence : `"${strange}" is not understood.`} Is this meant?`, choices)
}

/** What some words come to; where that is nothing, the question that their first reading asks. */
function meant(
  words: readonly string[],
  vocabulary: Vocabulary
): { means: Understood | Asked | undefined; question: Asked | undefined } {
  const all = timed(words, vocabulary.nowMs)
  let question: Asked | undefined
  // A whole word is never taken for the beginning of another.
  for (const by of ['word', 'beginning'] as const) {
    const readings = all.flatMap((one): Reading[] => {
      const { when } = one
      const its = readingsOf(one.words, by, when ? { ...vocabulary, observedAtMs: when.atMs } : vocabulary)
      const means = settled(its)
      const asked = its.find(({ means, unsure }) => means.kind === 'ask' && !unsure)?.means
      // Of a word that is understood the question is of more use than that another is not.
      if (asked?.kind === 'ask' && (question === undefined || (question.strange !== undefined && !asked.strange))) {
        question = asked
      }
      return means === undefined ? [] : [{ means: at(means, one, vocabulary), line: one.words.join(' ') }]
    })
    const means = settled(readings)
    if (means !== undefined) return { means, question }
    // A time that cannot be leaves nothing to choose.
    const asked = readings[0]?.means
    if (asked?.kind === 'ask') return { means: asked, question }
  }
  return { means: undefined, question }
}

/** All that a line without a time may say: of whom, or of which base or station. */
function readingsOf(words: readonly string[], by: By, vocabulary: Vocabulary): (Reading & { unsure?: boolean })[] {
  const line = words.join(' ')
  if (words[0] === 'stray') return [{ means: stray(words.slice(1), vocabulary), line }]
  const unnamed = [landing(words, vocabulary), ...stationsOf(words, vocabulary)].filter((one) => one !== undefined)
  return [
    ...named(words, vocabulary).map((one) => ({ means: ofNamed(one, by, vocabulary), line, unsure: one.unsure })),
    ...unnamed.map((means) => ({ means, line }))
  ]
}

/** What can be said of a whole flight. */
const FLIGHT_WORDS: readonly Word<Flight>[] = [
  word('pushed, push, pushes, pushing', pushed),
  word('priority', priority)
]

/** What the words without a name say of whoever it names: of one of them, or it asks of which. */
function ofNamed(found: Named, by: By, vocabulary: Vocabulary): Understanding {
  const { ships, flights, tankers, rest } = found
  const line = (callSign: string) => [callSign.toLowerCase(), ...rest].join(' ')
  const flying = flights.flatMap((flight) => {
    const means = saidOf(flight, rest, { words: FLIGHT_WORDS, by, vocabulary })
    return means === undefined ? [] : [{ means, line: line(flight.callSign) }]
  })
  // What a whole flight does is not said of each of its ships.
  const together = ships.length === 1 ? undefined : settled(flying, flying.length > 1 ? 'Which one?' : undefined)
  if (together !== undefined) return together
  const whole = ships.length === 0 && tankers.length === 0
  const crews = whole
    ? vocabulary.ships.filter(({ shipId }) => flights.some((one) => one.shipIds.includes(shipId)))
    : ships
  const readings = [
    ...crews.map((ship) => ({ callSign: ship.callSign, means: ofShip(ship, rest, by, vocabulary) })),
    ...tankers.map((tanker) => ({ callSign: tanker.callSign, means: ofTanker(tanker, rest, by, vocabulary) }))
  ]
  const [first] = readings
  if (first !== undefined && readings.length === 1) return first.means
  const choosing = readings.map(({ callSign, means }) => {
    const text = line(callSign)
    const sentence = [callSign, ...rest].join(' ')
    if (means.kind === 'ask' && means.choices.length > 0) return { means: ask('', [{ text, sentence }]), line: text }
    return { means: means.kind === 'understood' ? { ...means, sentence } : means, line: text }
  })
  const several = settled(choosing, 'Which one?')
  const only = readings.filter(({ means }) => means.kind === 'understood')
  if (several?.kind === 'understood') return only[0]?.means ?? several
  if (several !== undefined) return several
  if (whole)
    return ask(`${flights.map(({ callSign }) => callSign).join(', ')}: name one ship, or say pushed or priority.`)
  return flying[0]?.means ?? first?.means ?? ask('Which one?')
}
