import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import type { Fact } from '../../../shared/contracts/facts.ts'
import { reduce } from '../../../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../../../shared/live/state.ts'
import { propose } from '../../../shared/propose/propose.ts'

/*
 * No outside source: a log that the demonstration flew, with a station failed by hand. Ships of it stand there for both of
 * their visits, and who misses the first is lost in the second wherever that stands: both have to move at once. What a
 * new order from scratch saves, moving few saves too.
 */
const MIN = 60_000
const log = readFileSync(new URL('../../logs/four-shores.jsonl', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .map((line) => JSON.parse(line) as Fact)
const openedAtMs = log[0]?.atMs ?? NaN

it.each([20, 34, 45])('a repair at minute %i loses no more than a new order, whichever hose has failed', (minutes) => {
  const atMs = openedAtMs + minutes * MIN
  const flown = log
    .filter((fact) => fact.atMs <= atMs)
    .reduce<LiveState>((state, fact) => reduce(state, fact), emptyState(log[0]?.eventId ?? ''))
  let saved = 0
  for (const stationId of ['left', 'right', 'centre']) {
    const failed = { ...log[0], seq: flown.seq + 1, requestId: 'failed', atMs, recordedAtMs: atMs }
    const state = reduce(flown, {
      ...failed,
      kind: 'stationStatus',
      tankerId: 'auger',
      stationId,
      status: 'failed'
    } as Fact)
    const [repair, anew] = [propose(state, atMs, { kind: 'repair' }), propose(state, atMs, { kind: 'anew' })]
    if (!repair || !anew) throw new Error('no plan')
    expect(repair.judgement.lostWeight, stationId).toBeLessThanOrEqual(anew.judgement.lostWeight)
    saved += repair.before.lostWeight - repair.judgement.lostWeight
  }
  expect(saved).toBeGreaterThan(0)
})
