import type { ReceiverType, TankerType, PlanRules } from '../../shared/contracts/plan.ts'
import { basisOf, LEFT_OUT_FILL_RATE, type Basis, type BasisTable } from '../../shared/library/basis.ts'
import { sheetOf } from '../../shared/plan/brief.ts'
import { FUEL_KG_PER_M3 } from './tanks.ts'

/** A sheet as rows: each figure as it was typed, with what it rests on. */

export interface SheetFigure {
  /** The way to it, as the contract names its parts. */
  field: string
  value: number
  /** Empty for a plain number. */
  unit: string
  basis: Basis | undefined
}

export interface SheetPart {
  /** A group of tanks or a station; undefined for what the whole has. */
  name: string | undefined
  /** What is told of it in words: choices, switches. */
  said: string[]
  figures: SheetFigure[]
}

type Way = readonly (string | number)[]

/** Every figure below a node, with its basis by the way to it. */
function figuresOf(table: BasisTable, node: unknown, way: Way, skip: readonly string[] = []): SheetFigure[] {
  const basis = basisOf(table, way)
  const field = way.filter((step) => typeof step === 'string').join(' ')
  if (typeof node === 'number') return [{ field, value: node, unit: unitOf(way.at(-1)), basis }]
  if (typeof node !== 'object' || node === null) return []
  if ('value' in node && 'unit' in node)
    return typeof node.value === 'number' && typeof node.unit === 'string'
      ? [{ field, value: node.value, unit: node.unit, basis }]
      : []
  return (Object.entries(node) as [string, unknown][]).flatMap(([key, child]) =>
    skip.includes(key) ? [] : figuresOf(table, child, [...way, Array.isArray(node) ? Number(key) : key])
  )
}

/** A plain number says its unit in its name. */
function unitOf(step: string | number | undefined): string {
  const name = String(step)
  if (name.endsWith('Min')) return 'min'
  if (name.endsWith('Percent')) return '%'
  return name.endsWith('Deg') ? '°' : ''
}

export function receiverParts(type: ReceiverType): SheetPart[] {
  const filled = sheetOf(
    type,
    type.groups.map(({ id }) => id),
    FUEL_KG_PER_M3
  )
  return [
    {
      name: undefined,
      said: [type.method, `gauge ${type.gauge}`],
      figures: figuresOf('receiver', type, [], ['groups'])
    },
    ...type.groups.map((group, index): SheetPart => {
      const figures = figuresOf('receiver', group, ['groups', index])
      const leftOutKgPerS = filled.groups.find(({ id }) => id === group.id)?.fillRateKgPerS ?? 0
      const leftOut = {
        field: 'groups fillRate',
        value: leftOutKgPerS * 60,
        unit: 'kg/min',
        basis: LEFT_OUT_FILL_RATE
      }
      return {
        name: group.name,
        said: [group.place, group.role.kind, ...(group.silencedByExternals ? ['silenced'] : [])],
        figures: group.fillRate === undefined ? [...figures, leftOut] : figures
      }
    })
  ]
}

export const tankerParts = (type: TankerType): SheetPart[] => [
  { name: undefined, said: [], figures: figuresOf('tanker', type, [], ['stations']) },
  ...type.stations.map(({ name, method, excludes }, index) => ({
    name,
    said: [
      method,
      ...(excludes ?? []).map((id) => `not with ${type.stations.find((one) => one.id === id)?.name ?? id}`)
    ],
    figures: figuresOf('tanker', type.stations[index], ['stations', index])
  }))
]

export const ruleParts = (rules: PlanRules): SheetPart[] => [
  { name: undefined, said: [], figures: figuresOf('rules', rules, []) }
]
