/** A flight's ladder and the weakest point of its way. */
import { plannedCountedKg, starvedAt, type Bend } from '../live/ahead.ts'
import { legAt, positionOn, type Leg } from '../live/course.ts'
import { weakestOf } from '../live/view/flight.ts'
import type { Scene } from '../live/view/scene.ts'
import { SAME_KG } from '../fuel/ladder.ts'
import type { FlightBrief } from '../plan/brief.ts'
import { countedKg, totalKg, type TankState } from '../tanks/sheet.ts'
import { countedOf, fuelAt } from './course.ts'
import type { FlightFigure, LegFigure, RungFigure } from './figure.ts'
import { instant, legsUpTo } from './instants.ts'
import { recovery } from './limits.ts'
import { add, CLOCK, COMPUTED, multiply, NONE, subtract, type Expression, type Paper } from './paper.ts'
import type { Stage } from './stage.ts'
import { fuelAlong } from './way.ts'

const membersOf = (stage: Stage, flight: FlightBrief): Scene[] =>
  flight.ships.flatMap((ship) => stage.scene(ship.id) ?? [])

/** The ship whose weakest point is the flight's, with that point. */
function weakest(stage: Stage, flight: FlightBrief) {
  let least: { scene: Scene; point: NonNullable<ReturnType<typeof weakestOf>> } | undefined
  for (const scene of membersOf(stage, flight)) {
    const point = weakestOf(stage.plan, flight, scene)
    if (point && (!least || point.marginKg < least.point.marginKg - SAME_KG)) least = { scene, point }
  }
  return least
}

/** Where on the way ahead an instant lies: the bends around it, on one leg. */
function around({ way }: Scene, atMs: number, kg: (share: number, a: number, b: number) => number, wantKg: number) {
  let found: { a: Bend; b: Bend; share: number } | undefined
  let best = Infinity
  for (let i = 0; i + 1 < way.bends.length; i++) {
    const [a, b] = [way.bends[i], way.bends[i + 1]]
    if (!a || !b || a.leg !== b.leg || a.atMs > atMs + 1e-3 || b.atMs < atMs - 1e-3) continue
    const share = b.atMs > a.atMs ? Math.min(1, Math.max(0, (atMs - a.atMs) / (b.atMs - a.atMs))) : 0
    const off = Math.abs(kg(share, plannedCountedKg(a), plannedCountedKg(b)) - wantKg)
    if (off < best) {
      best = off
      found = { a, b, share }
    }
  }
  return found
}

/** Counted fuel at a bend; where the tanks are dry, less what the engines have lacked by then. */
function countedAt(paper: Paper, name: string, bend: Bend): Expression {
  const about = bend.leg.phaseId ?? bend.leg.kind
  const counted = paper.input(name, 'mass', bend.countedKg, COMPUTED, about)
  if (bend.lackedKg === 0) return counted
  const lacked = paper.input('burn that found nothing by then', 'mass', bend.lackedKg, COMPUTED, about)
  return paper.line(`${name}, below nothing`, 'mass', subtract(counted, lacked), about, plannedCountedKg(bend))
}

function weakestMargin(paper: Paper, stage: Stage, flight: FlightBrief): Expression | undefined {
  const least = weakest(stage, flight)
  if (!least) return undefined
  const { scene, point } = least
  const home = { stage, ship: scene.crew.ship }
  const at = (leg: Leg) => positionOn(leg, point.atMs)
  const even = (share: number, a: number, b: number): number => a + share * (b - a)
  // Two legs meet at many instants: the right one is where the fuel less the way home is the margin found.
  const scratch = scene.way.bends.flatMap((bend) => (bend.atMs <= point.atMs + 1e-3 ? [bend.leg] : [])).at(-1)
  const leg = scratch ?? legAt(scene.legs, point.atMs)
  const needed = recovery(paper, home, at(leg), point.baseId)
  if (!needed) return undefined
  const fuelKg = point.marginKg + paper.value(needed)
  const bends = around(scene, point.atMs, even, fuelKg)
  if (!bends) return undefined
  const { a, b, share } = bends
  const from = countedAt(paper, 'counted fuel at the bend before', a)
  const to = countedAt(paper, 'counted fuel at the bend after', b)
  const part = paper.input('share of the way between them', 'factor', share, COMPUTED)
  const then = paper.line('counted fuel then', 'mass', add(from, multiply(part, subtract(to, from))), undefined, fuelKg)
  return paper.line('weakest margin', 'mass', subtract(then, needed), scene.crew.ship.id, point.marginKg)
}

function weakestAt(paper: Paper, stage: Stage, flight: FlightBrief): Expression | undefined {
  const least = weakest(stage, flight)
  if (!least) return undefined
  const { scene, point } = least
  const leg = legAt(scene.legs, point.atMs)
  const fromMs = Number.isFinite(leg.fromAtMs) ? leg.fromAtMs : point.atMs
  const begins = paper.input('the phase begins', 'instant', fromMs, COMPUTED, leg.phaseId ?? leg.kind)
  const into = paper.input('into the phase, where least is left', 'span', (point.atMs - fromMs) / 1000, COMPUTED)
  return paper.line('weakest at', 'instant', add(begins, into), undefined, point.atMs)
}

export const FLIGHT_MAKERS: Record<
  FlightFigure,
  (paper: Paper, stage: Stage, flight: FlightBrief) => Expression | undefined
> = {
  'weakest margin': weakestMargin,
  'weakest at': weakestAt
}

interface Rung {
  scene: Scene
  leg: Leg
  flying: boolean
  tanks: TankState
}

/** The flight's least fuelled ship, whose ladder it shows. */
function leastOf(stage: Stage, flight: FlightBrief): Scene | undefined {
  const flying = membersOf(stage, flight).filter(({ crew }) => !crew.its.landed)
  const kg = (scene: Scene) => totalKg(scene.crew.ship.sheet, scene.tanks)
  return flying.reduce<Scene | undefined>((worst, one) => (!worst || kg(one) < kg(worst) ? one : worst), undefined)
}

/** One rung of a ship's ladder. */
function rungOf(stage: Stage, scene: Scene, index: number): Rung | undefined {
  const rungs = scene.legs.flatMap((leg): Rung[] => {
    if (leg.toAtMs <= stage.nowMs || leg.phaseIndex < 0) return []
    const { bends } = scene.way
    const bend = bends.find((one) => one.leg === leg) ?? (leg.kind === 'ended' ? bends.at(-1) : undefined)
    const begun = leg.fromAtMs < stage.nowMs
    const tanks = begun ? scene.tanks : bend?.state
    return tanks ? [{ scene, leg, flying: begun, tanks }] : []
  })
  return rungs[index]
}

/** All fuel aboard at a rung: now, or along the way ahead. */
function fuelAtRung(paper: Paper, stage: Stage, { scene, leg, flying }: Rung): Expression {
  if (flying) return fuelAt(paper, stage, scene, stage.nowMs).fuel
  return fuelAlong(paper, stage, scene, (bend) => bend.leg === leg)
}

type RungMaker = (paper: Paper, stage: Stage, flight: FlightBrief, rung: Rung) => Expression | undefined

const RUNG: Record<RungFigure, RungMaker> = {
  'ladder at': (paper, stage, flight, { scene, leg, flying }) => {
    if (flying) return paper.line('ladder at', 'instant', add(paper.input('now', 'instant', stage.nowMs, CLOCK)))
    return instant(
      paper,
      'ladder at',
      legsUpTo(paper, stage, { crew: scene.crew, flight }, scene.legs, leg),
      leg.fromAtMs
    )
  },
  'ladder fuel': (paper, stage, _flight, rung) => {
    const kg = totalKg(rung.scene.crew.ship.sheet, rung.tanks)
    return paper.line('ladder fuel', 'mass', add(fuelAtRung(paper, stage, rung)), rung.scene.crew.ship.id, kg)
  },
  'ladder counted': (paper, stage, _flight, { scene, leg, flying, tanks }) => {
    const { crew, way } = scene
    if (starvedAt(way, flying ? stage.nowMs : leg.fromAtMs))
      return paper.line('ladder counted', 'mass', NONE, crew.ship.id)
    const all = paper.input('ladder fuel', 'mass', totalKg(crew.ship.sheet, tanks), COMPUTED)
    const counted = countedOf(paper, crew, all, tanks)
    return paper.line('ladder counted', 'mass', add(counted), crew.ship.id, countedKg(crew.ship.sheet, tanks))
  },
  'ladder recovery': (paper, stage, flight, { scene, leg, flying }) => {
    const from = flying ? positionOn(leg, stage.nowMs) : leg.from
    const needed = recovery(paper, { stage, ship: scene.crew.ship }, from, flight.recoveryBaseId)
    return needed && paper.line('ladder recovery', 'mass', add(needed), flight.recoveryBaseId)
  }
}

export function rungFigure(
  paper: Paper,
  stage: Stage,
  flight: FlightBrief,
  figure: RungFigure,
  index: number
): Expression | undefined {
  const scene = leastOf(stage, flight)
  const rung = scene && rungOf(stage, scene, index)
  return rung && RUNG[figure](paper, stage, flight, rung)
}

const AS_RUNG: Record<LegFigure, RungFigure> = {
  'leg at': 'ladder at',
  'leg fuel': 'ladder fuel',
  'leg counted': 'ladder counted',
  'leg recovery': 'ladder recovery'
}

/** A rung of any ship. */
export function legFigure(
  paper: Paper,
  stage: Stage,
  scene: Scene,
  { figure, index }: { figure: LegFigure; index: number }
): Expression | undefined {
  const rung = rungOf(stage, scene, index)
  return rung && RUNG[AS_RUNG[figure]](paper, stage, scene.crew.flight, rung)
}
