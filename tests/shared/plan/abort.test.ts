import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import type { View } from '../../../shared/contracts/view.ts'
import { estimate } from '../../../shared/live/estimate.ts'
import { lossesOf } from '../../../shared/live/lost.ts'
import { abortBaseOf } from '../../../shared/plan/abort.ts'
import { brief } from '../../../shared/plan/brief.ts'
import { abortKg } from '../../../shared/plan/limits.ts'
import { workingOf } from '../../../shared/working/explain.ts'
import { MemoryEvent } from '../../make/event.ts'
import { OPENS_AT_MS, paperPlan } from '../../make/plan.ts'

/*
 * Constructed: the paper plan, worked out by hand. On the equator, no wind, 200 m/s and 0.5 kg/s home, 100 kg approach,
 * 240 kg reserve. The first abort base lies 100 km from the worst turn point: 250 + 340 = 590 kg. The second one lies
 * 200 km beyond the control point, 250 km from the other turn point: 625 + 340 = 965 kg. From the control point it is
 * 500 s to the first base and 1,000 s to the second. The visit is ready at 12:20Z and pushes at 13:00Z as planned.
 */
const MIN = 60_000
const S = 1000
const KM_100_DEG = (100_000 / 6_378_137) * (180 / Math.PI)
const READY_MS = OPENS_AT_MS + 20 * MIN
const PUSH_MS = OPENS_AT_MS + 60 * MIN

interface Base {
  id: string
  fitFor?: string[]
  opensAtMs?: number
  closesAtMs?: number
}
interface Document {
  bases: (Base & { name: string; position: object })[]
  tracks: { secondAbortBaseId?: string; controlPoint: object; orbit: object[] }[]
  flights: { recoveryBaseId: string; route: { span?: { to?: object; trueAirspeed?: object } }[] }[]
  receiverTypes: { recoveryAirspeed: object }[]
}

/** Two abort bases, and a third base to recover to. */
function plan({
  west = {},
  east = {},
  second = true
}: {
  west?: Partial<Base>
  east?: Partial<Base>
  second?: boolean
}) {
  return paperPlan((raw) => {
    const document = raw as unknown as Document
    const at = (longitudeDeg: number) => ({ latitudeDeg: 0, longitudeDeg })
    document.bases = [
      { id: 'west', name: 'West Quay', position: at(0), ...west },
      { id: 'east', name: 'East Quay', position: at(3 * KM_100_DEG), ...east },
      { id: 'home', name: 'Home Quay', position: at(0) }
    ]
    if (second) for (const track of document.tracks) track.secondAbortBaseId = 'east'
    for (const flight of document.flights) Object.assign(flight, { departureBaseId: 'home', recoveryBaseId: 'home' })
  })
}

const aborts = (of: ReturnType<typeof plan>) => {
  const made = brief(of)
  const [flight] = [...made.flights.values()]
  if (!flight) throw new Error('no flight')
  const [ship] = flight.ships
  if (!ship) throw new Error('no ship')
  return { ...abortBaseOf(made, flight, 'anchor'), kg: abortKg(made, ship, 'anchor') }
}
const seen = (event: MemoryEvent, nowMs = OPENS_AT_MS): View => {
  const view = estimate(event.state, nowMs)
  if (!view) throw new Error('no view')
  return view
}
const FIRST = { baseId: 'west', stands: true, why: undefined }
const SECOND = { baseId: 'east', stands: true }

describe('the abort base of a track', () => {
  it('is the first one while nothing is against it', () => {
    expect(aborts(plan({}))).toMatchObject(FIRST)
    expect(aborts(plan({})).kg).toBeCloseTo(590, 6)
  })

  it('is the second one where the first is not fit for the type', () => {
    const its = aborts(plan({ west: { fitFor: [] } }))
    expect(its).toMatchObject({ ...SECOND, why: 'not fit' })
    expect(its.kg).toBeCloseTo(965, 6)
    expect(aborts(plan({ west: { fitFor: ['larch'] } }))).toMatchObject(FIRST)
  })

  it('is the second one unless the first is open from whoever comes first to whoever comes last', () => {
    const soonestMs = READY_MS + 500 * S
    const latestMs = PUSH_MS + 500 * S
    expect(aborts(plan({ west: { closesAtMs: latestMs + S } }))).toMatchObject(FIRST)
    expect(aborts(plan({ west: { closesAtMs: latestMs - S } }))).toMatchObject({ ...SECOND, why: 'not open' })
    expect(aborts(plan({ west: { opensAtMs: soonestMs - S } }))).toMatchObject(FIRST)
    expect(aborts(plan({ west: { opensAtMs: soonestMs + S } }))).toMatchObject({ ...SECOND, why: 'not open' })
  })

  it('is the first one where both are open for a part of the time alone', () => {
    const closesAtMs = PUSH_MS
    expect(aborts(plan({ west: { closesAtMs }, east: { closesAtMs } }))).toMatchObject(FIRST)
  })

  it('is a published distance away where the second base lies there', () => {
    // Source: GeographicLib test suite, geodesictest.js; 2,319,004.860 m at 400 m/s and 0.5 kg/s, 340 kg beside.
    const published = JSON.parse(readFileSync(new URL('../../truth/geodesy.json', import.meta.url), 'utf8')) as {
      id: string
      inputs: Record<string, number>
      expected: { s12_m: number }
    }[]
    const truth = published.find(({ id }) => id === 'geod-npm-test-13')
    const { lat1 = 0, lon1 = 0, lat2 = 0, lon2 = 0 } = truth?.inputs ?? {}
    const here = { latitudeDeg: lat1, longitudeDeg: lon1 }
    const its = aborts(
      paperPlan((raw) => {
        const document = raw as unknown as Document
        document.bases = [
          { id: 'west', name: 'West Quay', position: here, fitFor: [] },
          { id: 'east', name: 'East Quay', position: { latitudeDeg: lat2, longitudeDeg: lon2 } },
          { id: 'home', name: 'Home Quay', position: here }
        ]
        for (const type of document.receiverTypes) type.recoveryAirspeed = { value: 400, unit: 'm/s' }
        for (const track of document.tracks)
          Object.assign(track, { secondAbortBaseId: 'east', controlPoint: here, orbit: [here, here] })
        for (const flight of document.flights) {
          Object.assign(flight, { recoveryBaseId: 'home', departureBaseId: 'home' })
          for (const { span } of flight.route) if (span?.to) span.to = here
        }
      })
    )
    expect(its).toMatchObject({ ...SECOND, why: 'not fit' })
    expect(its.kg).toBeCloseTo((2_319_004.860116939 / 400) * 0.5 + 340, 6)
  })
})

describe('a first abort base that is closed in an event', () => {
  const close = (event: MemoryEvent, baseId: string) => event.ask({ kind: 'setBase', baseId, open: false }, OPENS_AT_MS)

  it('leaves abort fuel to the second one, and slot, ship and working say so and why', () => {
    const event = new MemoryEvent(plan({}))
    expect(seen(event).ships[0]).toMatchObject({ abortBaseId: 'west', abortWhy: null })
    close(event, 'west')
    const { ships, slots, reasons } = seen(event)
    for (const ship of ships) {
      expect(ship).toMatchObject({ abortBaseId: 'east', abortWhy: 'closed' })
      expect(ship.abortKg).toBeCloseTo(965, 6)
    }
    for (const slot of slots) expect(slot).toMatchObject({ abortBaseId: 'east', abortWhy: 'closed' })
    expect(reasons.map(({ kind }) => kind)).not.toContain('no abort base')
    const working = workingOf({ figure: 'abort', shipId: 'alder-21' }, event.state, OPENS_AT_MS)
    expect(working?.result.value).toBeCloseTo(965, 6)
    expect(working?.because).toEqual({ why: 'closed', baseId: 'east', firstBaseId: 'west' })
  })

  it("is nobody's when the second one closes as well", () => {
    const event = new MemoryEvent(plan({}))
    close(event, 'west')
    close(event, 'east')
    const { ships, reasons } = seen(event)
    for (const ship of ships)
      expect(ship).toMatchObject({ abortBaseId: null, abortKg: null, abortWhy: 'closed', margin: null })
    expect(reasons.filter(({ kind }) => kind === 'no abort base')).toMatchObject([
      { severity: 'now', shipId: 'alder-21', baseId: 'west', why: 'closed' },
      { severity: 'now', shipId: 'alder-22', baseId: 'west', why: 'closed' }
    ])
  })

  it('sends whoever leaves without naming a base to the second one', () => {
    const event = new MemoryEvent(plan({}))
    close(event, 'west')
    event.ask({ kind: 'joinShip', shipId: 'alder-21' }, OPENS_AT_MS)
    event.ask({ kind: 'leave', shipId: 'alder-21' }, OPENS_AT_MS + MIN)
    expect(event.log.at(-1)).toMatchObject({ kind: 'shipLeft', baseId: 'east' })
  })

  it('leaves no ship unsafe if it were lost', () => {
    const lost = (of: ReturnType<typeof plan>) =>
      lossesOf(new MemoryEvent(of).state, OPENS_AT_MS)?.losses.find(({ baseId }) => baseId === 'west')
    expect(lost(plan({}))).toMatchObject({ unsafe: [], abort: [] })
    const ships = ['alder-21', 'alder-22']
    expect(lost(plan({ second: false }))).toMatchObject({
      unsafe: ships,
      abort: [{ trackId: 'anchor', shipIds: ships }]
    })
  })

  it('takes a receiver nobody planned to the second one', () => {
    const event = new MemoryEvent(plan({}))
    close(event, 'west')
    const fuel = { value: 2000, unit: 'kg' }
    const stray = { kind: 'addReceiver' as const, callSign: 'Tarn 1', receiverTypeId: 'larch', fuel, tankerId: 'kelp' }
    expect(event.ask(stray, OPENS_AT_MS)).toBeUndefined()
    const added = event.log.find((fact) => fact.kind === 'receiverAdded')
    expect(added?.kind === 'receiverAdded' && added.flight.recoveryBaseId).toBe('east')
  })

  it('refuses a receiver to a base that is not fit for it', () => {
    const event = new MemoryEvent(plan({ west: { fitFor: [] } }))
    const fuel = { value: 2000, unit: 'kg' }
    const stray = { kind: 'addReceiver' as const, callSign: 'Tarn 1', receiverTypeId: 'larch', fuel, tankerId: 'kelp' }
    expect(event.ask({ ...stray, recoveryBaseId: 'west' }, OPENS_AT_MS)).toMatchObject({
      code: 'out-of-bounds',
      errors: [{ path: '/recoveryBaseId', value: 'west' }]
    })
  })
})

describe('a base that closes at a time', () => {
  it('is no abort base of a contact from which a ship would come too late', () => {
    // Contacts at 12:21:30Z and, with what the first takes, after 12:23Z: at the base 500 s later.
    const event = new MemoryEvent(plan({ west: { closesAtMs: READY_MS + 90 * S + 500 * S + 30 * S }, second: false }))
    const { slots, reasons } = seen(event)
    expect(slots.map(({ abortBaseId, abortWhy }) => [abortBaseId, abortWhy])).toEqual([
      ['west', null],
      [null, 'not open']
    ])
    expect(reasons.filter(({ kind }) => kind === 'no abort base')).toMatchObject([
      { shipId: 'alder-22', why: 'not open' }
    ])
  })

  it('is named where the order brings a ship to it too late, and not where the plan does', () => {
    // As planned: push 13:00Z, 30 min task, 500 s home. Ready at 12:58Z instead, the last contact ends after 13:00Z.
    const landsMs = PUSH_MS + 30 * MIN + 500 * S
    const made = paperPlan((raw) => {
      const document = raw as unknown as Document
      for (const base of document.bases) base.closesAtMs = landsMs + S
    })
    const event = new MemoryEvent(made)
    const late = () => seen(event).reasons.filter(({ kind }) => kind === 'base not open')
    expect(late()).toEqual([])
    for (const shipId of ['alder-21', 'alder-22'])
      event.ask({ kind: 'setReady', shipId, readyAtMs: PUSH_MS - 2 * MIN }, OPENS_AT_MS)
    expect(late()).toMatchObject([
      { severity: 'soon', shipId: 'alder-21', baseId: 'west' },
      { severity: 'soon', shipId: 'alder-22', baseId: 'west' }
    ])
    for (const { atMs } of late()) expect(atMs).toBeGreaterThan(landsMs + S)
  })
})
