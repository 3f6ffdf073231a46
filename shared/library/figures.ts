/** Figures and tank groups as the sheets of this library write them. */

const of =
  <Unit extends string>(unit: Unit) =>
  (value: number) => ({ value, unit })

export const lb = of('lb')
export const kg = of('kg')
export const gal = of('USgal')
export const litres = of('L')
export const lbPerH = of('lb/h')
export const lbPerMin = of('lb/min')
export const kgPerH = of('kg/h')
export const kgPerMin = of('kg/min')
export const litresPerMin = of('L/min')
export const galPerMin = of('USgal/min')
export const kt = of('kt')
export const kmPerH = of('km/h')

const plain = { canShut: false, silencedByExternals: false, jettisonable: false }
export const internal = { place: 'internal', ...plain }
export const external = { place: 'external', ...plain, canShut: true, jettisonable: true }
export const stage = (turnCount: number) => ({ kind: 'stage', turnCount })
