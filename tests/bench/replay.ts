import type { Fact } from '../../shared/contracts/facts.ts'
import { reduce } from '../../shared/live/reduce.ts'
import { emptyState } from '../../shared/live/state.ts'
import { longLog } from './demo.ts'
import { interleaved, latencies, rowOf, type Row } from './timing.ts'

const FACT_COUNT = 10_000
const BATCHES = 30

/** Folding a long log, against reading the same log from JSON. */
export function replayRows(): Row[] {
  const log = longLog(FACT_COUNT).slice(0, FACT_COUNT)
  const text = JSON.stringify(log)
  const ours = () => log.reduce(reduce, emptyState('paper')).seq
  const bare = () => (JSON.parse(text) as Fact[]).length
  const times = interleaved({ ours, bare }, BATCHES)
  return [rowOf('replay of 10,000 facts', 'ms', BATCHES, latencies(times.ours), latencies(times.bare))]
}
