import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../../server/demo/plan.ts'
import type { Fact } from '../../../shared/contracts/facts.ts'
import type { Plan } from '../../../shared/contracts/plan.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { reduce } from '../../../shared/live/reduce.ts'
import { emptyState, type LiveState } from '../../../shared/live/state.ts'
import { workingOf, workingsOf } from '../../../shared/working/explain.ts'
import {
  FLIGHT_FIGURES,
  PLAN_FIGURES,
  PUSH_FIGURES,
  RUNG_FIGURES,
  SHIP_FIGURES,
  SLOT_FIGURES,
  STOP_FIGURES,
  TANKER_FIGURES,
  type Figure
} from '../../../shared/working/figure.ts'
import { KG_PER_LB } from '../../../shared/units.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS as PAPER_OPENS_AT_MS, paperPlan } from '../../make/plan.ts'
import { figuresOf } from './figures.ts'
import { near, plain, reckon } from './reckon.ts'

/*
 * No outside source: the promise that what a screen shows and what its working comes to are one figure, and that every
 * line of it can be worked out again from what stands above it. The arithmetic here is the test's own.
 */

const MIN = 60_000
const OPENS_AT_MS = Date.UTC(2031, 4, 6, 9)
/** Some seven hundred figures. */
const LONG_MS = 60_000

/* A constructed case: rules and weights that the demonstration does not use. */
const lb = (value: number) => ({ value, unit: 'lb' as const })
const WEIGHING = { zeroFuel: lb(22_000), reference: lb(30_000) }
const RESERVE: Plan['rules']['landingReserve'] = {
  kind: 'greatest',
  of: [
    { kind: 'minutes', holdingMin: 10 },
    { kind: 'share', sharePercent: 10, floor: lb(900) },
    { kind: 'rendezvous', sharePercent: 15 }
  ]
}

/**
 * What is wrong with the workings of a state at an instant; counts each kind of figure that was opened. The first of each
 * kind is opened by itself too, as a screen does: others opened before it may not change it.
 */
function faults(state: LiveState, nowMs: number, counts: Map<string, number>): string[] {
  const view = estimate(state, nowMs)
  if (!view) throw new Error('no view')
  const found: string[] = []
  const open = workingsOf(state, nowMs)
  const alone = new Set<Figure>()
  for (const { ref, value } of figuresOf(view)) {
    const what = `${JSON.stringify(ref)} at ${String(nowMs)}`
    const working = open?.(ref)
    if (!alone.has(ref.figure)) expect(workingOf(ref, state, nowMs), what).toEqual(working)
    alone.add(ref.figure)
    if (!working) {
      found.push(`${what}: none`)
      continue
    }
    counts.set(ref.figure, (counts.get(ref.figure) ?? 0) + 1)
    working.lines.forEach((line, index) => {
      const again = reckon(line.expression, working, index)
      if (!near(again, plain(line.result)))
        found.push(
          `${what}: line ${line.name} ${line.about ?? ''} says ${String(plain(line.result))}, is ${String(again)}`
        )
    })
    const last = working.lines.at(-1)?.result
    if (!last || last !== working.result) found.push(`${what}: the last line is not the result`)
    const shown = last?.kind === 'instant' ? value / 1000 : value
    if (!last || !near(plain(last), shown))
      found.push(`${what}: comes to ${String(last && plain(last))}, the view says ${String(shown)}`)
  }
  return found
}

const log = readFileSync(new URL('../../logs/four-shores.jsonl', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .map((line) => JSON.parse(line) as Fact)
const foldTo = (atMs: number): LiveState =>
  log.filter((fact) => fact.recordedAtMs <= atMs).reduce(reduce, emptyState('paper'))

const KINDS: readonly Figure[] = [
  ...SHIP_FIGURES,
  ...SLOT_FIGURES,
  ...STOP_FIGURES,
  ...TANKER_FIGURES,
  ...PUSH_FIGURES,
  ...FLIGHT_FIGURES,
  ...RUNG_FIGURES,
  ...PLAN_FIGURES
]

describe('the working of a figure', () => {
  const counts = new Map<string, number>()

  it(
    'comes to the figure the view has, line by line, when the demonstration opens',
    () => {
      const plan = demoPlan(OPENS_AT_MS)
      const state = { ...emptyState('paper'), plan, revision: 1, adoptedSeq: 1 }
      expect(faults(state, plan.opensAtMs, counts)).toEqual([])
    },
    LONG_MS
  )

  const openedAtMs = log[0]?.atMs ?? 0
  it.each([5, 20, 32, 45, 60, 100])(
    'does so after %i minutes of a recorded event',
    (min) => {
      const nowMs = openedAtMs + min * MIN
      expect(faults(foldTo(nowMs), nowMs, counts)).toEqual([])
    },
    LONG_MS
  )

  it('does so where the second abort base counts, for one that is closed', { timeout: LONG_MS }, () => {
    const demo = demoPlan(OPENS_AT_MS)
    const [first, ...others] = demo.tracks
    const second = demo.bases.find(({ id }) => id !== first?.abortBaseId)?.id
    if (!first || !second) throw new Error('the demonstration has a track and two bases')
    const event = new MemoryEvent({ ...demo, tracks: [{ ...first, secondAbortBaseId: second }, ...others] })
    event.ask({ kind: 'setBase', baseId: first.abortBaseId, open: false }, OPENS_AT_MS)
    expect(faults(event.state, OPENS_AT_MS + MIN, counts)).toEqual([])
  })

  it(
    'does so where tankers run dry and leave early, ships come late, and flows grow with weight',
    { timeout: LONG_MS },
    () => {
      const demo = demoPlan(OPENS_AT_MS)
      const part = <Unit>(typed: { value: number; unit: Unit }, share: number) => ({
        ...typed,
        value: typed.value * share
      })
      const plan = {
        ...demo,
        rules: { ...demo.rules, landingReserve: RESERVE },
        tankers: demo.tankers.map((tanker) => ({
          ...tanker,
          leavesAtMs: OPENS_AT_MS + 30 * MIN,
          mostTransferable: part(tanker.mostTransferable, 0.3)
        })),
        receiverTypes: demo.receiverTypes.map((type) => ({ ...type, weighing: WEIGHING })),
        flights: demo.flights.map((flight) => ({
          ...flight,
          limits: { ...flight.limits, bingo: lb(900) },
          ships: flight.ships.map((ship, index) =>
            index === 0 ? { ...ship, startFuel: part(ship.startFuel, 0.6) } : ship
          )
        }))
      }
      const state = { ...emptyState('paper'), plan, revision: 1, adoptedSeq: 1 }
      const view = estimate(state, OPENS_AT_MS)
      expect(view?.reasons.map((reason) => reason.kind)).toEqual(
        expect.arrayContaining([
          'tanker dry',
          'tanker held late',
          'past latest contact',
          'short at push',
          'hand limit overruled'
        ])
      )
      expect(faults(state, OPENS_AT_MS, counts)).toEqual([])
    }
  )

  it(
    'says who set a limit by hand, what they typed and when, and that a call moved the fuel',
    () => {
      const event = new MemoryEvent(demoPlan(OPENS_AT_MS), OPENS_AT_MS)
      const fuel = { value: 7777, unit: 'lb' }
      const setAtMs = OPENS_AT_MS + MIN
      expect(event.ask({ kind: 'setLimit', shipId: 'alder-1', limit: 'abort', fuel }, setAtMs)).toBeUndefined()
      const call = { kind: 'callFuel', shipId: 'alder-1', fuel: { value: 9_000, unit: 'lb' }, covers: 'total' } as const
      expect(event.ask(call, OPENS_AT_MS + 6 * MIN)).toBeUndefined()
      const nowMs = OPENS_AT_MS + 8 * MIN
      const abort = workingOf({ figure: 'abort', shipId: 'alder-1' }, event.state, nowMs)
      expect(abort?.result).toEqual({ kind: 'mass', value: 7777 * KG_PER_LB })
      expect(abort?.inputs.find((input) => input.source.from === 'by hand')?.source).toEqual({
        from: 'by hand',
        atMs: setAtMs,
        seq: 3,
        typed: fuel
      })
      const held = workingOf({ figure: 'fuel', shipId: 'alder-1' }, event.state, nowMs)
      expect(held?.inputs[0]?.source).toEqual({ from: 'called', atMs: OPENS_AT_MS + 6 * MIN, seq: 4, typed: call.fuel })
      expect(faults(event.state, nowMs, counts)).toEqual([])
    },
    LONG_MS
  )

  it(
    'tells how much of an on-load goes into tanks that do not give',
    () => {
      const event = new MemoryEvent(demoPlan(OPENS_AT_MS), OPENS_AT_MS)
      const nowMs = OPENS_AT_MS + 8 * MIN
      const trouble = { kind: 'setTrouble', shipId: 'rasp-1', groupId: 'sedge-wing', trouble: 'not giving' } as const
      expect(event.ask({ ...trouble, tankNumber: 1 }, nowMs)).toBeUndefined()
      const slot = estimate(event.state, nowMs)?.slots.find((one) => one.shipId === 'rasp-1')
      expect(slot?.lostKg).toBeGreaterThan(10)
      const working = workingOf({ figure: 'lost', slotId: slot?.slotId ?? '' }, event.state, nowMs)
      expect(working?.inputs.map((input) => input.about)).toEqual(['Wing', 'Wing'])
      expect(faults(event.state, nowMs, counts)).toEqual([])
    },
    LONG_MS
  )

  it(
    'comes to recovery fuel where that is the limit: in contact, and below it after a low call',
    () => {
      const event = new MemoryEvent(demoPlan(OPENS_AT_MS), OPENS_AT_MS)
      const nowMs = OPENS_AT_MS + 20 * MIN
      expect(event.ask({ kind: 'makeContact', shipId: 'alder-1' }, nowMs)).toBeUndefined()
      const seen = estimate(event.state, nowMs + MIN)
      expect(seen?.ships.find(({ shipId }) => shipId === 'alder-1')?.margin?.limit).toBe('recovery fuel')
      expect(faults(event.state, nowMs + MIN, counts)).toEqual([])
      const fuel = { value: 1_500, unit: 'lb' }
      for (const shipId of ['alder-1', 'alder-2'])
        expect(event.ask({ kind: 'callFuel', shipId, fuel, covers: 'total' }, nowMs + MIN)).toBeUndefined()
      const low = estimate(event.state, nowMs + MIN)?.reasons.filter(({ kind }) => kind === 'below recovery fuel')
      expect(low?.map(({ shipId }) => shipId).sort()).toEqual(['alder-1', 'alder-2'])
      expect(faults(event.state, nowMs + MIN, counts)).toEqual([])
    },
    LONG_MS
  )

  it(
    'comes to a limit set by hand that is passed while recovery fuel is not',
    () => {
      const event = new MemoryEvent(paperPlan())
      const ask = (atMin: number, request: Parameters<MemoryEvent['ask']>[0]): void => {
        expect(event.ask(request, PAPER_OPENS_AT_MS + atMin * MIN)).toBeUndefined()
      }
      const shipId = 'alder-21'
      ask(20, { kind: 'joinShip', shipId })
      ask(60, { kind: 'push', shipIds: [shipId] })
      ask(61, { kind: 'setLimit', shipId, limit: 'bingo', fuel: { value: 1000, unit: 'kg' } })
      ask(61, { kind: 'callFuel', shipId, fuel: { value: 900, unit: 'kg' }, covers: 'total' })
      const nowMs = PAPER_OPENS_AT_MS + 61 * MIN
      expect(estimate(event.state, nowMs)?.reasons.map(({ kind }) => kind)).toContain('below limit')
      expect(faults(event.state, nowMs, counts)).toEqual([])
    },
    LONG_MS
  )

  it('was opened for every kind of figure there is', () => {
    console.log(KINDS.map((kind) => `${kind} ${String(counts.get(kind) ?? 0)}`).join(', '))
    expect(KINDS.filter((kind) => !counts.has(kind))).toEqual([])
  })

  it('names no figure of what is not there', () => {
    const state = foldTo(openedAtMs)
    expect(workingOf({ figure: 'fuel', shipId: 'nobody' }, state, openedAtMs)).toBeUndefined()
    expect(workingOf({ figure: 'contact', slotId: 'nobody' }, state, openedAtMs)).toBeUndefined()
    expect(workingOf({ figure: 'fuel', shipId: 'alder-1' }, emptyState('paper'), openedAtMs)).toBeUndefined()
  })
})
