import { readlinkSync } from 'node:fs'
import { constants, setPriority } from 'node:os'
import { basename } from 'node:path'
import { parentPort } from 'node:worker_threads'
import type { Fact } from '../../shared/contracts/facts.ts'
import type { ProposalView, SearchView } from '../../shared/contracts/search.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../../shared/live/state.ts'
import { again } from '../../shared/propose/again.ts'
import { propose, type Proposal } from '../../shared/propose/propose.ts'
import type { Facts, FromThread, Told, ToThread } from './messages.ts'

/* A thread of the pool: folds the facts it is given, keeps the states, and searches until it is told to stop. */

giveWay()
const states = new Map<string, LiveState>()

const say = (message: FromThread): void => parentPort?.postMessage(message)
const told = (proposal: ProposalView, { seq }: LiveState): Told => ({ proposal: JSON.stringify(proposal), seq })

parentPort?.on('message', (asked: ToThread) => {
  for (const eventId of asked.forget) states.delete(eventId)
  const state = folded(asked)
  if (asked.kind === 'again') {
    const proposal = again(state, asked.atMs, JSON.parse(asked.proposal) as Proposal)
    say({ kind: 'judged', ...told(proposal, state) })
    return
  }
  const flag = new Int32Array(asked.stop)
  const found = propose(state, asked.atMs, {
    ...asked.wanted,
    stop: () => Atomics.load(flag, 0) !== 0,
    onBetter: (better) => {
      say({ kind: 'better', ...told(better, state) })
    }
  })
  if (!found) throw new Error(`event ${asked.eventId} has no plan`)
  say({ kind: 'found', stopped: found.stopped, proof: JSON.stringify(proofOf(found)), ...told(found, state) })
})

function folded({ eventId, facts }: Facts): LiveState {
  const state = (JSON.parse(facts) as Fact[]).reduce(reduce, states.get(eventId) ?? emptyState(eventId))
  states.set(eventId, state)
  return state
}

function proofOf({ basedOnSeq, atMs, judgement, bound }: Proposal): SearchView['proof'] {
  return bound === undefined ? null : { seq: basedOnSeq, atMs, judgement, bound }
}

/** Where a system has priorities by thread (Linux), searching gives way to answering calls. */
function giveWay(): void {
  try {
    setPriority(Number(basename(readlinkSync('/proc/thread-self'))), constants.priority.PRIORITY_BELOW_NORMAL)
  } catch {
    // Elsewhere it is a thread like any other.
  }
}
