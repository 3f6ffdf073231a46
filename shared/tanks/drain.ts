import { type Covers } from '../contracts/kinds.ts'
import { flatQuantities, layoutOf, nestedQuantities, SAME_KG, type Layout } from './layout.ts'
import { type Sheet, type TankState } from './sheet.ts'
import { gives } from './trouble.ts'

/*
 * The order in which a slow burn empties a ship, as a path of tank quantities. A ship that holds more or less than was
 * thought is moved along it: down takes the smaller of state and path tank by tank, up the larger, so that a state
 * already on the path stays on it.
 */

export interface Figure {
  readonly figureKg: number
  readonly covers: Covers
}

type Row = Float64Array

interface Tanks {
  readonly layout: Layout
  readonly held: Row
  /** The engines can have it as the switches stand. */
  readonly inUse: readonly boolean[]
  /** Counted by the figure and still there. */
  readonly covered: readonly boolean[]
}

const at = (row: ArrayLike<number>, index: number): number => row[index] ?? 0

function tanksOf(sheet: Sheet, state: TankState, covers: Covers): Tanks {
  const layout = layoutOf(sheet)
  const inUse: boolean[] = []
  const covered: boolean[] = []
  for (let tank = 0; tank < layout.tankCount; tank++) {
    const g = at(layout.groupOf, tank)
    const trouble = state.troubles[g]?.[tank - at(layout.first, g)]
    const external = layout.external[g] === true
    covered.push(trouble !== 'gone' && (covers === 'total' || !external))
    inUse.push(gives(trouble) && (!external || (covers === 'total' && state.externals === 'selected')))
  }
  return { layout, held: flatQuantities(layout, state), inUse, covered }
}

/** Takes `tanks` down to their floors at the given rates; every tank that runs dry on the way is a corner of the path. */
function drainTogether(path: Row[], tanks: readonly number[], rates: Row, floors: Row): void {
  const left = new Set(tanks)
  for (;;) {
    const from = path.at(-1) ?? new Float64Array()
    let timeS = Infinity
    for (const tank of left) {
      if (from[tank] !== undefined && from[tank] - at(floors, tank) <= SAME_KG) left.delete(tank)
      else timeS = Math.min(timeS, (at(from, tank) - at(floors, tank)) / at(rates, tank))
    }
    if (left.size === 0 || timeS === Infinity) return
    const next = from.slice()
    for (const tank of left) {
      const kg = at(from, tank) - at(rates, tank) * timeS
      next[tank] = kg - at(floors, tank) <= SAME_KG ? at(floors, tank) : kg
    }
    path.push(next)
  }
}

/** Corners of the path from all tanks in use full to all of them at their unusable rest; the others stay as they are. */
function drainPath(sheet: Sheet, { layout, held, inUse }: Tanks): Row[] {
  const start = held.slice()
  for (let tank = 0; tank < layout.tankCount; tank++)
    if (inUse[tank] === true) start[tank] = at(layout.capacityKg, tank)
  const path = [start]
  const even = new Float64Array(layout.tankCount).fill(1)
  const tanksIn = (g: number): number[] => {
    const tanks: number[] = []
    for (let tank = at(layout.first, g); tank < at(layout.first, g + 1); tank++)
      if (inUse[tank] === true) tanks.push(tank)
    return tanks
  }
  const stages = sheet.groups.flatMap((group, g) =>
    group.role.kind === 'stage' ? [{ turn: group.role.turnCount, silenced: group.silencedByExternals, g }] : []
  )
  // Silenced groups wait until the externals in use are dry and the switch is put off.
  const externalInUse = sheet.groups.some((group, g) => group.place === 'external' && tanksIn(g).length > 0)
  const waits = (stage: { silenced: boolean }): boolean => externalInUse && stage.silenced
  const external = (stage: { g: number }): boolean => layout.external[stage.g] === true
  const inTurn = (some: typeof stages): void => {
    for (const turn of [...new Set(some.map((stage) => stage.turn))].sort((a, b) => a - b)) {
      const now = some.filter((stage) => stage.turn === turn)
      drainTogether(
        path,
        now.flatMap((stage) => tanksIn(stage.g)),
        layout.transferKgPerS,
        layout.floorKg
      )
    }
  }
  const lastExternalTurn = Math.max(-Infinity, ...stages.filter(external).map((stage) => stage.turn))
  inTurn(stages.filter((stage) => !waits(stage) && stage.turn <= lastExternalTurn))
  inTurn(stages)

  const feed = tanksIn(sheet.feedIndex)
  const floorKg = feed.reduce((kg, tank) => kg + at(layout.floorKg, tank), 0)
  const fullKg = feed.reduce((kg, tank) => kg + at(layout.capacityKg, tank), 0)
  const reserves = sheet.groups
    .flatMap((group, g) => (group.role.kind === 'reserve' ? [{ markKg: group.role.releasedBelowKg, g }] : []))
    .sort((a, b) => b.markKg - a.markKg)
  for (const { markKg, g } of reserves) {
    const share = fullKg > floorKg ? Math.min(1, Math.max(0, (markKg - floorKg) / (fullKg - floorKg))) : 1
    const marks = layout.floorKg.map((floor, tank) => floor + share * (at(layout.capacityKg, tank) - floor))
    drainTogether(path, feed, even, marks)
    drainTogether(path, tanksIn(g), even, layout.floorKg)
  }
  drainTogether(path, feed, even, layout.floorKg)
  return path
}

const sumOf = (row: Row, covered: readonly boolean[]): number =>
  row.reduce((kg, value, tank) => (covered[tank] === true ? kg + value : kg), 0)

/** The state met with the path where the covered sum is the figure; the path must reach it. */
function meet(tanks: Tanks, path: readonly Row[], figureKg: number, pick: (a: number, b: number) => number): Row {
  const against = (row: Row): Row => row.map((value, tank) => pick(value, at(tanks.held, tank)))
  let before = against(path[0] ?? tanks.held)
  for (let corner = 1; corner < path.length; corner++) {
    const from = path[corner - 1] ?? tanks.held
    const to = path[corner] ?? tanks.held
    const after = against(to)
    if (sumOf(after, tanks.covered) < figureKg) {
      // Where the path crosses the state inside this leg the sum bends; between bends it is linear.
      const shares = [1]
      for (let tank = 0; tank < from.length; tank++) {
        const share = (at(from, tank) - at(tanks.held, tank)) / (at(from, tank) - at(to, tank))
        if (share > 0 && share < 1) shares.push(share)
      }
      for (const share of shares.sort((a, b) => a - b)) {
        const bend = share === 1 ? after : against(from.map((value, tank) => value + share * (at(to, tank) - value)))
        const afterKg = sumOf(bend, tanks.covered)
        if (afterKg <= figureKg) return between(before, bend, tanks.covered, figureKg)
        before = bend
      }
    }
    before = after
  }
  return before
}

function between(high: Row, low: Row, covered: readonly boolean[], figureKg: number): Row {
  const highKg = sumOf(high, covered)
  const lowKg = sumOf(low, covered)
  const share = highKg > lowKg ? Math.min(1, Math.max(0, (highKg - figureKg) / (highKg - lowKg))) : 0
  return high.map((value, tank) => value + share * (at(low, tank) - value))
}

function withRow(state: TankState, layout: Layout, row: Row): TankState {
  return { ...state, quantitiesKg: nestedQuantities(layout, row) }
}

function checkFigure(figureKg: number): void {
  if (!(figureKg >= 0)) throw new RangeError(`figureKg must be at least 0, is ${figureKg}`)
}

/**
 * The state with the covered tanks drained in feed order to the figure, kg; as it is when it holds no more.
 * Below what the engines can have, tanks out of use give way first, then all unusable rests together.
 * @throws RangeError when the figure is negative or not a number.
 * Checked: tests/shared/tanks/reading.test.ts.
 */
export function lowered(sheet: Sheet, state: TankState, { figureKg, covers }: Figure): TankState {
  checkFigure(figureKg)
  const tanks = tanksOf(sheet, state, covers)
  const { layout, held, inUse, covered } = tanks
  if (sumOf(held, covered) <= figureKg) return state
  const path = drainPath(sheet, tanks)
  const even = new Float64Array(layout.tankCount).fill(1)
  const idle: number[] = []
  for (let tank = 0; tank < layout.tankCount; tank++)
    if (inUse[tank] !== true && covered[tank] === true) idle.push(tank)
  drainTogether(path, idle, even, layout.floorKg)
  path.push((path.at(-1) ?? held).map((value, tank) => (covered[tank] === true ? 0 : value)))
  return withRow(state, layout, meet(tanks, path, figureKg, Math.min))
}

/**
 * The state with fuel put back against feed order until the covered tanks hold the figure, kg, or are full; as it is
 * when it holds no less. Tanks out of use are topped last.
 * @throws RangeError when the figure is negative or not a number.
 * Checked: tests/shared/tanks/reading.test.ts.
 */
export function raised(sheet: Sheet, state: TankState, { figureKg, covers }: Figure): TankState {
  checkFigure(figureKg)
  const tanks = tanksOf(sheet, state, covers)
  const { layout, held, covered } = tanks
  if (sumOf(held, covered) >= figureKg) return state
  const brim = held.map((value, tank) => (covered[tank] === true ? at(layout.capacityKg, tank) : value))
  if (sumOf(brim, covered) <= figureKg) return withRow(state, layout, brim)
  const path = [brim, ...drainPath(sheet, tanks), held]
  return withRow(state, layout, meet(tanks, path, figureKg, Math.max))
}
