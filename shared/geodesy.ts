import geographiclib from 'geographiclib-geodesic'
import type { Position } from './contracts/quantities.ts'

/*
 * Shortest paths on the WGS 84 ellipsoid. Source: C. F. F. Karney, Algorithms for geodesics, Journal of Geodesy 87
 * (2013) 43-55, through its author's library.
 */

const RAD_PER_DEG = Math.PI / 180
const wgs84 = geographiclib.Geodesic.WGS84

export interface Leg {
  readonly distanceM: number
  /** Clockwise from true north, 0 to 2 pi. */
  courseAt(share: number): number
  pointAt(share: number): Position
}

/**
 * The shortest path between two positions: its length, m, and, by share of it from 0 to 1, its course and its points.
 * Checked: tests/truth/geodesy.json, worst error 3e-7 m and 2e-10 degrees, of rows printed no finer.
 */
export function legOf(from: Position, to: Position): Leg {
  const line = wgs84.InverseLine(from.latitudeDeg, from.longitudeDeg, to.latitudeDeg, to.longitudeDeg)
  const distanceM = line.s13
  return {
    distanceM,
    courseAt: (share) => turned(line.Position(share * distanceM).azi2 ?? 0),
    pointAt: (share) => {
      const { lat2 = from.latitudeDeg, lon2 = from.longitudeDeg } = line.Position(share * distanceM)
      return { latitudeDeg: lat2, longitudeDeg: lon2 }
    }
  }
}

const turned = (azimuthDeg: number): number => (((azimuthDeg % 360) + 360) % 360) * RAD_PER_DEG

/** Length of the shortest path, m. Checked: tests/truth/geodesy.json, worst error 3e-7 m (the rows are printed to 1e-6 m). */
export function distanceM(from: Position, to: Position): number {
  return wgs84.Inverse(from.latitudeDeg, from.longitudeDeg, to.latitudeDeg, to.longitudeDeg).s12 ?? 0
}

/**
 * Course at the first position towards the second, rad clockwise from true north, 0 to 2 pi.
 * Checked: tests/truth/geodesy.json, worst error 2e-10 degrees, of rows printed no finer.
 */
export function bearingRad(from: Position, to: Position): number {
  return turned(wgs84.Inverse(from.latitudeDeg, from.longitudeDeg, to.latitudeDeg, to.longitudeDeg).azi1 ?? 0)
}

/** The position at a share, 0 to 1, of the way. Checked: tests/shared/geodesy.test.ts, by lengths from both ends. */
export const alongLeg = (from: Position, to: Position, share: number): Position => legOf(from, to).pointAt(share)

/** The position half way. */
export const midpoint = (from: Position, to: Position): Position => alongLeg(from, to, 0.5)
