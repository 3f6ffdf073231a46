import { onScopeDispose, watch } from 'vue'
import type { RecordedAnswer } from '../../shared/contracts/answers.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'
import { ordersInForce } from '../../shared/live/state.ts'
import { disrupts, lineOf, topOffRequest, whomOf, type DisruptionName } from '../disruption.ts'
import { ENTRY } from '../words/entry.ts'
import type { LiveEvent } from './useEvent.ts'

export interface Disruptions {
  /** Puts its word into the line, behind what is typed or the chosen ship. */
  begin: (name: DisruptionName) => void
  topOff: (shipId: string) => Promise<void>
  /** What was recorded may call for another order. */
  after: (request: Unsent, answer: RecordedAnswer) => void
}

/** What comes otherwise than planned, from its key to the orders that answer it. */
export function useDisruption(parts: {
  event: LiveEvent
  chosen: () => string | undefined
  typed: () => string
  say: (line: string) => void
  send: (request: Unsent, sentence: string) => Promise<boolean>
  tell: (recorded: boolean, sentence: string) => void
  /** Shows better orders. */
  suggest: () => void
}): Disruptions {
  const { event } = parts
  let toppingOff: Unsent | undefined

  function begin(name: DisruptionName) {
    const typed = parts.typed().trim()
    const [view, labels] = [event.view.value, event.labels.value]
    if (view === undefined || labels === undefined) return
    const whom = typed === '' || name === 'stray' ? whomOf(name, parts.chosen(), view, labels) : typed
    if (whom === undefined) parts.tell(false, ENTRY.nobodyNamed)
    else parts.say(lineOf(name, whom))
  }

  async function topOff(shipId: string) {
    const [view, labels] = [event.view.value, event.labels.value]
    if (view === undefined || labels === undefined) return
    toppingOff = topOffRequest(shipId, view, ordersInForce(event.state.value), event.state.value.seq)
    if (toppingOff === undefined) parts.tell(false, ENTRY.nobodyNamed)
    else await parts.send(toppingOff, ENTRY.onceMore(labels.ship(shipId)))
    toppingOff = undefined
  }

  // An order is looked for only once the picture here is one of what was recorded: before, it would be an answer to less.
  let awaited: { seq: number; atMs: number } | undefined
  function look() {
    const view = event.view.value
    if (awaited === undefined || view === undefined || view.seq < awaited.seq || view.atMs < awaited.atMs) return
    awaited = undefined
    parts.suggest()
  }
  onScopeDispose(watch(event.view, look))

  return {
    begin,
    topOff,
    after: (request, { facts }) => {
      if (!disrupts(request) && request !== toppingOff) return
      awaited = facts.at(-1)
      look()
    }
  }
}
