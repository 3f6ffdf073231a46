import type { ShipView } from '../shared/contracts/view.ts'

/** The parts of a vessel bar as shares of its scale, from the left: what is usable, the room left, and what is trapped. */
export interface Vessel {
  internal: number
  external: number
  /** Of internal and external, at their right end: what limits do not count on. */
  unsure: number
  ullage: number
  /** Outside the usable part, at the right end. */
  trapped: number
  ticks: { name: 'abort' | 'bingo' | 'joker'; at: number }[]
}

/** Shares of `scaleKg`, the largest ship of the type: bars of one type can be compared by eye. */
export function vesselOf(ship: ShipView, scaleKg: number): Vessel {
  const usable = (external: boolean) =>
    ship.tanks
      .filter((tank) => tank.external === external)
      .reduce((sumKg, tank) => sumKg + Math.max(0, tank.quantityKg - tank.trappedKg), 0)
  const trappedKg = ship.tanks.reduce((sumKg, tank) => sumKg + Math.min(tank.trappedKg, tank.quantityKg), 0)
  const capacityKg = ship.tanks.reduce((sumKg, tank) => sumKg + tank.capacityKg, 0)
  const internalKg = usable(false)
  const externalKg = usable(true)
  const ticks = (
    [
      ['abort', ship.abortKg],
      ['bingo', ship.bingoKg],
      ['joker', ship.jokerKg]
    ] as const
  ).flatMap(([name, kg]) => (kg === null ? [] : [{ name, at: Math.min(1, Math.max(0, kg / scaleKg)) }]))
  return {
    internal: internalKg / scaleKg,
    external: externalKg / scaleKg,
    unsure: Math.min(ship.estimate.unsureKg, internalKg + externalKg) / scaleKg,
    ullage: Math.max(0, capacityKg - internalKg - externalKg - trappedKg) / scaleKg,
    trapped: trappedKg / scaleKg,
    ticks
  }
}

/** The scale of each type: the most any of its ships holds. Kilograms by the type's id. */
export function scalesOf(ships: readonly ShipView[], typeOf: (shipId: string) => string): ReadonlyMap<string, number> {
  const scales = new Map<string, number>()
  for (const ship of ships) {
    const type = typeOf(ship.shipId)
    const capacityKg = ship.tanks.reduce((sumKg, tank) => sumKg + tank.capacityKg, 0)
    scales.set(type, Math.max(scales.get(type) ?? 1, capacityKg))
  }
  return scales
}
