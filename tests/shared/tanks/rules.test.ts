import { cpSync, mkdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { afterAll, describe, expect, it } from 'vitest'
import type * as Dumps from '../../../shared/tanks/dump.ts'
import type * as Feeds from '../../../shared/tanks/feed.ts'
import type * as Fills from '../../../shared/tanks/fill.ts'
import type * as Readings from '../../../shared/tanks/reading.ts'
import type * as Sheets from '../../../shared/tanks/sheet.ts'
import { fullState, type Sheet } from '../../../shared/tanks/sheet.ts'
import { group, holding, kelp, sheet, troubled } from './ships.ts'

/*
 * Every rule of the tanks is held by a check here: the check passes on the code as it is and fails on a copy in which one
 * line has put the rule out of force.
 */

const shared = join(import.meta.dirname, '../../../shared')
const cache = join(import.meta.dirname, '../../../node_modules/.cache/rules')

async function load(root: string) {
  const from = (file: string): string => pathToFileURL(join(root, 'tanks', file)).href
  const [sheets, feeds, fills, readings, dumps] = await Promise.all([
    import(/* @vite-ignore */ from('sheet.ts')) as Promise<typeof Sheets>,
    import(/* @vite-ignore */ from('feed.ts')) as Promise<typeof Feeds>,
    import(/* @vite-ignore */ from('fill.ts')) as Promise<typeof Fills>,
    import(/* @vite-ignore */ from('reading.ts')) as Promise<typeof Readings>,
    import(/* @vite-ignore */ from('dump.ts')) as Promise<typeof Dumps>
  ])
  return { ...sheets, ...feeds, ...fills, ...readings, ...dumps }
}
type Tanks = Awaited<ReturnType<typeof load>>

interface Rule {
  readonly rule: string
  readonly patch: { readonly file: string; readonly find: string; readonly replace: string }
  /** Throws on tanks that do not keep the rule. */
  readonly check: (tanks: Tanks) => void
}

const full = fullState(kelp, 'selected')
const flow = { stationRateKgPerS: 1000, burnKgPerS: 0 }
const alone: Sheet = sheet([group({ role: { kind: 'feed' }, unusableKg: 20 })])
/** Feed and a stage that starves it. */
const thin: Sheet = sheet([group({ role: { kind: 'feed' }, capacityKg: 300 }), group({ transferRateKgPerS: 0.5 })])
const external = { place: 'external', canShut: true } as const
/** Two external groups that take turns. */
const turns: Sheet = sheet([
  group({ role: { kind: 'feed' } }),
  group({ ...external, role: { kind: 'stage', turnCount: 1 } }),
  group({ ...external, role: { kind: 'stage', turnCount: 2 } })
])
/** A stage that cannot be shut, and one that can. */
const open: Sheet = sheet([group({ role: { kind: 'feed' } }), group({}), group({ canShut: false })])
const banded: Sheet = { ...kelp, gauge: 'internal', gaugeBandKg: { lowKg: 4550, highKg: 4650 }, notGivingBelowKg: 4300 }
const dumping: Sheet = { ...kelp, dump: { rateKgPerS: 11, groups: [1] } }

const rules: readonly Rule[] = [
  {
    rule: 'a tank that does not give gives nothing',
    patch: {
      file: 'trouble.ts',
      find: "trouble === undefined || trouble === 'not taking'",
      replace: "trouble !== 'gone'"
    },
    check: (tanks) => {
      const stuck = troubled({ ...full, externals: 'off' }, 1, 0, 'not giving')
      expect(tanks.feed(kelp, stuck, 1, 100).state.quantitiesKg[1]).toEqual([1500, 1400])
      expect(tanks.usableKg(kelp, stuck)).toBe(6629 - 1485)
    }
  },
  {
    rule: 'held externals give nothing',
    patch: {
      file: 'feed.ts',
      find: "if (layout.external[g] && out.externals !== 'selected') continue",
      replace: "if (layout.external[g] && out.externals === 'off') continue"
    },
    check: (tanks) => {
      const held = { ...holding(kelp, [900, 15, 800, 1000]), externals: 'held' as const }
      expect(tanks.feed(kelp, held, 1, 100).state.quantitiesKg[3]).toEqual([1000, 1000])
    }
  },
  {
    rule: 'held externals are not counted',
    patch: {
      file: 'sheet.ts',
      find: "(state.externals === 'selected' && state.proven[index] === true)",
      replace: "(state.externals !== 'off' && state.proven[index] === true)"
    },
    check: (tanks) => {
      const held = { ...full, proven: [true, true, true, true], externals: 'held' as const }
      expect(tanks.countedKg(kelp, held)).toBe(4645)
    }
  },
  {
    rule: 'externals count only when they were seen to give',
    patch: {
      file: 'sheet.ts',
      find: "(state.externals === 'selected' && state.proven[index] === true)",
      replace: "state.externals === 'selected'"
    },
    check: (tanks) => {
      expect(tanks.countedKg(kelp, full)).toBe(4645)
    }
  },
  {
    rule: 'a reserve waits for its mark',
    patch: {
      file: 'feed.ts',
      find: 'const keepsKg = Math.max(emptyKg, Math.min(fullKg, group.role.releasedBelowKg))',
      replace: 'const keepsKg = fullKg'
    },
    check: (tanks) => {
      const { state, events } = tanks.feed(kelp, holding(kelp, [900, 15, 800, 8]), 1, 399)
      expect(state.quantitiesKg[2]).toEqual([800])
      expect(events.filter(({ kind }) => kind === 'reserve released')).toEqual([])
    }
  },
  {
    rule: 'a reserve keeps its mark beside the running stage',
    patch: { file: 'feed.ts', find: '(burnKgPerS - inflow) / keepKgPerS', replace: '0' },
    check: (tanks) => {
      // The stage gives 0.5 of 1, the reserve the other half.
      const of = sheet([
        group({ role: { kind: 'feed' } }),
        group({ transferRateKgPerS: 0.5 }),
        group({ role: { kind: 'reserve', releasedBelowKg: 400 } })
      ])
      expect(tanks.feed(of, holding(of, [400, 1000, 500]), 1, 100).state.quantitiesKg).toEqual([[400], [950], [450]])
    }
  },
  {
    rule: 'one external group gives at a time',
    patch: {
      file: 'feed.ts',
      find: '} else if (group.role.turnCount === turn) part[g] = FULL_RATE',
      replace: '} else part[g] = FULL_RATE'
    },
    check: (tanks) => {
      const { state } = tanks.feed(turns, fullState(turns, 'selected'), 1, 100)
      expect(state.quantitiesKg).toEqual([[1000], [900], [1000]])
    }
  },
  {
    rule: 'silenced groups give nothing while external transfer is selected',
    patch: {
      file: 'feed.ts',
      find: "if (group.silencedByExternals && out.externals === 'selected') continue",
      replace: "if (group.silencedByExternals && out.externals === 'held') continue"
    },
    check: (tanks) => {
      expect(tanks.feed(kelp, full, 1, 100).state.quantitiesKg[1]).toEqual([1500, 1500])
    }
  },
  {
    rule: 'the switch is put off when the last external is dry',
    patch: { file: 'feed.ts', find: "out.externals = 'off'\n          out.events", replace: 'out.events' },
    check: (tanks) => {
      expect(tanks.feed(kelp, full, 1, 2084).state.externals).toBe('off')
    }
  },
  {
    rule: 'a full feed group takes from its stage what the engines drink and no more',
    patch: {
      file: 'feed.ts',
      find: 'isFull && stageKgPerS > burnKgPerS ? burnKgPerS / stageKgPerS : 1',
      replace: 'isFull && stageKgPerS > burnKgPerS ? 1 : 1'
    },
    check: (tanks) => {
      const of = sheet([group({ role: { kind: 'feed' } }), group({})])
      expect(tanks.feed(of, fullState(of, 'off'), 1, 100).state.quantitiesKg).toEqual([[1000], [900]])
    }
  },
  {
    rule: 'a feed group at its unusable rest starves while others hold fuel',
    patch: { file: 'feed.ts', find: '        out.starvedAtS = atS\n', replace: '' },
    check: (tanks) => {
      expect(tanks.feed(thin, holding(thin, [300, 1000]), 2, 400).starvedAtS).toBe(200)
    }
  },
  {
    rule: 'the low-level light comes on at its mark',
    patch: { file: 'feed.ts', find: 'sheet.feedLowMarkKg ?? -Infinity', replace: '-Infinity' },
    check: (tanks) => {
      const of = { ...alone, feedLowMarkKg: 250 }
      expect(tanks.feed(of, holding(of, [400]), 1, 200).events.map(({ kind }) => kind)).toEqual(['feed low'])
    }
  },
  {
    rule: 'the unusable rest stays in the tank',
    patch: { file: 'layout.ts', find: 'layout.floorKg[tank] = group.unusableKg', replace: 'layout.floorKg[tank] = 0' },
    check: (tanks) => {
      expect(tanks.feed(alone, holding(alone, [100]), 1, 200).state.quantitiesKg).toEqual([[20]])
    }
  },
  {
    rule: 'the unusable rest is no usable fuel',
    patch: {
      file: 'sheet.ts',
      find: 'Math.max(0, quantityKg - group.unusableKg) : 0\n\n/** Everything',
      replace: 'quantityKg : 0\n\n/** Everything'
    },
    check: (tanks) => {
      expect(tanks.usableKg(alone, holding(alone, [100]))).toBe(80)
    }
  },
  {
    rule: 'nothing passes faster than station and receiver let it',
    patch: {
      file: 'course.ts',
      find: 'const capKgPerS = Math.min(stationRateKgPerS, sheet.maxRateKgPerS)',
      replace: 'const capKgPerS = Infinity'
    },
    check: (tanks) => {
      const capped = tanks.fillCurve(open, holding(open, [0, 0, 0]), { stationRateKgPerS: 15, burnKgPerS: 0 })
      expect(tanks.onLoadAt(capped, 100)).toBeCloseTo(1500, 6)
    }
  },
  {
    rule: 'the feed group takes what the engines drink before others take anything',
    patch: {
      file: 'course.ts',
      find: 'feedTakes && !feedShut ? Math.min(burnKgPerS, capKgPerS) : 0',
      replace: '0'
    },
    check: (tanks) => {
      const curve = tanks.fillCurve(open, holding(open, [1000, 0, 0]), { stationRateKgPerS: 1000, burnKgPerS: 1 })
      expect(curve.stateAt(100).quantitiesKg[0]).toEqual([1000])
    }
  },
  {
    rule: 'a group waits for the one it fills after',
    patch: {
      file: 'course.ts',
      find: 'if (after !== undefined && open[after]! > 0) continue',
      replace: 'if (after !== undefined && open[after]! < 0) continue'
    },
    check: (tanks) => {
      const of = sheet([group({ role: { kind: 'feed' } }), group({ fillsAfter: 0 })])
      const curve = tanks.fillCurve(of, holding(of, [0, 0]), flow)
      expect(curve.stateAt(50).quantitiesKg).toEqual([[500], [0]])
    }
  },
  {
    rule: 'a tank that does not give is shut to the tanker where it can be',
    patch: {
      file: 'sheet.ts',
      find: "(trouble === 'not giving' && !group.canShut)",
      replace: "trouble === 'not giving'"
    },
    check: (tanks) => {
      const stuck = troubled(holding(open, [1000, 0, 1000]), 1, 0, 'not giving')
      expect(tanks.stopAt(tanks.fillCurve(open, stuck, flow), { kind: 'full' }).onLoadKg).toBe(0)
    }
  },
  {
    rule: 'what goes into a tank that does not give is lost',
    patch: {
      file: 'course.ts',
      find: 'if (!giving[i]) lostKg += rate[i]! * stepS',
      replace: 'if (!giving[i]) lostKg += 0'
    },
    check: (tanks) => {
      const stuck = troubled(holding(open, [1000, 1000, 0]), 2, 0, 'not giving')
      expect(tanks.stopAt(tanks.fillCurve(open, stuck, flow), { kind: 'full' }).lostKg).toBeCloseTo(1000, 6)
    }
  },
  {
    rule: 'external groups are not proven after a contact',
    patch: {
      file: 'fill.ts',
      find: "proven: sheet.groups.map((group) => group.place === 'internal')",
      replace: 'proven: state.proven'
    },
    check: (tanks) => {
      const proven = { ...holding(kelp, [0, 0, 0, 0]), proven: [true, true, true, true] }
      expect(tanks.fillCurve(kelp, proven, flow).stateAt(30).proven).toEqual([true, true, true, false])
    }
  },
  {
    rule: 'below the mark externals that should be wet do not give',
    patch: {
      file: 'reading.ts',
      find: 'const isUnclear = notGivingBelowKg === undefined || figureKg >= notGivingBelowKg',
      replace: 'const isUnclear = notGivingBelowKg === undefined || figureKg >= 0'
    },
    check: (tanks) => {
      expect(tanks.readingOf(banded, fullState(banded, 'selected'), 4299)).toBe('not giving')
    }
  },
  {
    rule: 'a figure is in the band from its low end up',
    patch: { file: 'reading.ts', find: 'if (figureKg >= band.lowKg)', replace: 'if (figureKg >= band.highKg)' },
    check: (tanks) => {
      expect(tanks.readingOf(banded, fullState(banded, 'selected'), 4600)).toBe('in band')
    }
  },
  {
    rule: 'the dump rate is that of all groups together',
    patch: { file: 'feed.ts', find: 'rate[i]! -= dump.rateKgPerS / dumping', replace: 'rate[i]! -= dump.rateKgPerS' },
    check: (tanks) => {
      expect(tanks.dumpAllS(dumping, full, 0)).toBeCloseTo(270, 6)
    }
  },
  {
    rule: 'the feed group is not dumped',
    patch: { file: 'feed.ts', find: 'if (g === sheet.feedIndex) continue\n      for', replace: 'for' },
    check: (tanks) => {
      const all = { ...kelp, dump: { rateKgPerS: 11, groups: [0, 1] } }
      expect(tanks.dumpFor(all, full, 0, 500).state.quantitiesKg[0]).toEqual([900])
    }
  },
  {
    rule: 'only what is jettisonable is thrown off',
    patch: { file: 'dump.ts', find: 'if (group?.jettisonable !== true)', replace: 'if (group === undefined)' },
    check: (tanks) => {
      expect(() => tanks.jettisoned(kelp, full, [1])).toThrow('group 1 cannot be jettisoned')
    }
  }
]

/** A copy of the tanks in which a line is another. */
function patched({ file, find, replace }: Rule['patch'], place: string): string {
  const root = join(cache, place)
  mkdirSync(root, { recursive: true })
  cpSync(join(shared, 'tanks'), join(root, 'tanks'), { recursive: true })
  cpSync(join(shared, 'contracts/kinds.ts'), join(root, 'contracts/kinds.ts'))
  const source = readFileSync(join(shared, 'tanks', file), 'utf8')
  expect(source.split(find).length - 1, `"${find}" in ${file}`).toBe(1)
  writeFileSync(
    join(root, 'tanks', file),
    source.replace(find, () => replace)
  )
  return root
}

describe('a rule of the tanks', () => {
  afterAll(() => {
    rmSync(cache, { recursive: true, force: true })
  })

  it.each(rules)('holds, and without it a check fails: $rule', async ({ rule, patch, check }) => {
    check(await load(shared))
    const broken = await load(patched(patch, rule.replaceAll(/[^a-z]+/g, '-')))
    // An expectation fails, not the code: a copy that only throws would show nothing.
    expect(() => {
      check(broken)
    }).toThrow(expect.objectContaining({ name: 'AssertionError' }))
  })

  it('is checked on tanks that are a copy and nothing else', async () => {
    const same = await load(
      patched({ file: 'feed.ts', find: 'const SILENT = 0', replace: 'const SILENT = 0' }, 'as-it-is')
    )
    for (const { check } of rules) check(same)
    expect(same.feed).not.toBe((await load(shared)).feed)
  })
})
