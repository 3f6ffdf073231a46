/** Stands on every screen. */
export const CAUTION =
  'Planning aid. Gauges, flight manual, tanker crew, controlling authority, local rules and licensed practice take precedence.'
