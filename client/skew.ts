/** Beats that count: half a minute of them. A device's clock may be set while a page is open. */
const REMEMBERED = 15

/**
 * How far this device's clock is behind the service's, ms, after each frame that tells the service's time. Frames come
 * late, never early, so of the latest ones the one that travelled fastest tells it best.
 */
export function skewMeter(): (realAtMs: number, hereMs: number) => number {
  const behindMs: number[] = []
  return (realAtMs, hereMs) => {
    behindMs.push(realAtMs - hereMs)
    if (behindMs.length > REMEMBERED) behindMs.shift()
    return Math.max(...behindMs)
  }
}
