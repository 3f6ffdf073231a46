/**
 * What each figure of the library rests on. A figure nobody has published is said to be assumed, and why it is as it is;
 * whoever plans puts figures of their own in its place.
 */

export type Basis =
  | { readonly kind: 'published'; readonly source: string }
  /** Done so, and written down nowhere that could be read. */
  | { readonly kind: 'common practice'; readonly why: string }
  | { readonly kind: 'assumed'; readonly why: string }

const assumed = (why: string): Basis => ({ kind: 'assumed', why })
const practice = (why: string): Basis => ({ kind: 'common practice', why })
const published = (source: string): Basis => ({ kind: 'published', source })

const INVENTED = assumed('invented with the type')
const FLOW = assumed('invented with the type; one ship without external tanks')
const SPEEDS = assumed('invented with the type; the two bands must overlap')

/** Figures of a receiver's sheet, by field; `*` stands for any place in a list. */
const RECEIVER: Readonly<Record<string, Basis>> = {
  maxRate: assumed('invented; reports tell of 1,000 to 3,000 lb/min into fighters, up to 6,000 into large ones'),
  gaugeBand: INVENTED,
  notGivingBelow: INVENTED,
  feedLowMark: INVENTED,
  'dump rate': INVENTED,
  weighing: INVENTED,
  refuellingLow: SPEEDS,
  refuellingHigh: SPEEDS,
  recoveryAirspeed: INVENTED,
  approachFuel: assumed('invented; 5 to 12 min at recovery flow'),
  flows: FLOW,
  'groups * tankCount': INVENTED,
  'groups * capacity': INVENTED,
  'groups * unusable': assumed('invented; 1 to 3 % of the tank, up to 5 % in the feed group'),
  'groups * fillRate': INVENTED,
  'groups * transferRate': assumed(
    'invented; a stage gives more than is burned in transit, so that the feed group stays full'
  ),
  'groups * role turnCount': INVENTED,
  'groups * role releasedBelow': INVENTED,
  'groups * dragFactor': assumed('invented; each group adds 5 to 10 % to the flow')
}

/** Where a sheet leaves the fill rate of an external group out. */
export const LEFT_OUT_FILL_RATE: Basis = practice(
  'all external tanks together take a quarter of what all internal ones take, split by capacity; no source'
)

const TANKER: Readonly<Record<string, Basis>> = {
  refuellingLow: SPEEDS,
  refuellingHigh: SPEEDS,
  'stations * maxRate': assumed('invented; reports tell of up to 8,000 lb/min by boom, 2,000 to 4,000 by hose or pod')
}

const NAVAL_RESERVE =
  'OPNAVINST 3710.7, now CNAF M-3710.7, paragraph 4.6.4, as quoted in CNATRA P-1244: 10 % of planned fuel, never less than 20 min'
const NAVAL_RENDEZVOUS =
  'CNAF M-3710.7, in-flight refuelling, as summarised by cfinotebook.net: 10 % at the rendezvous point'

const RULES: Readonly<Record<string, Basis>> = {
  hookUpBoomMin: assumed('two press reports of whole contacts leave 1.5 to 2.0 min beside the flow'),
  hookUpDrogueMin: assumed('as by boom, and half a minute to plug'),
  changeoverWithinFlightMin: practice('the next of a flight waits on the wing of the one in contact; no source'),
  changeoverBoomMin: assumed('between flights; no source tells of it'),
  changeoverDrogueMin: assumed('between flights; no source tells of it'),
  methodChangeMin: assumed('no source tells of it'),
  reformMin: practice('a flight gathers on the other side before it goes; no source'),
  lateMarginMin: assumed('about one contact: who is late by it has lost a turn'),
  staleAfterMin: assumed('a call each contact or two'),
  jokerAllowance: assumed('some minutes at the task; each unit has its own'),
  'landingReserve of * holdingMin': published(NAVAL_RESERVE),
  'landingReserve of * sharePercent': published(`${NAVAL_RESERVE}; ${NAVAL_RENDEZVOUS}`),
  'landingReserve of * floor': assumed('none: the minutes beside it are the floor'),
  windFromDeg: assumed('no wind until somebody says'),
  windSpeed: assumed('no wind until somebody says')
}

const TABLES = { receiver: RECEIVER, tanker: TANKER, rules: RULES }
export type BasisTable = keyof typeof TABLES

/**
 * The basis of a figure of a receiver's or tanker's sheet, or of the rules, by the way to it: `['groups', 0, 'capacity']`.
 * Undefined where the way leads to no figure of the library. Checked: tests/shared/library/basis.test.ts, every figure.
 */
export function basisOf(table: BasisTable, way: readonly (string | number)[]): Basis | undefined {
  const names = way.map((step) => (typeof step === 'number' ? '*' : step))
  // A basis of a whole holds for its parts: all flows of a sheet have one.
  for (let length = names.length; length > 0; length--) {
    const basis = TABLES[table][names.slice(0, length).join(' ')]
    if (basis) return basis
  }
  return undefined
}

/** Fields of a table that have a basis: none may be there for a figure that is not. */
export const fieldsWithBasis = (table: BasisTable): readonly string[] => Object.keys(TABLES[table])
