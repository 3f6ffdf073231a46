import type { Fact } from '../../shared/contracts/facts.ts'
import type { Unsent } from '../../shared/entry/understanding.ts'
import { withdrawable } from '../../shared/live/state.ts'
import { ENTRY } from '../words/entry.ts'
import { KEPT } from '../words/kept.ts'
import { UNDO } from '../words/undo.ts'
import type { Entry } from './useEntry.ts'
import type { LiveEvent } from './useEvent.ts'

/**
 * Takes back the last own entry; of a link that several people share one that was made in this browser, or after a
 * question. One that cannot be taken back any more says why and what to do, and the next undo goes on
 * to the entry before it.
 */
export function useUndo({
  event,
  entry
}: {
  event: Pick<LiveEvent, 'state' | 'labels' | 'log' | 'kept' | 'dropKept' | 'lastOwnFact' | 'isMadeHere'>
  entry: Pick<Entry, 'outcome' | 'send' | 'tell' | 'saidOf'>
}): { undo: () => Promise<void>; recorded: (request: Unsent) => void } {
  /** Acts that were refused to be withdrawn, each with its last fact. */
  const passed = new Map<string, number>()
  /** The act of another browser under this link that was asked about. */
  let asked: string | undefined

  /** As it was told when it was entered; what was entered before this page came, as the log tells it. */
  async function saidOf(fact: Fact): Promise<string> {
    const said = entry.saidOf(fact.seq)
    const labels = event.labels.value
    if (said !== '' || labels === undefined) return said
    // Seldom needed: its words stay out of the first load.
    const { factWords } = await import('../words/log.ts')
    return `${factWords(fact, labels)}.`
  }

  function next(): Fact | undefined {
    const last = event.lastOwnFact()
    const may = (fact: Fact) =>
      fact.by === last?.by && !passed.has(fact.requestId) && withdrawable(event.state.value, fact.seq) !== undefined
    return event.log.findLast((fact) => may(fact) && event.isMadeHere(fact)) ?? event.log.findLast(may)
  }

  /** What has come since, in the way of its withdrawal. */
  function why({ requestId }: Fact): string {
    const { receivers, ships } = event.state.value
    const added = [...receivers.values()].flat().filter((one) => one.requestId === requestId)
    const busy = added.flatMap(({ flight }) => flight.ships).find(({ id }) => (ships.get(id)?.length ?? 0) > 0)
    if (busy !== undefined) return UNDO.hasCalls(busy.callSign)
    return UNDO.builtOn
  }

  async function undo() {
    const unsent = event.kept.value.findLast(({ refusal }) => refusal === undefined)
    if (unsent !== undefined) {
      const dropped = event.dropKept(unsent.requestId)
      entry.tell({ recorded: dropped, sentence: dropped ? KEPT.dropped(unsent.sentence) : KEPT.mayStand })
      return
    }
    const fact = next()
    if (fact === undefined) {
      entry.tell({ recorded: false, sentence: passed.size > 0 ? UNDO.nothingBefore : ENTRY.nothingToUndo })
      return
    }
    // A whole flight pushed by one line is withdrawn by one key, and a join with the contact that told it.
    const act = event.log.filter(({ requestId }) => requestId === fact.requestId)
    const said = await saidOf(fact)
    if (!event.isMadeHere(fact) && asked !== fact.requestId) {
      asked = fact.requestId
      entry.tell({ recorded: false, sentence: UNDO.elsewhere(said) })
      return
    }
    for (const { seq } of act.toReversed()) {
      if (withdrawable(event.state.value, seq) === undefined) continue
      if (await entry.send({ kind: 'withdrawFact', withdrawnSeq: seq }, ENTRY.undone(said))) continue
      if (entry.outcome.value?.code === 'fact-not-withdrawable') passOver(fact, said)
      return
    }
    // What stood in the way of an earlier one may be gone with it.
    for (const [requestId, seq] of passed) if (seq < fact.seq) passed.delete(requestId)
  }

  function passOver(fact: Fact, said: string) {
    passed.set(fact.requestId, fact.seq)
    entry.tell({ recorded: false, code: 'fact-not-withdrawable', sentence: UNDO.stands(said, why(fact)) })
  }

  return {
    undo,
    recorded: ({ kind }) => {
      if (kind === 'withdrawFact') return
      passed.clear()
      asked = undefined
    }
  }
}
