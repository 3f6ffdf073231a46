import type { Externals } from '../../shared/contracts/kinds.ts'
import type { ReceiverType } from '../../shared/contracts/plan.ts'
import { dragFactorOf, dragFactorsOf, sheetOf } from '../../shared/plan/brief.ts'
import { feed, type FeedEvent } from '../../shared/tanks/feed.ts'
import {
  capacityKg,
  countedKg,
  fullState,
  gaugeKg,
  totalKg,
  usableKg,
  type GroupSheet,
  type Sheet,
  type TankState
} from '../../shared/tanks/sheet.ts'
import { flowKgPerS } from '../../shared/units.ts'

/** A ship full of fuel that burns at one flow: what each of its tanks holds at any time, in the order they are emptied in. */

/** What fuel given by volume is counted at. */
export const FUEL_KG_PER_M3 = 802

export interface TankQuestion {
  type: ReceiverType
  /** External groups that are carried. */
  fitted: readonly string[]
  externals: Externals
  flow: keyof ReceiverType['flows']
}

export interface TankRun {
  sheet: Sheet
  start: TankState
  burnKgPerS: number
  /** Until nothing more reaches the engines. */
  endS: number
  /** The engines stop while other tanks hold fuel. */
  starves: boolean
  events: readonly FeedEvent[]
}

/** Nobody flies longer on one filling, s. */
const LONGEST_S = 48 * 3600

export function tankRun({ type, fitted, externals, flow }: TankQuestion): TankRun {
  const sheet = sheetOf(type, fitted, FUEL_KG_PER_M3)
  const start = fullState(sheet, externals)
  const typed = type.flows[flow] ?? type.flows.recovery
  const burnKgPerS = flowKgPerS(typed, FUEL_KG_PER_M3) * dragFactorOf(dragFactorsOf(type), fitted)
  const lastsS = Math.min(LONGEST_S, usableKg(sheet, start) / burnKgPerS)
  const { events, starvedAtS } = feed(sheet, start, burnKgPerS, lastsS)
  return {
    sheet,
    start,
    burnKgPerS,
    endS: starvedAtS ?? lastsS,
    starves: starvedAtS !== undefined && starvedAtS < lastsS - 1,
    events: events.filter(({ atS, kind }) => atS <= (starvedAtS ?? lastsS) && kind !== 'starved')
  }
}

export const TANK_DOES = ['gives', 'waits', 'held', 'silent', 'dry', 'to the engines'] as const
export type TankDoes = (typeof TANK_DOES)[number]

export interface TankBar {
  id: string
  name: string
  external: boolean
  tankCount: number
  quantityKg: number
  usableKg: number
  unusableKg: number
  capacityKg: number
  does: TankDoes
  /** What it gives now, all its tanks together. */
  givesKgPerS: number
}

export interface TanksAt {
  bars: TankBar[]
  totalKg: number
  usableKg: number
  countedKg: number
  gaugeKg: number
  capacityKg: number
}

const sum = (values: readonly number[]): number => values.reduce((total, one) => total + one, 0)
/** Over so long a rate is told, s. */
const A_MOMENT_S = 0.5

/** Every group at a time, those that are emptied first at the top, the feed group last. */
export function tanksAt({ sheet, start, burnKgPerS, endS }: TankRun, atS: number): TanksAt {
  const now = feed(sheet, start, burnKgPerS, Math.min(atS, endS)).state
  const next = feed(sheet, now, burnKgPerS, A_MOMENT_S).state
  const bars = sheet.groups
    .map((group, index) => ({ group, index, turn: turnOf(group) }))
    .toSorted((a, b) => a.turn - b.turn)
    .map(({ group, index }): TankBar => {
      const quantityKg = sum(now.quantitiesKg[index] ?? [])
      const unusableKg = Math.min(quantityKg, group.tankCount * group.unusableKg)
      const givesKgPerS = Math.max(0, quantityKg - sum(next.quantitiesKg[index] ?? [])) / A_MOMENT_S
      return {
        id: group.id,
        name: group.name,
        external: group.place === 'external',
        tankCount: group.tankCount,
        quantityKg,
        usableKg: quantityKg - unusableKg,
        unusableKg,
        capacityKg: group.tankCount * group.capacityKg,
        does: doesOf(group, now, { usableKg: quantityKg - unusableKg, givesKgPerS }),
        givesKgPerS
      }
    })
  return {
    bars,
    totalKg: totalKg(sheet, now),
    usableKg: usableKg(sheet, now),
    countedKg: countedKg(sheet, now),
    gaugeKg: gaugeKg(sheet, now),
    capacityKg: capacityKg(sheet)
  }
}

const turnOf = ({ role }: GroupSheet): number =>
  role.kind === 'stage' ? role.turnCount : role.kind === 'reserve' ? 1_000 : 2_000

/** Less than this is nothing, kg. */
const NOISE_KG = 1e-3

function doesOf(
  group: GroupSheet,
  { externals }: TankState,
  { usableKg: leftKg, givesKgPerS }: { usableKg: number; givesKgPerS: number }
): TankDoes {
  if (leftKg < NOISE_KG) return 'dry'
  if (group.role.kind === 'feed') return 'to the engines'
  if (givesKgPerS > NOISE_KG) return 'gives'
  if (group.place === 'external' && externals !== 'selected') return 'held'
  if (group.silencedByExternals && externals === 'selected') return 'silent'
  return 'waits'
}
