/** What a filter is told of one ship: plain pieces of time, masses and calls, in event time. */

/** A piece of the route with one planned flow. They follow one another in time and do not overlap. */
export interface Stretch {
  readonly fromAtMs: number
  readonly toAtMs: number
  readonly burnKgPerS: number
  /** How well the instant at which it begins is known, s; as by default where not stated, 0 where a call says when. */
  readonly entrySdS?: number | undefined
  /** Flown in formation from place to place or beside a tanker, where nobody bursts; as restless as a task where not. */
  readonly steady?: boolean | undefined
}

/** Mass that comes aboard, or leaves below 0, other than by burning: evenly over its time, or at one instant. */
export interface Transfer {
  readonly fromAtMs: number
  readonly toAtMs: number
  readonly addedKg: number
  /** Of the whole; its variance comes evenly with the mass. */
  readonly sdKg: number
}

/** What is known, from an instant on, of the fuel that an internal gauge does not show. */
export type Outside =
  /** It gives, or fills: a figure of the inside says only that no less and no more than this is beside it. */
  | { readonly kind: 'moving'; readonly leastKg: number; readonly mostKg: number }
  /** It keeps so much: empty, full from a contact, or thrown off. */
  | { readonly kind: 'keeps'; readonly outsideKg: number; readonly sdKg: number }
  /** It stopped giving: from here on it keeps what is aboard and not inside. */
  | { readonly kind: 'stopped'; readonly insideKg: number; readonly sdKg: number }

export interface OutsideFrom {
  readonly atMs: number
  readonly outside: Outside
}

/** Fuel as called. */
export interface Call {
  /** Tells calls of one instant apart, and orders them. */
  readonly seq: number
  /** When it was observed, however late it was heard. */
  readonly atMs: number
  readonly figureKg: number
  readonly covers: 'total' | 'internal'
  /** Step to which the speaker rounded. */
  readonly roundingKg: number
}

export interface Watch {
  readonly start: { readonly atMs: number; readonly fuelKg: number; readonly sdKg: number }
  /** Full scale of the gauge, as far as a figure covers it; the total is also the most there can be aboard. */
  readonly fullScaleKg: Readonly<Record<Call['covers'], number>>
  readonly stretches: readonly Stretch[]
  readonly transfers: readonly Transfer[]
  /** In order of time; empty for a ship with nothing outside. */
  readonly outside: readonly OutsideFrom[]
  readonly calls: readonly Call[]
}
