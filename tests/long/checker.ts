import { isDeepStrictEqual } from 'node:util'
import type { Fact } from '../../shared/contracts/facts.ts'

/** What one client asked for, and every answer it had to it, in the order it asked. */
export interface Told {
  requestId: string
  /** When it was observed, where the request said so. */
  atMs: number | undefined
  answers: { from: number; to: number; facts: readonly Fact[]; repeated: boolean }[]
  /** Codes of refusals; one that was refused and never acknowledged left nothing. */
  refusals: string[]
}

export interface History {
  /** By client, in the order each asked. */
  told: ReadonlyMap<string, readonly Told[]>
  /** The log at the end. */
  log: readonly Fact[]
  /** What each board has seen, in the order it came. */
  seen: ReadonlyMap<string, readonly Fact[]>
}

/** What does not hold of a history, a sentence each; empty where all holds. */
export function faultsOf({ told, log, seen }: History): string[] {
  const faults: string[] = []
  const byRequest = new Map<string, Fact[]>()
  log.forEach((fact, index) => {
    if (fact.seq !== index + 1) faults.push(`fact ${String(index + 1)} has the number ${String(fact.seq)}`)
    byRequest.set(fact.requestId, [...(byRequest.get(fact.requestId) ?? []), fact])
  })
  for (const [client, list] of told) {
    let last = 0
    for (const one of list) {
      const recorded = byRequest.get(one.requestId) ?? []
      faults.push(...faultsOfOne(client, one, recorded))
      const [first] = recorded
      if (first === undefined) continue
      if (first.seq <= last) faults.push(`${client}: ${one.requestId} stands before what was told before it`)
      last = recorded.at(-1)?.seq ?? last
    }
  }
  for (const [board, facts] of seen) {
    if (!isDeepStrictEqual(facts, log)) {
      faults.push(`${board} has ${String(facts.length)} facts that are not the ${String(log.length)} of the log`)
    }
  }
  return faults
}

function faultsOfOne(client: string, one: Told, recorded: readonly Fact[]): string[] {
  const name = `${client}: ${one.requestId}`
  if (one.answers.length === 0) {
    return recorded.length === 0 ? [] : [`${name} was refused (${one.refusals.join(', ')}) and is in the log`]
  }
  const faults: string[] = []
  for (const { from, to, facts } of one.answers) {
    if (facts.length !== to - from + 1) faults.push(`${name} was answered with facts of another span`)
    if (!isDeepStrictEqual(facts, recorded)) {
      faults.push(
        recorded.length === 0
          ? `${name} was acknowledged and is lost`
          : `${name} is in the log otherwise than it was acknowledged, or twice`
      )
    }
  }
  if (one.answers.filter(({ repeated }) => !repeated).length > 1) faults.push(`${name} was recorded by two answers`)
  const wrong = recorded.find(({ atMs }) => one.atMs !== undefined && atMs !== one.atMs)
  if (wrong) faults.push(`${name} was observed at ${String(one.atMs)} ms and recorded at ${String(wrong.atMs)} ms`)
  return faults
}
