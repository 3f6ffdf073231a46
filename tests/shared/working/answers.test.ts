import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../../server/demo/plan.ts'
import type { Plan } from '../../../shared/contracts/plan.ts'
import { distanceM } from '../../../shared/geodesy.ts'
import { demandOf } from '../../../shared/live/demand.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { lossesOf } from '../../../shared/live/lost.ts'
import { sharingOf } from '../../../shared/live/share.ts'
import { emptyState, type LiveState } from '../../../shared/live/state.ts'
import { workingOf } from '../../../shared/working/explain.ts'
import { ASKED_FIGURES, figureRef, LOSS_FIGURES } from '../../../shared/working/figure.ts'
import { near, plain, reckon } from './reckon.ts'

/* No outside source: what the tables of demand, share and loss show is what their workings come to, line by line. */
const LONG_MS = 60_000

interface Shown {
  figure: string
  of: string
  index: number
  value: number | undefined
}

function shownOf(plan: Plan, state: LiveState): Shown[] {
  const shown: Shown[] = []
  const has = (figure: string, of: string, value: number | undefined, index = 0): void => {
    shown.push({ figure, of, index, value })
  }
  const asked = demandOf(plan)
  for (const one of asked.methods) {
    has('contacts asked', one.method, one.contacts.length)
    has('station time asked', one.method, one.stationS)
    has('station time there', one.method, one.thereS)
    has('stations needed', one.method, one.crowd?.stations ?? 0)
    has('on-load asked', one.method, one.askedKg)
    has('give there', one.method, one.giveKg)
    has('tankers by time', one.method, one.tankersByTime)
    has('tankers by give', one.method, one.tankersByGive)
    has('tankers needed', one.method, one.tankers)
    has('tankers there', one.method, one.tankerCount)
  }
  for (const group of asked.groups) {
    has('cycle contacts', group.pushGroupId, group.contactCount)
    has('cycle time', group.pushGroupId, group.cycleS)
    has('cycle window', group.pushGroupId, group.windowS)
  }
  const view = estimate(state, plan.opensAtMs)
  const tankerIds = [undefined, ...plan.tankers.map(({ id }) => id)]
  for (const { pushGroupId, plannedAtMs } of view?.pushes ?? []) {
    for (const [index, tankerId] of tankerIds.entries()) {
      const asked = view?.slots.filter(
        (slot) => slot.plannedPushAtMs <= plannedAtMs && (tankerId === undefined || slot.tankerId === tankerId)
      )
      has(
        'asked by push',
        pushGroupId,
        asked?.reduce((kg, slot) => kg + slot.neededKg, 0),
        index
      )
    }
  }
  for (const slot of view?.slots ?? []) {
    const { trackId = '' } = plan.tankers.find(({ id }) => id === slot.tankerId) ?? {}
    const track = plan.tracks.find(({ id }) => id === trackId)
    const base = plan.bases.find(({ id }) => id === slot.abortBaseId)
    if (!track || !base || slot.abortKg === null) continue
    has('abort on track', `${slot.shipId} ${trackId}`, slot.abortKg)
    // The wind may make a nearer turn point the worst one, by a little.
    const furthestM = Math.max(...track.orbit.map((point) => distanceM(point, base.position)))
    has('abort distance', `${slot.shipId} ${trackId}`, furthestM)
  }
  for (const tanker of view?.tankers ?? []) {
    const flightOf = (shipId: string) => plan.flights.find((one) => one.ships.some(({ id }) => id === shipId))
    const sharing = sharingOf(tanker, view?.slots ?? [], (shipId) => flightOf(shipId)?.priority ?? 5)
    if (!sharing) continue
    has('give lacking', tanker.tankerId, sharing.lackingKg)
    for (const portion of sharing.shared) has('share', portion.slotId, portion.givenKg)
  }
  const losses = lossesOf(state, plan.opensAtMs)
  for (const [index, outcome] of [losses?.asIs, ...(losses?.losses ?? [])].entries()) {
    if (!outcome) throw new Error('no losses')
    has('on time', '', outcome.onTime.length, index)
    for (const one of outcome.lateOrShort) {
      if (one.lateS > 0) has('late without', one.shipId, one.lateS, index)
      if (one.shortKg > 0) has('short without', one.shipId, one.shortKg, index)
    }
    for (const one of outcome.lost) if (one.pastS !== undefined) has('past without', one.shipId, one.pastS, index)
  }
  return shown
}

/** What is wrong with the workings; counts each kind that was opened. */
function faults(plan: Plan, counts: Map<string, number>): string[] {
  const state = { ...emptyState('computed'), plan }
  const found: string[] = []
  for (const { figure, of, index, value } of shownOf(plan, state)) {
    const what = `${figure} of ${of} at ${String(index)}`
    const ref = figureRef(figure, of, index)
    const working = ref && workingOf(ref, state, plan.opensAtMs)
    if (!working) {
      if (value !== undefined) found.push(`${what}: none`)
      continue
    }
    counts.set(figure, (counts.get(figure) ?? 0) + 1)
    working.lines.forEach((line, place) => {
      if (!near(reckon(line.expression, working, place), plain(line.result))) found.push(`${what}: line ${line.name}`)
    })
    const last = plain(working.lines.at(-1)?.result)
    if (value === undefined || !near(last, value)) found.push(`${what}: comes to ${String(last)}, not ${String(value)}`)
  }
  return found
}

/** The demonstration with less give, less fuel, an earlier push: everything breaks somewhere. */
function strained(): Plan {
  const plan = demoPlan(Date.UTC(2031, 4, 6, 9))
  const lb = (value: number) => ({ value, unit: 'lb' as const })
  return {
    ...plan,
    tankers: plan.tankers.map((tanker) =>
      tanker.id === 'auger' ? { ...tanker, mostTransferable: lb(20_000) } : tanker
    ),
    pushGroups: plan.pushGroups.map((group) =>
      group.id === 'escort' ? { ...group, pushAtMs: group.pushAtMs - 6 * 60_000 } : group
    ),
    flights: plan.flights.map((flight) =>
      flight.id === 'chisel'
        ? { ...flight, ships: flight.ships.map((ship) => ({ ...ship, startFuel: lb(4300) })) }
        : flight
    )
  }
}

describe('the workings of demand, share and loss', () => {
  it(
    'come to what the tables of the demonstration plan show, and to what those of one that breaks show',
    () => {
      const counts = new Map<string, number>()
      expect(faults(demoPlan(Date.UTC(2031, 4, 6, 9)), counts)).toEqual([])
      expect(faults(strained(), counts)).toEqual([])
      expect([...ASKED_FIGURES, ...LOSS_FIGURES].filter((figure) => !counts.has(figure))).toEqual([])
    },
    LONG_MS
  )

  it('have no answer for what is not there', () => {
    const plan = demoPlan(Date.UTC(2031, 4, 6, 9))
    const state = { ...emptyState('computed'), plan }
    for (const [figure, of, index] of [
      ['contacts asked', 'rope', 0],
      ['cycle time', 'never', 0],
      ['share', 'no-slot', 0],
      ['give lacking', 'mallet', 0],
      ['on time', '', 99],
      ['late without', 'nobody', 0]
    ] as const) {
      const ref = figureRef(figure, of, index)
      expect(ref).toBeDefined()
      expect(ref && workingOf(ref, state, plan.opensAtMs)).toBeUndefined()
    }
  })
})
