/** Beats that count: half a minute of them. */
const REMEMBERED = 15
/** Further than two clocks of one device drift apart by themselves. */
const STEP_MS = 1_000

/** The clocks of a device: the one a person may set, and the one that only counts. */
export interface DeviceClocks {
  nowMs: () => number
  upMs: () => number
}
const THIS_DEVICE: DeviceClocks = { nowMs: () => Date.now(), upMs: () => performance.now() }

/** How far this device's clock is behind the service's, ms. */
export interface SkewMeter {
  /** After each frame that tells the service's time. */
  heard: (realAtMs: number) => number
  /** Now; not known before the first frame, nor once the clock was set, or the device slept, since the last one. */
  knownMs: () => number | undefined
}

/**
 * Frames come late, never early, so of the latest ones the one that travelled fastest tells it best. Those of before the
 * device's clock was set tell nothing.
 */
export function skewMeter({ nowMs, upMs }: DeviceClocks = THIS_DEVICE): SkewMeter {
  let behindMs: number[] = []
  let lastApartMs = 0
  const isSteady = () => Math.abs(nowMs() - upMs() - lastApartMs) <= STEP_MS
  const best = () => Math.max(...behindMs)
  return {
    heard: (realAtMs) => {
      if (!isSteady()) behindMs = []
      lastApartMs = nowMs() - upMs()
      behindMs = [...behindMs, realAtMs - nowMs()].slice(-REMEMBERED)
      return best()
    },
    knownMs: () => (behindMs.length > 0 && isSteady() ? best() : undefined)
  }
}
