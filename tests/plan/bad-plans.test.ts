import { describe, expect, it } from 'vitest'
import { SIZES } from '../../shared/contracts/bounds.ts'
import type { Fault } from '../../shared/contracts/problem.ts'
import { readPlan } from '../../shared/plan/read.ts'
import { demoPlan } from '../../server/demo/plan.ts'
import { changed } from './inputs.ts'

/*
 * Constructed: the demonstration plan spoiled in one way each. A bad plan is refused whole, with every fault's path,
 * value and limit.
 */
const OPENS_AT_MS = Date.UTC(2031, 4, 6, 9)
const good: unknown = JSON.parse(JSON.stringify(demoPlan(OPENS_AT_MS)))

type Path = readonly (string | number)[]
const pathOf = (pointer: string): Path =>
  pointer
    .split('/')
    .slice(1)
    .map((key) => (/^\d+$/.test(key) ? Number(key) : key))
const valueAt = (document: unknown, path: Path): unknown =>
  path.reduce((at: unknown, key) => (at as Record<string | number, unknown>)[key], document)

/** The good plan with something else at each pointer; `undefined` takes the field out. */
function spoiled(...changes: readonly (readonly [pointer: string, value: unknown])[]): unknown {
  return changes.reduce((document: unknown, [pointer, value]) => {
    const path = pathOf(pointer)
    if (value !== undefined) return changed(document, path, value as number)
    const kept: object = { ...(valueAt(document, path.slice(0, -1)) as object) }
    Reflect.deleteProperty(kept, path.at(-1) ?? '')
    return changed(document, path.slice(0, -1), kept as unknown as number)
  }, good)
}
const copyOf = (pointer: string, change: object): object => ({
  ...(valueAt(good, pathOf(pointer)) as object),
  ...change
})

function faultsOf(document: unknown): { faults: Fault[]; count: number } {
  const read = readPlan(document)
  if ('plan' in read) throw new Error('the plan was taken')
  return read
}

/** What is spoiled, and every fault it must be refused with: path, value, what the limit says. */
type BadPlan = [title: string, document: unknown, faults: readonly [path: string, value: string, limit: RegExp][]]

const KELP_ROUTE = valueAt(good, pathOf('/flights/1/route')) as unknown[]

const BAD_PLANS: BadPlan[] = [
  [
    'a tanker that is not in the plan',
    spoiled(['/flights/0/route/4/tankerId', 'anvil']),
    [['/flights/0/route/4/tankerId', '"anvil"', /id of a tanker/]]
  ],
  [
    'a station that excludes itself, one that is not there, and no time for the change',
    spoiled([
      '/tankerTypes/1/stations/0',
      copyOf('/tankerTypes/1/stations/0', { excludes: ['left', 'boom', 'centre'] })
    ]),
    [
      ['/tankerTypes/1/stations/0/excludes/0', '"left"', /another station/],
      ['/tankerTypes/1/stations/0/excludes/1', '"boom"', /a station of this tanker type/],
      ['/rules/methodChangeMin', 'nothing', /minutes/]
    ]
  ],
  [
    'windows outside the time of their tanker, turned round, of no station, and twice',
    spoiled([
      '/tankers/0',
      copyOf('/tankers/0', {
        windows: [
          { stationId: 'boom', opensAtMs: OPENS_AT_MS, closesAtMs: OPENS_AT_MS + 126 * 60_000 },
          { stationId: 'winch', opensAtMs: OPENS_AT_MS + 60 * 60_000, closesAtMs: OPENS_AT_MS + 50 * 60_000 },
          { stationId: 'boom', opensAtMs: OPENS_AT_MS + 50 * 60_000, closesAtMs: OPENS_AT_MS + 60 * 60_000 }
        ]
      })
    ]),
    [
      ['/tankers/0/windows/1/stationId', '"winch"', /a station of that tanker/],
      ['/tankers/0/windows/2/stationId', '"boom"', /a station listed once/],
      ['/tankers/0/windows/0/opensAtMs', String(OPENS_AT_MS), /not before onStationAtMs/],
      ['/tankers/0/windows/0/closesAtMs', String(OPENS_AT_MS + 126 * 60_000), /not after leavesAtMs/],
      ['/tankers/0/windows/1/closesAtMs', String(OPENS_AT_MS + 50 * 60_000), /after opensAtMs/]
    ]
  ],
  [
    'an on-load rule of a ship for no visit of its flight, and two for one',
    spoiled([
      '/flights/0/ships/0',
      copyOf('/flights/0/ships/0', {
        onLoads: [
          { visitId: 'kelp-visit-1', onLoad: { kind: 'full' } },
          { visitId: 'alder-visit-1', onLoad: { kind: 'full' } },
          { visitId: 'alder-visit-1', onLoad: { kind: 'internals' } }
        ]
      })
    ]),
    [
      ['/flights/0/ships/0/onLoads/0/visitId', '"kelp-visit-1"', /a visit of Alder/],
      ['/flights/0/ships/0/onLoads/2/visitId', '"alder-visit-1"', /a visit listed once/]
    ]
  ],
  [
    'two ships of one call sign, whatever the case',
    spoiled(['/flights/1/ships/2/callSign', 'KELP  1']),
    [['/flights/1/ships/2/callSign', '"KELP  1"', /used once/]]
  ],
  [
    'more start fuel than the tanks hold',
    spoiled(['/flights/3/ships/0/startFuel/value', 7300]),
    [['/flights/3/ships/0/startFuel/value', '7300', /at most 3229\.6 kg/]]
  ],
  [
    'more unusable than the tank holds',
    spoiled(['/receiverTypes/0/groups/0/unusable/value', 960]),
    [['/receiverTypes/0/groups/0/unusable/value', '960', /at most its capacity, 430\.9 kg/]]
  ],
  [
    'a visit at a tanker without a station for the type',
    spoiled(['/flights/0/route/4/tankerId', 'auger'], ['/orders/0/sequences/0/slots', []]),
    [['/flights/0/route/4/tankerId', '"auger"', /compatible station/]]
  ],
  [
    'an abort base that is not there',
    spoiled(['/tracks/1/abortBaseId', 'gimbal']),
    [['/tracks/1/abortBaseId', '"gimbal"', /id of a base/]]
  ],
  [
    'a track without an abort base',
    spoiled(['/tracks/1/abortBaseId', undefined]),
    [['/tracks/1/abortBaseId', 'nothing', /string/]]
  ],
  [
    'a visit before the take-off',
    spoiled(['/flights/1/route', [KELP_ROUTE[3], ...KELP_ROUTE.slice(0, 3), ...KELP_ROUTE.slice(4)]]),
    [['/flights/1/route/0', '"kelp-visit-1"', /in the air before it/]]
  ],
  [
    'a push before the flight is ready',
    spoiled(['/pushGroups/4/pushAtMs', OPENS_AT_MS + 20 * 60_000]),
    [['/flights/6/route/3', String(OPENS_AT_MS + 20 * 60_000), /not before Squall is ready/]]
  ],
  [
    'a negative rate',
    spoiled(['/tankerTypes/0/stations/0/maxRate/value', -3300]),
    [['/tankerTypes/0/stations/0/maxRate/value', '-3300', /0\.001 to 120 kg\/s/]]
  ],
  [
    'an absurd rate',
    spoiled(['/receiverTypes/3/maxRate/value', 7.6e6]),
    [['/receiverTypes/3/maxRate/value', '7600000', /0\.001 to 120 kg\/s/]]
  ],
  [
    'groups that fill after each other in a circle',
    spoiled(['/receiverTypes/0/groups/0/fillsAfter', 'larch-wing']),
    [
      ['/receiverTypes/0/groups/0/fillsAfter', '"larch-wing"', /a chain that ends/],
      ['/receiverTypes/0/groups/2/fillsAfter', '"larch-sump"', /a chain that ends/]
    ]
  ],
  ['a number as text', spoiled(['/rules/reformMin', '1.5']), [['/rules/reformMin', '"1.5"', /a number/]]],
  ['NaN as text', spoiled(['/tankers/0/keeps/value', 'NaN']), [['/tankers/0/keeps/value', '"NaN"', /a number/]]],
  ['NaN itself', spoiled(['/tankers/0/keeps/value', NaN]), [['/tankers/0/keeps/value', 'NaN', /a number/]]],
  [
    'a unit of another kind',
    spoiled(['/flights/0/ships/0/startFuel/unit', 'kt']),
    [['/flights/0/ships/0/startFuel/unit', '"kt"', /one of lb, kg, USgal, L/]]
  ],
  [
    'two feed groups',
    spoiled(
      ['/receiverTypes/2/groups/1/role', { kind: 'feed' }],
      ['/receiverTypes/2/groups/1/transferRate', undefined]
    ),
    [['/receiverTypes/2/groups', '2', /exactly 1 feed group/]]
  ],
  [
    'a group that can never give',
    spoiled(['/receiverTypes/2/groups/2/transferRate', undefined]),
    [['/receiverTypes/2/groups/2/transferRate', 'nothing', /a flow/]]
  ],
  [
    'a density the grade cannot have',
    spoiled(['/fuelDensity/value', 0.86]),
    [['/fuelDensity/value', '0.86', /kg\/m3 at 15/]]
  ],
  [
    'ids used twice',
    spoiled(
      ['/bases', [...(valueAt(good, ['bases']) as unknown[]), copyOf('/bases/0', { name: 'Another' })]],
      ['/orders/1/sequences/0/slots/1/id', 'rasp-visit.rasp-2']
    ),
    [
      ['/bases/6/id', '"adze"', /used once/],
      ['/orders/1/sequences/0/slots/1/id', '"rasp-visit.rasp-2"', /used once/]
    ]
  ],
  [
    'a probe ship ordered to the boom',
    spoiled([
      '/orders/0/sequences/0/slots/0',
      copyOf('/orders/0/sequences/0/slots/0', { shipId: 'rasp-1', visitId: 'rasp-visit' })
    ]),
    [['/orders/0/sequences/0/slots/0/shipId', '"rasp-1"', /may use this station/]]
  ],
  [
    'a leg slower than the wind against it',
    spoiled(['/rules/windSpeed/value', 95], ['/flights/1/route/4/span/trueAirspeed/value', 60]),
    [['/flights/1/route/4/span/trueAirspeed/value', '60', /faster than the wind/]]
  ],
  [
    'a field nobody knows',
    spoiled(['/flights/0/ships/0/colour', 'red']),
    [['/flights/0/ships/0', 'an object', /no such field: colour/]]
  ],
  [
    'a tanker that leaves before it comes',
    spoiled(['/tankers/2/leavesAtMs', OPENS_AT_MS]),
    [['/tankers/2/leavesAtMs', String(OPENS_AT_MS), /after onStationAtMs/]]
  ],
  [
    'a reserve group that would always be released',
    spoiled(['/receiverTypes/3/groups/3/role/releasedBelow/value', 530]),
    [['/receiverTypes/3/groups/3/role/releasedBelow/value', '530', /at most the feed group's 520\.0 kg/]]
  ],
  [
    'a fitted group its type has not',
    spoiled(['/flights/2/ships/0/fitted/0', 'osier-body']),
    [
      ['/flights/2/ships/0/fitted/0', '"osier-body"', /external group of its type/],
      // Without the tank that was meant it cannot hold its fuel either.
      ['/flights/2/ships/0/startFuel/value', '6300', /what its tanks hold/]
    ]
  ],
  [
    'an instant in another century',
    spoiled(['/tankers/0/onStationAtMs', 1_906_524]),
    [['/tankers/0/onStationAtMs', '1906524', /at least 946684800000/]]
  ],
  [
    'a receiver without a feed group',
    spoiled(['/receiverTypes/3/groups/0/role', { kind: 'stage', turnCount: 4 }]),
    [
      ['/receiverTypes/3/groups', '0', /exactly 1 feed group/],
      ['/receiverTypes/3/groups/0/transferRate', 'nothing', /a flow/]
    ]
  ],
  [
    'two feed groups',
    spoiled(['/receiverTypes/3/groups/2/role', { kind: 'feed' }]),
    [
      ['/receiverTypes/3/groups', '2', /exactly 1 feed group/],
      ['/receiverTypes/3/groups/2/transferRate/value', '26', /nothing/]
    ]
  ],
  [
    'a stage that can never give: all of it is unusable',
    spoiled(['/receiverTypes/3/groups/1/unusable/value', 1450]),
    [['/receiverTypes/3/groups/1/unusable/value', '1450', /below its capacity/]]
  ],
  [
    'a group that fills and can never give',
    spoiled(['/receiverTypes/3/groups/4/transferRate', undefined]),
    [['/receiverTypes/3/groups/4/transferRate', 'nothing', /a flow/]]
  ],
  [
    'an external group that silences itself',
    spoiled(['/receiverTypes/3/groups/4/silencedByExternals', true]),
    [['/receiverTypes/3/groups/4/silencedByExternals', 'true', /false/]]
  ],
  [
    'a group that fills after itself',
    spoiled(['/receiverTypes/3/groups/3/fillsAfter', 'nettle-aft']),
    [['/receiverTypes/3/groups/3/fillsAfter', '"nettle-aft"', /a chain that ends/]]
  ],
  [
    'a group of no tanks',
    spoiled(['/receiverTypes/3/groups/2/tankCount', 0]),
    [['/receiverTypes/3/groups/2/tankCount', '0', /at least 1/]]
  ],
  [
    'a station that gives nothing',
    spoiled(['/tankerTypes/0/stations/0/maxRate/value', 0]),
    [['/tankerTypes/0/stations/0/maxRate/value', '0', /0\.001 to 120 kg\/s/]]
  ],
  ['volumes without a density', spoiled(['/fuelDensity', undefined]), [['/fuelDensity', 'nothing', /an object/]]],
  [
    'a tank as large as a ship',
    spoiled(['/receiverTypes/3/groups/1/capacity/value', 3_000_000]),
    [['/receiverTypes/3/groups/1/capacity/value', '3000000', /0 to 200000 kg/]]
  ],
  [
    'a gauge band on a gauge of everything',
    spoiled(['/receiverTypes/0/gaugeBand', { low: { value: 5000, unit: 'lb' }, high: { value: 5400, unit: 'lb' } }]),
    [['/receiverTypes/0/gaugeBand/low/value', '5000', /nothing/]]
  ],
  [
    'a gauge band upside down',
    spoiled(['/receiverTypes/4/gaugeBand/low/value', 4260]),
    [['/receiverTypes/4/gaugeBand/low/value', '4260', /at most high/]]
  ],
  [
    'a mark of not giving inside the band',
    spoiled(['/receiverTypes/4/notGivingBelow/value', 3800]),
    [['/receiverTypes/4/notGivingBelow/value', '3800', /band's low end/]]
  ],
  [
    'a low-level light that is always on',
    spoiled(['/receiverTypes/4/feedLowMark/value', 900]),
    [['/receiverTypes/4/feedLowMark/value', '900', /at most the feed group's/]]
  ],
  [
    'a dump of the feed group',
    spoiled(['/receiverTypes/1/dump/groupIds/0', 'maple-feed']),
    [['/receiverTypes/1/dump/groupIds/0', '"maple-feed"', /not the feed group/]]
  ],
  [
    'a dump by a type that has none',
    spoiled(['/flights/0/route/5/dumpTo', { value: 4000, unit: 'lb' }]),
    [['/flights/0/route/5/dumpTo/value', '4000', /a type with a dump rate/]]
  ],
  [
    'a jettison of something that stays',
    spoiled(['/flights/0/route/5/jettisons', ['larch-body']]),
    [['/flights/0/route/5/jettisons/0', '"larch-body"', /can be jettisoned/]]
  ],
  [
    'a jettison of something gone already',
    spoiled(['/flights/0/route/5/jettisons', ['larch-wing-tank', 'larch-wing-tank']]),
    [['/flights/0/route/5/jettisons/1', '"larch-wing-tank"', /still carried/]]
  ],
  [
    'fuel given whole in no time',
    spoiled(['/flights/4/route/1/span/durationMin', 0]),
    [['/flights/4/route/1/span/durationMin', '0', /above 0/]]
  ],
  [
    'a reference weight below the weight without fuel',
    spoiled(['/receiverTypes/4/weighing/reference/value', 14000]),
    [['/receiverTypes/4/weighing/reference/value', '14000', /at least the weight without fuel/]]
  ],
  [
    'a bingo set by hand below the computed one',
    spoiled(['/flights/3/limits/bingo/value', 3000]),
    [['/flights/3/limits/bingo/value', '3000', /at least the computed one/]]
  ],
  [
    'an abort fuel set by hand below the computed one',
    spoiled(['/flights/2/limits/abort/value', 2000]),
    [['/flights/2/limits/abort/value', '2000', /at least the computed one/]]
  ],
  ['a version from tomorrow', spoiled(['/v', 2]), [['/v', '2', /one of 1/]]]
]

describe('a bad plan', () => {
  it('is told from a good one: the demonstration itself is taken', () => {
    expect(readPlan(good)).toHaveProperty('plan.name', 'Four Shores')
  })

  it.each(BAD_PLANS)('with %s is refused with every fault', (_, document, expected) => {
    const { faults, count } = faultsOf(document)
    expect(faults.map(({ path }) => path)).toEqual(expected.map(([path]) => path))
    expected.forEach(([, value, limit], index) => {
      expect(faults[index]?.value).toBe(value)
      expect(faults[index]?.limit).toMatch(limit)
      expect(faults[index]?.message).not.toBe('')
    })
    expect(count).toBe(expected.length)
  })

  it('with faults in several places is refused with all of them at once', () => {
    const { faults, count } = faultsOf(
      spoiled(
        ['/rules/hookUpBoomMin', -1],
        ['/flights/0/ships/3/startFuel/unit', 'st'],
        ['/tracks/0/orbit/1/latitudeDeg', 95],
        ['/pushGroups/0/name', '']
      )
    )
    expect(faults.map(({ path }) => path)).toEqual([
      '/rules/hookUpBoomMin',
      '/tracks/0/orbit/1/latitudeDeg',
      '/pushGroups/0/name',
      '/flights/0/ships/3/startFuel/unit'
    ])
    expect(count).toBe(4)
  })

  it('with more ships than a plan may hold is refused', () => {
    const flights = Array.from({ length: 17 }, (_, f) => ({
      ...copyOf('/flights/3', { id: `f${String(f)}`, callSign: `Flight ${String(f)}` }),
      route: (valueAt(good, pathOf('/flights/3/route')) as { id: string }[]).map((phase) => ({
        ...phase,
        id: `${phase.id}-${String(f)}`
      })),
      ships: Array.from({ length: 12 }, (_unused, s) => ({
        ...copyOf('/flights/3/ships/0', {
          id: `s${String(f)}-${String(s)}`,
          callSign: `Ship ${String(f)} ${String(s)}`
        })
      }))
    }))
    const { faults, count } = faultsOf(spoiled(['/flights', flights], ['/orders', []], ['/fallOut', []]))
    expect(faults).toEqual([{ path: '/flights', value: '204', limit: 'at most 200 ships', message: 'too many ships' }])
    expect(count).toBe(1)
  })

  it('with more faults than are listed names the first 200 and counts all', () => {
    const clearances = Array.from({ length: 350 }, () => ({ receiverTypeId: 'x', tankerTypeId: 'y', stationId: 'z' }))
    const { faults, count } = faultsOf(spoiled(['/clearances', clearances]))
    expect(faults).toHaveLength(SIZES.errors)
    // Two references each; and every visit is left without a station, which is not asked while references are broken.
    expect(count).toBe(700)
  })

  it('of one megabyte of nesting is refused before it is read, in less than a second', () => {
    const text = '['.repeat(500_000) + ']'.repeat(500_000)
    let deep: unknown = []
    for (let i = 1; i < 500_000; i++) deep = [deep]
    expect(text.length).toBe(1_000_000)
    const beganAt = performance.now()
    expect(faultsOf(deep)).toEqual({
      faults: [
        {
          path: '',
          value: 'a document',
          limit: `at most ${String(SIZES.depth)} levels of nesting`,
          message: 'nested too deep'
        }
      ],
      count: 1
    })
    expect(performance.now() - beganAt).toBeLessThan(1000)
  })

  it('with a __proto__ key is refused, and changes no prototype', () => {
    const text = JSON.stringify(good).replace('"massUnit":', '"__proto__":{"polluted":true},"massUnit":')
    const document: unknown = JSON.parse(text)
    expect(Object.hasOwn(document as object, '__proto__')).toBe(true)
    const { faults, count } = faultsOf(document)
    expect(faults.map(({ path, limit }) => [path, limit])).toEqual([['', 'no such field: __proto__']])
    expect(count).toBe(1)
    expect(({} as { polluted?: boolean }).polluted).toBeUndefined()
  })

  it.each([[null], [[]], ['plan'], [42], [undefined]])('that is no object but %j is refused', (document) => {
    const { faults } = faultsOf(document)
    expect(faults).toHaveLength(1)
    expect(faults[0]).toMatchObject({ path: '', limit: 'an object' })
  })
})
