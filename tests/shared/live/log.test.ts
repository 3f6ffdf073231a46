import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import type { Fact } from '../../../shared/contracts/facts.ts'
import { FACT_KINDS } from '../../../shared/contracts/kinds.ts'
import type { View } from '../../../shared/contracts/view.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { planInForce } from '../../../shared/live/inforce.ts'
import { reduce } from '../../../shared/live/reduce.ts'
import { emptyState, orderOf, withdrawable, type LiveState } from '../../../shared/live/state.ts'
import { brief } from '../../../shared/plan/brief.ts'
import { demoPlan } from '../../../server/demo/plan.ts'
import { MemoryEvent } from '../../make/event.ts'

const OPENS_AT_MS = Date.UTC(2031, 4, 6, 9)
const MIN = 60_000
const demo = demoPlan(OPENS_AT_MS)
const shipIds = demo.flights.flatMap((flight) => flight.ships.map((ship) => ship.id as string))
const stations = demo.orders.flatMap((order) =>
  order.sequences.map((sequence) => ({ tankerId: order.tankerId, stationId: sequence.stationId }))
)
const slotIds = demo.orders.flatMap((order) =>
  order.sequences.flatMap((sequence) => sequence.slots.map((slot) => slot.id as string))
)

/** One thing somebody says: seconds after the last, what, about whom, with which figure. */
interface Word {
  afterS: number
  what: number
  whom: number
  figure: number
  /** Observed so long before it is said, s. */
  lateS: number
}
const words = fc.array(
  fc.record<Word>({
    afterS: fc.integer({ min: 0, max: 240 }),
    what: fc.nat(32),
    whom: fc.nat(),
    figure: fc.double({ min: 0, max: 1, noNaN: true }),
    lateS: fc.constantFrom(0, 0, 0, 20, 400)
  }),
  { minLength: 5, maxLength: 60 }
)

function ask(event: MemoryEvent, { what, whom, figure, lateS }: Word, nowMs: number): void {
  const added = [...event.state.receivers.values()].flatMap((facts) => facts.at(-1)?.flight.ships[0]?.id ?? [])
  const ships = [...shipIds, ...added]
  const shipId = ships[whom % ships.length] ?? ''
  const station = stations[whom % stations.length]
  const slotId = slotIds[whom % slotIds.length]
  const fuel = { value: Math.round(figure * 12_000), unit: 'lb' }
  const atMs = nowMs - lateS * 1000
  const say = (request: Parameters<MemoryEvent['ask']>[0]): void => {
    event.ask({ atMs, ...request }, nowMs)
  }
  // Somebody in contact, somebody who joined: else few would be told what happens next.
  const hooked = event.log.findLast((fact) => fact.kind === 'contactMade')
  const joined = event.log.findLast((fact) => fact.kind === 'shipJoined')
  if (what < 4) say({ kind: 'callFuel', shipId, fuel, covers: figure < 0.8 ? 'total' : 'internal' })
  else if (what < 8) say({ kind: 'makeContact', shipId, ...(figure < 0.9 ? {} : station) })
  else if (what === 8) say({ kind: 'startFlow', shipId: hooked?.shipId ?? shipId })
  else if (what < 12) {
    const off = figure < 0.5 ? {} : { offLoad: { value: Math.round(figure * 5000), unit: 'lb' } }
    say({ kind: 'disconnect', shipId: hooked?.shipId ?? shipId, how: figure > 0.8 ? 'partial' : 'whole', ...off })
  } else if (what === 12) say({ kind: 'joinShip', shipId })
  else if (what === 13) say({ kind: 'push', shipIds: [figure < 0.7 ? (joined?.shipId ?? shipId) : shipId] })
  else if (what === 14) say({ kind: figure < 0.7 ? 'leave' : 'land', shipId })
  else if (what === 15)
    say({ kind: 'setStation', ...station, status: figure < 0.3 ? 'failed' : figure < 0.6 ? 'suspect' : 'good' })
  else if (what === 16)
    say({ kind: 'setExternals', shipId, externals: figure < 0.4 ? 'held' : figure < 0.6 ? 'off' : 'selected' })
  else if (what === 17) {
    say({ kind: 'setPin', slotId, pinned: figure < 0.5, serveAnyway: figure > 0.7 })
    say({ kind: 'holdTanker', tankerId: station?.tankerId, held: figure < 0.6 })
    say({ kind: 'seeSlot', shipId, revision: 1, seenSeq: Math.floor(figure * event.state.seq) })
  } else if (what === 18)
    say({ kind: 'callTankerFuel', tankerId: station?.tankerId, fuel: { value: fuel.value * 10, unit: 'lb' } })
  else if (what === 20) {
    const groups = brief(demo).ships.get(shipId)?.sheet.groups ?? []
    const group = groups[whom % Math.max(1, groups.length)]
    const trouble = (['not giving', 'not taking', 'gone', undefined] as const)[Math.floor(figure * 4)]
    say({
      kind: 'setTrouble',
      shipId,
      groupId: group?.id,
      ...(figure > 0.5 ? { tankNumber: 1 } : {}),
      ...(trouble && { trouble })
    })
  } else if (what === 21) say({ kind: 'jettison', shipId })
  else if (what === 22) {
    const limit = (['abort', 'bingo', 'joker'] as const)[Math.floor(figure * 3)]
    say({
      kind: 'setLimit',
      shipId,
      limit,
      ...(figure < 0.9 ? { fuel: { value: 3000 + figure * 4000, unit: 'lb' } } : {})
    })
  } else if (what === 23) {
    // A gauge of the inside, wherever it may stand; only some types have one.
    const inside = shipIds.filter((id) => brief(demo).ships.get(id)?.sheet.gauge === 'internal')
    const of = inside[whom % inside.length] ?? shipId
    say({ kind: 'callFuel', shipId: of, fuel: { value: 2500 + figure * 1800, unit: 'lb' }, covers: 'internal' })
  } else if (what > 23) disrupt(say, event, { whom, figure, shipId, nowMs })
  else {
    const tankerId = station?.tankerId ?? ''
    const sequences = orderOf(event.state, tankerId).sequences.map((sequence, index) => {
      const turn = Math.floor(figure * sequence.slots.length)
      const slots = [...sequence.slots]
      const moved = index === 0 ? slots.splice(turn, 1) : []
      return { ...sequence, slots: [...slots, ...moved] }
    })
    say({ kind: 'setOrder', orders: [{ tankerId, sequences }], basedOnSeq: event.state.seq })
  }
}

/** Something comes otherwise than planned, or as planned again. */
function disrupt(
  say: (request: Parameters<MemoryEvent['ask']>[0]) => void,
  event: MemoryEvent,
  { whom, figure, shipId, nowMs }: Pick<Word, 'whom' | 'figure'> & { shipId: string; nowMs: number }
): void {
  const tanker = demo.tankers[whom % demo.tankers.length]
  const baseId = demo.bases[whom % demo.bases.length]?.id
  const flightId = demo.flights[whom % demo.flights.length]?.id
  const tankerId = tanker?.id ?? ''
  const again = figure > 0.8
  switch (whom % 9) {
    case 0:
      say({ kind: 'setReady', shipId, ...(again ? {} : { readyAtMs: nowMs + Math.round(figure * 40 * MIN) }) })
      return
    case 1:
      say({ kind: 'setNoShow', shipId, noShow: !again })
      return
    case 2:
      say({ kind: 'setPriority', flightId, ...(again ? {} : { priority: 1 + Math.floor(figure * 5) }) })
      return
    case 3: {
      const rules = [{ kind: 'internals' }, { kind: 'full' }, { kind: 'fixed', fuel: { value: 1500, unit: 'lb' } }]
      say({ kind: 'setOnLoad', shipId, ...(again ? {} : { onLoad: rules[Math.floor(figure * 3)] }) })
      return
    }
    case 4: {
      const byMs = Math.round((figure - 0.4) * 60 * MIN)
      const times = figure < 0.4 ? { leavesAtMs: (tanker?.leavesAtMs ?? 0) + byMs } : undefined
      say({
        kind: 'setTankerTimes',
        tankerId,
        ...(again ? {} : (times ?? { onStationAtMs: (tanker?.onStationAtMs ?? 0) + byMs }))
      })
      return
    }
    case 5:
      say({
        kind: 'setGive',
        tankerId,
        ...(again ? {} : { mostTransferable: { value: Math.round(figure * 60_000), unit: 'lb' } })
      })
      return
    case 6:
      say({ kind: 'setBase', baseId, open: figure > 0.5 })
      return
    case 7: {
      const receiverTypeId = tankerId === 'mallet' ? 'larch' : 'osier'
      const fuel = { value: 2500 + Math.round(figure * 2000), unit: 'lb' }
      const ready = figure < 0.5 ? {} : { readyAtMs: nowMs + Math.round(figure * 15 * MIN) }
      say({
        kind: 'addReceiver',
        callSign: `Tarn ${String(event.log.length)}`,
        receiverTypeId,
        fuel,
        tankerId,
        ...ready
      })
      return
    }
    case 8: {
      // One more contact of a ship, at the end of the station it stands at.
      const { sequences } = orderOf(event.state, tankerId)
      const slot = sequences.flatMap((sequence) => sequence.slots).find((one) => one.shipId === shipId)
      const more = { ...slot, id: `more-${String(event.state.seq)}` }
      const orders = sequences.map((one) =>
        slot && one.slots.includes(slot) ? { ...one, slots: [...one.slots, more] } : one
      )
      say({ kind: 'setOrder', orders: [{ tankerId, sequences: orders }], basedOnSeq: event.state.seq })
    }
  }
}

/** Kinds no word makes: what ends or shifts the event has tests of its own. */
const UNSAID: readonly string[] = ['eventClosed', 'clockSet', 'factWithdrawn']

interface Said {
  log: readonly Fact[]
  /** The state it grew to, looked at after every word as a board would. */
  state: LiveState
  nowMs: number
}

/** An event in which these words were said from the first arrivals on; the board looked at it after each. */
function said(spoken: readonly Word[], looks = true): Said {
  const event = new MemoryEvent(demo)
  let nowMs = OPENS_AT_MS + 24 * MIN
  for (const word of spoken) {
    nowMs += word.afterS * 1000
    ask(event, word, nowMs)
    if (looks) estimate(event.state, nowMs)
  }
  return { log: event.log, state: event.state, nowMs: nowMs + 30_000 }
}

const folded = (log: readonly Fact[], from = emptyState('paper')): LiveState => log.reduce(reduce, from)
/** As it comes over the wire: nothing of it is any object that was seen before. */
const sent = (log: readonly Fact[]): Fact[] => JSON.parse(JSON.stringify(log)) as Fact[]

/**
 * Where two views differ: words at all, figures by more than a milligram or a hundredth of a millisecond. What was kept
 * from an earlier look may differ from what is worked out now by rounding, and by no more.
 */
function differences(a: unknown, b: unknown, path = ''): string[] {
  if (typeof a === 'number' && typeof b === 'number') {
    const step = Math.abs(a) > 1e9 ? 1e-2 : 1e-6
    return Math.abs(a - b) <= step ? [] : [`${path}: ${String(a)}, ${String(b)}`]
  }
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) {
    return a === b ? [] : [`${path}: ${String(a)}, ${String(b)}`]
  }
  const keys = new Set([...Object.keys(a), ...Object.keys(b)])
  return [...keys].flatMap((key) =>
    differences((a as Record<string, unknown>)[key], (b as Record<string, unknown>)[key], `${path}/${key}`)
  )
}

describe('any log that was decided', { timeout: 120_000 }, () => {
  it('holds facts of every kind that the words can make', () => {
    const made = FACT_KINDS.filter((kind) => !UNSAID.includes(kind)).sort()
    const kinds = new Set<string>()
    for (const spoken of fc.sample(words, { numRuns: 300, seed: 7 })) {
      for (const fact of said(spoken, false).log) kinds.add(fact.kind)
      if (kinds.size >= made.length) break
    }
    expect([...kinds].sort()).toEqual(made)
  })

  it('replays in two halves, sent anew, to the view of the board that saw it grow; a fact withdrawn never happened', () => {
    let withdrawals = 0
    fc.assert(
      fc.property(words, fc.double({ min: 0, max: 1, noNaN: true }), fc.nat(), (spoken, share, pick) => {
        const { log, state, nowMs } = said(spoken)
        const half = Math.floor(share * log.length)
        const facts = sent(log)
        const replayed = folded(facts.slice(half), folded(facts.slice(0, half)))
        expect(differences(estimate(replayed, nowMs), estimate(state, nowMs))).toEqual([])

        const open = log.filter((fact) => withdrawable(state, fact.seq))
        const gone = open[pick % Math.max(1, open.length)]
        if (!gone) return
        withdrawals += 1
        const { v, eventId, recordedAtMs, by, requestId } = gone
        const end = { v, eventId, recordedAtMs, by, requestId, seq: state.seq + 1, atMs: nowMs }
        const withdrawn = reduce(state, { ...end, kind: 'factWithdrawn', withdrawnSeq: gone.seq })
        const never = folded(sent(log.filter((fact) => fact.seq !== gone.seq)))
        const seen = differences(estimate(withdrawn, nowMs), estimate(never, nowMs))
        expect(seen.filter((difference) => !difference.startsWith('/seq:'))).toEqual([])
      }),
      { numRuns: 25, seed: 20310506, endOnFailure: true }
    )
    expect(withdrawals).toBeGreaterThan(15)
  })

  it('folds and is seen without throwing, whichever of its facts are missing', () => {
    fc.assert(
      fc.property(words, fc.infiniteStream(fc.boolean()), (spoken, coins) => {
        const { log, nowMs } = said(spoken, false)
        const some = log.filter((fact) => fact.kind === 'planAdopted' || coins.next().value)
        const state = folded(some)
        for (const atMs of [OPENS_AT_MS, nowMs, nowMs + 90 * MIN]) {
          const view = estimate(state, atMs)
          const flights = planInForce(state)?.flights ?? []
          expect(view?.ships).toHaveLength(flights.reduce((sum, flight) => sum + flight.ships.length, 0))
          expect(view?.ships.length).toBeGreaterThanOrEqual(24)
          expect(view?.ships.every((ship) => Number.isFinite(ship.fuelKg) && ship.fuelKg >= 0)).toBe(true)
        }
        expect(estimate(folded(log.filter((fact) => fact.kind !== 'planAdopted')), nowMs)).toBeUndefined()
      }),
      { numRuns: 25, seed: 20310506, endOnFailure: true }
    )
  })
})

/*
 * A log of the first released shape, flown once by the demonstration's script; its figures stay what they were, but where a
 * fault was mended or the reckoning became another: second visits and pushes now start from calls after the disconnect,
 * externals of which a reading leaves open what they hold are counted as empty, and calls are weighed by how sure they
 * are, with margins on the safe side.
 */
const golden = readFileSync(new URL('../../logs/four-shores.jsonl', import.meta.url), 'utf8')
  .trim()
  .split('\n')
  .map((line) => JSON.parse(line) as Fact)

interface KeyFigures {
  minutes: number
  ships: Record<string, [status: string, fuelKg: number, marginS: number | null]>
  slots: Record<string, [state: string, contactMin: number, disconnectMin: number, onLoadKg: number]>
  tankers: Record<string, [fuelKg: number, giveKg: number]>
  judgement: View['judgement']
}
const keyFigures = JSON.parse(
  readFileSync(new URL('../../logs/four-shores.view.json', import.meta.url), 'utf8')
) as KeyFigures[]

describe('the golden log', () => {
  it.each(keyFigures)('shows at minute $minutes what it showed when it was recorded', (figures) => {
    const openedAtMs = golden[0]?.atMs ?? 0
    const atMs = openedAtMs + figures.minutes * MIN
    const view = estimate(folded(golden.filter((fact) => fact.atMs <= atMs)), atMs)
    if (!view) throw new Error('no view')
    for (const ship of view.ships) {
      const [status, fuelKg, marginS] = figures.ships[ship.shipId] ?? ['', NaN, null]
      expect([ship.shipId, ship.status]).toEqual([ship.shipId, status])
      expect(ship.fuelKg).toBeCloseTo(fuelKg, 1)
      if (marginS === null) expect(ship.margin).toBeNull()
      else expect(ship.margin?.marginS).toBeCloseTo(marginS, 0)
    }
    for (const slot of view.slots) {
      const [state, contactMin, disconnectMin, onLoadKg] = figures.slots[slot.slotId] ?? ['', NaN, NaN, NaN]
      expect([slot.slotId, slot.state]).toEqual([slot.slotId, state])
      expect((slot.contactAtMs - openedAtMs) / MIN).toBeCloseTo(contactMin, 2)
      expect((slot.disconnectAtMs - openedAtMs) / MIN).toBeCloseTo(disconnectMin, 2)
      expect(slot.onLoadKg).toBeCloseTo(onLoadKg, 1)
    }
    for (const tanker of view.tankers) {
      const [fuelKg, giveKg] = figures.tankers[tanker.tankerId] ?? [NaN, NaN]
      expect(tanker.fuelKg).toBeCloseTo(fuelKg, 1)
      // It was recorded with what flowed in contacts under way.
      expect(tanker.giveKg + tanker.flowedKg).toBeCloseTo(giveKg, 1)
    }
    expect(view.judgement).toEqual(figures.judgement)
    expect([view.ships.length, view.slots.length, view.tankers.length]).toEqual([24, 32, 3])
  })
})
