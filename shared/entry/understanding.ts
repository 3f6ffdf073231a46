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
  | { kind: 'help' }

/** A way to say the same without doubt: `text` is the whole line. */
export interface Choice {
  text: string
  sentence: string
}

export type Understanding =
  | { kind: 'nothing' }
  | { kind: 'understood'; action: Action; sentence: string }
  /** Open to several readings, or to none: nothing is recorded, the sentence asks. */
  | { kind: 'ask'; sentence: string; choices: readonly Choice[] }

export const ask = (sentence: string, choices: readonly Choice[] = []): Understanding => ({
  kind: 'ask',
  sentence,
  choices
})
export const doing = (action: Action, sentence: string): Understanding => ({ kind: 'understood', action, sentence })
/** The contract brands its ids; here they come out of the event's own vocabulary. */
export const record = (request: unknown, sentence: string): Understanding =>
  doing({ kind: 'record', request: request as Unsent }, sentence)
