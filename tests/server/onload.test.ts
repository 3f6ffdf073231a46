import { describe, expect, it } from 'vitest'
import type { TankGroup } from '../../shared/contracts/plan.ts'
import { RECEIVERS } from '../../shared/library/receivers.ts'
import { service } from './service.ts'

/*
 * One ship on one station, over the route: what makes no sense is refused by path, value and limit, and nothing is worked
 * out; what is only unlikely is answered with a warning.
 */

type Loose = Record<string, unknown>

/** The library's attack type with everything to its taste: externals, a reserve group, volumes. */
function question(): { [field: string]: unknown; receiverType: Loose & { groups: Loose[] } } {
  const nettle = RECEIVERS.find(({ id }) => id === 'nettle')
  return JSON.parse(
    JSON.stringify({
      receiverType: nettle,
      fuelDensity: { value: 0.8, unit: 'kg/L' },
      fitted: ['nettle-wing-tank'],
      fuelNow: { value: 3600, unit: 'kg' },
      externals: 'selected',
      ahead: [{ durationMin: 20, flow: { value: 2150, unit: 'kg/h' } }],
      stationRate: { value: 700, unit: 'kg/min' },
      onLoad: { kind: 'full' },
      abort: {
        distance: { value: 120, unit: 'NM' },
        groundSpeed: { value: 370, unit: 'kt' },
        landingReserve: { kind: 'minutes', holdingMin: 15 }
      }
    })
  ) as ReturnType<typeof question>
}
/** Places of the groups in the sheet. */
const [FEED, BODY, WING, AFT, TANK] = [0, 1, 2, 3, 4] as const

interface Case {
  what: string
  change: (body: ReturnType<typeof question>, groups: Loose[]) => void
  path: string
  value: string
  limit: string | RegExp
  code?: string
}
const group = (groups: Loose[], index: number): Loose => {
  const found = groups[index]
  if (found === undefined) throw new Error(`no group ${String(index)}`)
  return found
}
const at = (index: number, rest = '') => `/receiverType/groups/${String(index)}${rest}`

const CASES: Case[] = [
  {
    what: 'a volume without density',
    change: (body) => delete body['fuelDensity'],
    path: at(WING, '/capacity/unit'),
    value: '"L"',
    limit: 'a mass, or fuelDensity beside it',
    code: 'plan-refused'
  },
  {
    what: 'a station rate of 0',
    change: (body) => (body['stationRate'] = { value: 0, unit: 'kg/min' }),
    path: '/stationRate/value',
    value: '0',
    limit: '0.001 to 120 kg/s',
    code: 'bad-request'
  },
  {
    what: 'a tank count of 0',
    change: (_, groups) => (group(groups, BODY)['tankCount'] = 0),
    path: at(BODY, '/tankCount'),
    value: '0',
    limit: 'at least 1',
    code: 'bad-request'
  },
  {
    what: 'two feed groups',
    change: (_, groups) => {
      group(groups, BODY)['role'] = { kind: 'feed' }
      delete group(groups, BODY)['transferRate']
    },
    path: '/receiverType/groups',
    value: '2',
    limit: 'exactly 1 feed group'
  },
  {
    what: 'no feed group',
    change: (_, groups) => {
      group(groups, FEED)['role'] = { kind: 'stage', turnCount: 4 }
      group(groups, FEED)['transferRate'] = { value: 60, unit: 'kg/min' }
    },
    path: '/receiverType/groups',
    value: '0',
    limit: 'exactly 1 feed group'
  },
  {
    what: 'a stage that can never give',
    change: (_, groups) => (group(groups, BODY)['unusable'] = { value: 1450, unit: 'kg' }),
    path: at(BODY, '/unusable/value'),
    value: '1450',
    limit: 'below its capacity, 1450.0 kg'
  },
  {
    what: 'a group that fills but cannot give',
    change: (_, groups) => delete group(groups, WING)['transferRate'],
    path: at(WING, '/transferRate'),
    value: 'nothing',
    limit: 'a flow'
  },
  {
    what: 'a reserve released below more than the feed group holds',
    change: (_, groups) =>
      (group(groups, AFT)['role'] = { kind: 'reserve', releasedBelow: { value: 521, unit: 'kg' } }),
    path: at(AFT, '/role/releasedBelow/value'),
    value: '521',
    limit: "at most the feed group's 520.0 kg"
  },
  {
    what: 'a group that fills after itself',
    change: (_, groups) => (group(groups, BODY)['fillsAfter'] = 'nettle-body'),
    path: at(BODY, '/fillsAfter'),
    value: '"nettle-body"',
    limit: 'a chain that ends'
  },
  {
    what: 'groups that fill after each other in a circle',
    change: (_, groups) => (group(groups, BODY)['fillsAfter'] = 'nettle-aft'),
    path: at(BODY, '/fillsAfter'),
    value: '"nettle-aft"',
    limit: 'a chain that ends'
  },
  {
    what: 'an absurd capacity',
    change: (_, groups) => (group(groups, BODY)['capacity'] = { value: 1e9, unit: 'kg' }),
    path: at(BODY, '/capacity/value'),
    value: '1000000000',
    limit: '0 to 200000 kg',
    code: 'bad-request'
  },
  {
    what: 'an absurd fill rate',
    change: (_, groups) => (group(groups, BODY)['fillRate'] = { value: -330, unit: 'kg/min' }),
    path: at(BODY, '/fillRate/value'),
    value: '-330',
    limit: '0.001 to 120 kg/s',
    code: 'bad-request'
  },
  {
    what: 'an absurd density',
    change: (body) => (body['fuelDensity'] = { value: 0.08, unit: 'kg/L' }),
    path: '/fuelDensity/value',
    value: '0.08',
    limit: '650 to 900 kg/m3',
    code: 'bad-request'
  },
  {
    what: 'an absurd way',
    change: (body) => (body['ahead'] = [{ durationMin: 1e6, flow: { value: 2150, unit: 'kg/h' } }]),
    path: '/ahead/0/durationMin',
    value: '1000000',
    limit: 'at most 1440',
    code: 'bad-request'
  },
  {
    what: 'less than no fuel',
    change: (body) => (body['fuelNow'] = { value: -1, unit: 'kg' }),
    path: '/fuelNow/value',
    value: '-1',
    limit: '0 to 200000 kg',
    code: 'bad-request'
  },
  {
    what: 'more fuel than the tanks hold',
    change: (body) => (body['fuelNow'] = { value: 9000, unit: 'kg' }),
    path: '/fuelNow/value',
    value: '9000',
    // 520 + 1,450 + 310 kg, 2 x 640 L and 2 x 1,150 L at 0.8 kg/L.
    limit: 'at most 5144.0 kg, what its tanks hold'
  },
  {
    what: 'something fitted that the type does not have',
    change: (body) => (body['fitted'] = ['nettle-wing-tank', 'larch-wing-tank']),
    path: '/fitted/1',
    value: '"larch-wing-tank"',
    limit: 'an external group of its type'
  },
  {
    what: 'a reserve in minutes of holding without a holding flow',
    change: ({ receiverType }) => delete (receiverType['flows'] as Loose)['holding'],
    path: '/receiverType/flows/holding',
    value: 'nothing',
    limit: 'a flow'
  }
]

describe('the on-load route', () => {
  it('answers the question that the refusals start from', async () => {
    const { call } = await service()
    const { status, body } = await call('computeOnLoad', { body: question() })
    expect(status).toBe(200)
    expect(body).toMatchObject({ endedBy: 'full', contactAtS: 1200, warnings: [] })
  })

  it.each(CASES)('refuses $what', async ({ change, path, value, limit, code = 'plan-refused' }) => {
    const { call } = await service()
    const asked = question()
    change(asked, asked.receiverType.groups)
    const { body } = await call('computeOnLoad', { body: asked })
    expect(body.code).toBe(code)
    const fault = body.errors?.find((one) => one.path === path)
    expect(fault, JSON.stringify(body.errors)).toMatchObject({ path, value, limit })
    expect(body).not.toHaveProperty('points')
  })

  it('answers externals that are faster than the receiver, with a warning', async () => {
    const { call } = await service()
    const asked = question()
    const tank = asked.receiverType.groups[TANK] as unknown as TankGroup
    // Two tanks at 400 kg/min against 760 L/min, 608 kg/min at 0.8 kg/L: 192 kg/min, 3.2 kg/s, too fast.
    tank.fillRate = { value: 400, unit: 'kg/min' }
    const { status, body } = await call('computeOnLoad', { body: asked })
    expect(status).toBe(200)
    expect(body['warnings']).toEqual([
      { kind: 'externals faster than the receiver', byKgPerS: expect.closeTo(3.2, 9) as number }
    ])
  })

  it('gives more than one fault at once', async () => {
    const { call } = await service()
    const asked = question()
    delete asked.receiverType.groups[WING]?.['transferRate']
    asked['fitted'] = ['nothing-like-it']
    const { body } = await call('computeOnLoad', { body: asked })
    expect(body.errors?.map((fault) => fault.path)).toEqual([at(WING, '/transferRate'), '/fitted/0'])
  })
})
