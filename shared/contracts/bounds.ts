/** Every bound of the contract, written once, in SI or in the unit its name says. */
export const BOUNDS = {
  massKg: { min: 0, max: 200_000 },
  volumeM3: { min: 0, max: 250 },
  densityKgPerM3: { min: 650, max: 900 },
  /** Flows of an engine, a tank or a station; zero never makes sense for any of them. */
  flowKgPerS: { min: 0.001, max: 120 },
  distanceM: { min: 0, max: 6_000_000 },
  speedMPerS: { min: 20, max: 700 },
  windMPerS: { min: 0, max: 130 },
  latitudeDeg: { min: -90, max: 90 },
  longitudeDeg: { min: -180, max: 180 },
  bearingDeg: { min: 0, max: 360 },
  /** 2000-01-01 to 2100-01-01. */
  instantMs: { min: 946_684_800_000, max: 4_102_444_800_000 },
  durationMin: { min: 0, max: 1_440 },
  shortMin: { min: 0, max: 60 },
  dragFactor: { min: 1, max: 3 },
  tankCount: { min: 1, max: 12 },
  sharePercent: { min: 1, max: 50 },
  turnCount: { min: 1, max: 20 },
  /** Of the clock of an event; 0: it is paused. */
  rateFactor: { min: 0, max: 60 },
  /** How far the clock of an event may be set ahead at once. */
  clockAheadMs: { min: 0, max: 86_400_000 },
  /** Orders one search may judge. */
  judgements: { min: 1, max: 1_000_000 }
} as const

/** How many of a thing a plan may hold; the sum of ships is bounded as well. */
export const SIZES = {
  groups: 16,
  receiverTypes: 40,
  tankerTypes: 20,
  stationsPerTanker: 6,
  tankers: 30,
  tracks: 30,
  orbitPoints: 8,
  bases: 60,
  flights: 60,
  shipsPerFlight: 12,
  ships: 200,
  phases: 24,
  pushGroups: 60,
  clearances: 4_000,
  slotsPerStation: 120,
  nameLength: 60,
  callSignLength: 24,
  plainWordsLength: 40,
  /** Errors listed for one refused document; the count goes on. */
  errors: 200,
  /** Nesting allowed before a document is refused unread. */
  depth: 24
} as const

/**
 * How often the service may be asked: a burst, and what is given back a second. `open` and `compute` by address, as
 * `wrongSecret`; the others by link, wherever it is used from: a thousand phones may share one to look on.
 */
export const RATES = {
  open: { burstCount: 2_000, perS: 200 },
  /** Figures for anyone, and the event at another time than now. */
  compute: { burstCount: 30, perS: 3 },
  read: { burstCount: 2_000, perS: 50 },
  record: { burstCount: 200, perS: 50 },
  /** Each of a batch, beside the batch: as many ships as a plan may hold, once a second. */
  reading: { burstCount: 400, perS: 200 },
  plan: { burstCount: 20, perS: 1 },
  links: { burstCount: 200, perS: 5 },
  wrongSecret: { burstCount: 20, perS: 1 }
} as const satisfies Record<string, Rate>
export type RateName = keyof typeof RATES
export interface Rate {
  burstCount: number
  perS: number
}

/**
 * Live sockets open at once. A thousand phones may share a link, an address, or both; whoever has one address cannot
 * take a link from all others.
 */
export const SOCKETS = { perLink: 2_500, perAddress: 1_500 } as const

/**
 * Bytes of log and state that may be on their way and not read yet: under one link, and under it from one address. What
 * many wait for at once counts once.
 */
export const UNREAD = { perLinkBytes: 67_108_864, perReaderBytes: 16_777_216 } as const

/** What a feed may send at once, and which of its readings become facts. */
export const READINGS = {
  /** In one batch. */
  batch: 200,
  /** A ship whose last call is so old has its next reading recorded. */
  mostApartMs: 60_000,
  /** No reading is recorded sooner than this after the ship's last call. */
  leastApartMs: 5_000,
  /** One that is sooner than this after one of the ship that was as expected is not looked at: half of a second's beat. */
  lookApartMs: 500,
  /** Between the two one that is further off than so many standard deviations is recorded. */
  offSd: 2
} as const

/** A gauge may read a little above what the sheet holds: density and temperature. */
export const GAUGE_SLACK_FACTOR = 1.05

/** An off-load is what the tanks take and what is burned meanwhile; pumps and meters differ from the sheet. */
export const OFF_LOAD_SLACK_FACTOR = 1.25
