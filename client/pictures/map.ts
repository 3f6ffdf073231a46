import type { Plan } from '../../shared/contracts/plan.ts'
import type { Position } from '../../shared/contracts/quantities.ts'
import { legOf } from '../../shared/geodesy.ts'
import { abortLegOf, type AbortLeg } from '../../shared/plan/abort-leg.ts'
import { brief, type FlightBrief } from '../../shared/plan/brief.ts'
import { abortKg, abortWithinReach } from '../../shared/plan/limits.ts'
import { stepFor, type Mark } from './scale.ts'

/** Where things lie, north up: tracks, bases, the ways to abort bases, the routes of the flights. */

export interface AbortWay extends AbortLeg {
  trackId: string
  /** By flight that comes to the track: the ship of it that needs most. */
  needs: { flightId: string; shipId: string; kg: number }[]
}

export interface Route {
  flightId: string
  points: Position[]
  /** Where its name stands: the far end of its task, or of its longest leg. */
  named: Position
  distanceM: number
}

export interface Geometry {
  bases: { id: string; at: Position }[]
  tracks: { id: string; orbit: readonly Position[]; controlPoint: Position; tankerIds: string[] }[]
  aborts: AbortWay[]
  routes: Route[]
}

export function geometryOf(plan: Plan): Geometry {
  const resolved = brief(plan)
  const aborts = new Map<string, AbortWay>()
  for (const flight of resolved.flights.values()) {
    for (const trackId of tracksOf(flight, (tankerId) => resolved.tankers.get(tankerId)?.trackId)) {
      const leg = abortLegOf(resolved, flight, trackId)
      const ships = flight.ships.filter((ship) => abortWithinReach(resolved, ship, trackId))
      const [most] = ships
        .map((ship) => ({ flightId: flight.id, shipId: ship.id, kg: abortKg(resolved, ship, trackId) }))
        .toSorted((a, b) => b.kg - a.kg)
      if (!leg || !most) continue
      const key = `${trackId} ${leg.baseId}`
      const way = aborts.get(key) ?? { ...leg, trackId, needs: [] }
      way.needs.push(most)
      aborts.set(key, way)
    }
  }
  return {
    bases: [...resolved.bases].map(([id, at]) => ({ id, at })),
    tracks: [...resolved.tracks.values()].map(({ id, orbit, controlPoint }) => ({
      id,
      orbit,
      controlPoint,
      tankerIds: [...resolved.tankers.values()].flatMap((tanker) => (tanker.trackId === id ? tanker.id : []))
    })),
    aborts: [...aborts.values()],
    routes: [...resolved.flights.values()].map(routeOf)
  }
}

const tracksOf = (flight: FlightBrief, trackOf: (tankerId: string) => string | undefined): Set<string> =>
  new Set(flight.visits.flatMap((visit) => trackOf(visit.tankerId) ?? []))

/** Points a leg is drawn through: the shortest way bends on a flat picture. */
const POINTS_A_LEG = 8

function routeOf(flight: FlightBrief): Route {
  const first = flight.phases[0]?.from ?? { latitudeDeg: 0, longitudeDeg: 0 }
  const points: Position[] = [first]
  let distanceM = 0
  let longest = { named: first, distanceM: 0 }
  for (const { from, to } of flight.phases) {
    if (from.latitudeDeg === to.latitudeDeg && from.longitudeDeg === to.longitudeDeg) continue
    const leg = legOf(from, to)
    for (let point = 1; point <= POINTS_A_LEG; point++) points.push(leg.pointAt(point / POINTS_A_LEG))
    distanceM += leg.distanceM
    if (leg.distanceM > longest.distanceM) longest = { named: leg.pointAt(0.5), distanceM: leg.distanceM }
  }
  const task = flight.phases.find(({ kind }) => kind === 'combat' || kind === 'loiter')
  return { flightId: flight.id, points, named: task?.to ?? longest.named, distanceM }
}

export interface Box {
  left: number
  right: number
  top: number
  bottom: number
}

export interface Projection {
  xy: (at: Position) => { x: number; y: number }
  /** Pixels of a nautical mile in the middle of the picture. */
  pxPerNmi: number
  parallels: Mark[]
  meridians: Mark[]
}

const RAD_PER_DEG = Math.PI / 180
/** Of latitude, and of longitude times the cosine. */
const NMI_PER_DEG = 60
/** Room about what is drawn, share of it. */
const ROOM = 0.08

/** A flat picture, true to scale in its middle: good for what one exercise covers. */
export function projectionOf(positions: readonly Position[], box: Box): Projection {
  const reference = positions[0]?.longitudeDeg ?? 0
  // Over the antimeridian longitudes run on.
  const longitude = (deg: number): number => ((((deg - reference + 180) % 360) + 360) % 360) - 180 + reference
  const latitudes = positions.map(({ latitudeDeg }) => latitudeDeg)
  const longitudes = positions.map(({ longitudeDeg }) => longitude(longitudeDeg))
  const [south, north, west, east] = [
    Math.min(...latitudes),
    Math.max(...latitudes),
    Math.min(...longitudes),
    Math.max(...longitudes)
  ]
  const middle = { latitude: (south + north) / 2, longitude: (west + east) / 2 }
  const narrower = Math.cos(middle.latitude * RAD_PER_DEG)
  const spanNmi = {
    x: Math.max(10, (east - west) * narrower * NMI_PER_DEG) * (1 + 2 * ROOM),
    y: Math.max(10, (north - south) * NMI_PER_DEG) * (1 + 2 * ROOM)
  }
  const pxPerNmi = Math.min((box.right - box.left) / spanNmi.x, (box.bottom - box.top) / spanNmi.y)
  const perDeg = pxPerNmi * NMI_PER_DEG
  const centre = { x: (box.left + box.right) / 2, y: (box.top + box.bottom) / 2 }
  const x = (deg: number): number => centre.x + (longitude(deg) - middle.longitude) * narrower * perDeg
  const y = (deg: number): number => centre.y - (deg - middle.latitude) * perDeg
  const reach = {
    latitude: (box.bottom - box.top) / 2 / perDeg,
    longitude: (box.right - box.left) / 2 / (perDeg * narrower)
  }
  return {
    xy: ({ latitudeDeg, longitudeDeg }) => ({ x: x(longitudeDeg), y: y(latitudeDeg) }),
    pxPerNmi,
    parallels: degreesIn(middle.latitude, reach.latitude).map((deg) => ({ label: degreeText(deg, 'NS'), at: y(deg) })),
    meridians: degreesIn(middle.longitude, reach.longitude).map((deg) => ({
      label: degreeText(deg, 'EW'),
      at: x(deg)
    }))
  }
}

/** Whole degrees, halves or sixths of them: about six in the picture. */
function degreesIn(middle: number, reach: number): number[] {
  const step = [1 / 6, 0.5, 1, 2, 5, 10, 20].find((one) => (2 * reach) / one <= 8) ?? 30
  const from = Math.ceil((middle - reach) / step - 1e-9)
  const to = Math.floor((middle + reach) / step + 1e-9)
  return Array.from({ length: to - from + 1 }, (_, i) => (from + i) * step)
}

/** `44°30′N`, whole degrees without minutes. */
function degreeText(deg: number, [plus = '', minus = '']: string): string {
  const within = plus === 'E' ? ((((deg + 180) % 360) + 360) % 360) - 180 : deg
  const minutes = Math.round(Math.abs(within) * 60)
  const rest = minutes % 60
  const side = within < 0 ? minus : plus
  return `${Math.floor(minutes / 60)}°${rest === 0 ? '' : `${String(rest).padStart(2, '0')}′`}${side}`
}

/** A round length of about a tenth of the picture, NM. */
export const scaleBarNmi = (pxPerNmi: number, widthPx: number): number => stepFor(widthPx / pxPerNmi, 10)

/** The bottom of a map is never so far down that it cannot be seen with its legend, px. */
const TALLEST_PX = 620
const LEAST_TALL_PX = 300

/** How high a map of such a width is to be. */
export function mapHeight(positions: readonly Position[], width: number): number {
  const { pxPerNmi, xy } = projectionOf(positions, { left: 0, right: width, top: 0, bottom: 1e6 })
  const ys = positions.map((at) => xy(at).y)
  const tall = (Math.max(...ys) - Math.min(...ys)) * (1 + 2 * ROOM) + 60
  return pxPerNmi > 0 ? Math.min(TALLEST_PX, Math.max(LEAST_TALL_PX, Math.round(tall))) : LEAST_TALL_PX
}

/** Everything that must be in the picture. */
export const positionsOf = ({ bases, tracks, routes }: Geometry): Position[] => [
  ...bases.map(({ at }) => at),
  ...tracks.flatMap(({ orbit, controlPoint }) => [controlPoint, ...orbit]),
  ...routes.flatMap(({ points }) => points)
]
