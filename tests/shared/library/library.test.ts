import { describe, expect, it } from 'vitest'
import { demoPlan } from '../../../server/demo/plan.ts'
import { plan, planRules, receiverType, tankerType } from '../../../shared/contracts/plan.ts'
import {
  basisOf,
  fieldsWithBasis,
  LEFT_OUT_FILL_RATE,
  type Basis,
  type BasisTable
} from '../../../shared/library/basis.ts'
import { DEFAULT_FIGURES, DEFAULTS_OF } from '../../../shared/library/defaults.ts'
import { library } from '../../../shared/library/library.ts'
import { typeWarnings } from '../../../shared/plan/warnings.ts'
import { sheetOf } from '../../../shared/plan/brief.ts'
import { readPlan } from '../../../shared/plan/read.ts'
import { flowKgPerS, quantityKg } from '../../../shared/units.ts'

/* Constructed: the library is invented. Asked for: which kinds of type it has, and that every figure says what it rests on. */
const { receivers, tankers, rules } = library()

type Way = readonly (string | number)[]
/** Every figure with the way to it; a reported one, `{ value, unit }`, is one figure. */
function* figuresOf(node: unknown, way: Way = []): Generator<Way> {
  if (typeof node === 'number') yield way
  if (typeof node !== 'object' || node === null) return
  if ('value' in node && 'unit' in node) {
    yield way
    return
  }
  for (const [key, child] of Object.entries(node) as [string, unknown][])
    yield* figuresOf(child, [...way, Array.isArray(node) ? Number(key) : key])
}
const sources: readonly (readonly [BasisTable, string, unknown])[] = [
  ...receivers.map((type) => ['receiver', type.id, type] as const),
  ...tankers.map((type) => ['tanker', type.id, type] as const),
  ['rules', 'rules', rules]
]
const saysWhy = (basis: Basis | undefined): boolean =>
  basis !== undefined && (basis.kind === 'published' ? basis.source : basis.why).length > 5

describe('the library', () => {
  it('keeps to the contract', () => {
    for (const type of receivers) expect(receiverType.parse(type)).toEqual(type)
    for (const type of tankers) expect(tankerType.parse(type)).toEqual(type)
    expect(planRules.parse(rules)).toEqual(rules)
  })

  it('has fighters of one and of two engines by boom and by drogue, an attack type, a transport, one internal gauge', () => {
    const named = (part: string, method: string) =>
      receivers.filter((type) => type.name.includes(part) && type.method === method).length
    for (const engines of ['one engine', 'two engines'])
      for (const method of ['boom', 'drogue']) expect(named(engines, method), `${engines}, ${method}`).toBe(1)
    expect(named('attack', 'drogue')).toBe(1)
    expect(named('transport', 'boom')).toBe(1)
    expect(receivers.filter((type) => type.gauge === 'internal')).toHaveLength(1)
  })

  it('has tankers with a boom, with a centreline hose, with pods, and with stations that exclude each other', () => {
    const stationIds = tankers.map((type) => type.stations.map((station) => station.id).join(' '))
    expect(stationIds).toEqual(['boom', 'left right centre', 'left right', 'boom left right', 'centre'])
    expect(tankers.flatMap((type) => type.stations.flatMap((station) => station.excludes ?? []))).toHaveLength(2)
  })

  it('has ids and names that differ, and no external group faster than its receiver', () => {
    for (const list of [receivers, tankers]) {
      expect(new Set(list.map(({ id }) => id)).size).toBe(list.length)
      expect(new Set(list.map(({ name }) => name)).size).toBe(list.length)
    }
    for (const type of receivers) expect(typeWarnings(type, 802), type.id).toEqual([])
  })

  it('is as its bases say: unusable rests, approach fuel, drag, and stages that outgive the burn in transit', () => {
    for (const type of receivers) {
      const sheet = sheetOf(type, [], 802)
      const perS = (flow: Parameters<typeof flowKgPerS>[0]) => flowKgPerS(flow, 802)
      const approachS = quantityKg(type.approachFuel, 802) / perS(type.flows.recovery)
      expect(approachS / 60, type.id).toBeGreaterThan(5)
      expect(approachS / 60, type.id).toBeLessThan(12)
      for (const group of [
        ...sheet.groups,
        ...sheetOf(
          type,
          type.groups.map(({ id }) => id),
          802
        ).groups
      ]) {
        const rest = group.unusableKg / group.capacityKg
        expect(rest, group.id).toBeGreaterThan(0.007)
        expect(rest, group.id).toBeLessThan(group.role.kind === 'feed' ? 0.05 : 0.03)
        if (group.role.kind === 'stage' && type.flows.transit)
          expect(group.tankCount * group.transferRateKgPerS, group.id).toBeGreaterThan(perS(type.flows.transit))
      }
      for (const { dragFactor } of type.groups.filter(({ place }) => place === 'external')) {
        expect(dragFactor).toBeGreaterThanOrEqual(1.05)
        expect(dragFactor).toBeLessThanOrEqual(1.1)
      }
    }
  })

  it('can be planned with, every type and the rules', () => {
    const demo = demoPlan(Date.UTC(2031, 4, 6, 9))
    // Limits set by hand belong to the rules of the demonstration.
    const flights = demo.flights.map((flight) => ({ ...flight, limits: undefined }))
    const whole = { ...demo, flights, rules, receiverTypes: receivers, tankerTypes: tankers }
    const read = readPlan(JSON.parse(JSON.stringify(whole)))
    expect('faults' in read ? read.faults : []).toEqual([])
    expect(plan.parse(whole).receiverTypes).toHaveLength(7)
  })
})

describe('the basis of a figure', () => {
  it.each(sources)('of %s %s is told for every figure, with a source or a reason', (table, _, node) => {
    const ways = [...figuresOf(node)]
    expect(ways.length).toBeGreaterThan(2)
    for (const way of ways) expect(saysWhy(basisOf(table, way)), way.join(' ')).toBe(true)
  })

  it('is told for no field that no sheet has', () => {
    for (const table of ['receiver', 'tanker', 'rules'] as const) {
      const ways = sources.flatMap(([of, , node]) => (of === table ? [...figuresOf(node)] : []))
      const used = (field: string) =>
        ways.some((way) =>
          `${way.map((step) => (typeof step === 'number' ? '*' : step)).join(' ')} `.startsWith(`${field} `)
        )
      expect(fieldsWithBasis(table).filter((field) => !used(field))).toEqual([])
    }
    expect(basisOf('receiver', ['colour'])).toBeUndefined()
  })

  it('is published only with a source, and is told for a fill rate that is left out', () => {
    expect(LEFT_OUT_FILL_RATE.kind).toBe('common practice')
    const kinds = fieldsWithBasis('rules').map((field) => basisOf('rules', field.split(' ')))
    expect(kinds.filter((basis) => basis?.kind === 'published')).toHaveLength(2)
    for (const basis of kinds) if (basis?.kind === 'published') expect(basis.source).toMatch(/3710\.7/)
  })

  it('stands beside every default that counts where a plan says nothing', () => {
    for (const { of, value, basis } of DEFAULT_FIGURES) {
      expect(Number.isFinite(value), of).toBe(true)
      expect(saysWhy(basis), of).toBe(true)
    }
    expect([...new Set(DEFAULT_FIGURES.map(({ of }) => of))].toSorted()).toEqual([...DEFAULTS_OF].toSorted())
  })
})
