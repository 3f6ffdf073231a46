import type { EventRequest } from '../contracts/requests.ts'

/** What a line is taken to mean. */

type WithoutId<Request> = Request extends unknown ? Omit<Request, 'requestId'> : never
/** A request without its id, which the page makes when it is sent. */
export type Unsent = WithoutId<EventRequest>

/** What a line does when it is entered. Only `record` goes to the service by itself. */
export type Action =
  | { kind: 'record'; request: Unsent }
  | { kind: 'move'; shipId: string; direction: 'up' | 'down' }
  | { kind: 'moveTo'; shipId: string; tankerId: string; stationId: string }
  /** The order no longer says this of it. */
  | { kind: 'lift'; shipId: string; said: 'not before' | 'internals only' }
  /** Comes to its station once more: a slot to be made, and then recorded. */
  | { kind: 'topOff'; shipId: string }
  | { kind: 'select'; shipId: string }
  | { kind: 'lane'; minutes: 30 | 60 | 90 }
  | { kind: 'accept' }
  | { kind: 'refuse' }
  | { kind: 'undo' }
  | { kind: 'suggest'; choose: 'best' | 'repair' | 'anew' }
  | { kind: 'list' }
  | { kind: 'print' }
  | { kind: 'log' }
  | { kind: 'help' }

/** A way to say the same without doubt: `text` is the whole line. */
export interface Choice {
  text: string
  sentence: string
}

export interface Understood {
  kind: 'understood'
  action: Action
  sentence: string
  /** The whole line that says this and nothing else, where the typed one might say another thing too. */
  line?: string
}

/** Open to several readings, or to none: nothing is recorded, the sentence asks. */
export interface Asked {
  kind: 'ask'
  sentence: string
  choices: readonly Choice[]
  /** The word that is not understood: something near to it may be meant. */
  strange?: string
}

export type Understanding = { kind: 'nothing' } | Understood | Asked

/** More are not offered: each has a digit that picks it. */
export const CHOICES_MOST = 9

export const ask = (sentence: string, choices: readonly Choice[] = []): Asked => ({
  kind: 'ask',
  sentence,
  choices: choices.slice(0, CHOICES_MOST)
})
/** The same where words are not known: something near to the first may be meant. */
export const unknown = (sentence: string, words: readonly string[]): Asked => {
  const [strange] = words
  return { ...ask(sentence), ...(strange === undefined ? {} : { strange }) }
}
export const doing = (action: Action, sentence: string, line?: string): Understood => ({
  kind: 'understood',
  action,
  sentence,
  ...(line === undefined ? {} : { line: line.trim().toLowerCase() })
})
/** The contract brands its ids; here they come out of the event's own vocabulary. */
export const record = (request: unknown, sentence: string, line?: string): Understood =>
  doing({ kind: 'record', request: request as Unsent }, sentence, line)

/** A reading of a line and the whole line that says it without doubt. */
export interface Reading {
  means: Understanding
  line: string
}

/**
 * What several readings of one line come to: the one that all of them are, a question with every one of them as a choice,
 * or undefined where none makes sense. A reading that asks is a reading too: nothing is understood beside it.
 */
export function settled(readings: readonly Reading[], question?: string): Understood | Asked | undefined {
  const sure = new Map<string, Understood>()
  const open: Asked[] = []
  for (const { means, line } of readings) {
    if (means.kind === 'understood') {
      const key = JSON.stringify(means.action)
      if (!sure.has(key)) sure.set(key, { ...means, line: means.line ?? line.toLowerCase() })
    } else if (means.kind === 'ask' && means.choices.length > 0) open.push(means)
  }
  const [only] = sure.values()
  if (only !== undefined && sure.size === 1 && open.length === 0) return only
  const [first] = open
  if (only === undefined && first === undefined) return undefined
  const choices = [
    ...[...sure.values()].map(({ line = '', sentence }) => ({ text: line, sentence })),
    ...open.flatMap((one) => one.choices)
  ]
  const sentence = question ?? (only === undefined && first !== undefined ? first.sentence : 'Which is meant?')
  return ask(
    sentence,
    choices.filter((choice, at) => choices.findIndex(({ text }) => text === choice.text) === at)
  )
}
