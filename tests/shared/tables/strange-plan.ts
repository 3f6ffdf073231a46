import type { Plan } from '../../../shared/contracts/plan.ts'
import { DENSITY_UNITS, FLOW_UNITS, MASS_UNITS, SPEED_UNITS, VOLUME_UNITS } from '../../../shared/contracts/kinds.ts'
import { chance, demo, OPENS_AT_MS, pick } from './made.ts'

/*
 * Plans that keep the form of the contract and the references of the demo, with everything else at random: figures of
 * any digits in any unit, names that hold every separator and quote, or that others have too, and fields that are
 * there or not. No rule that spans fields holds in them.
 */

type Thing = Record<string, unknown>
const FAMILIES: readonly (readonly string[])[] = [MASS_UNITS, VOLUME_UNITS, FLOW_UNITS, SPEED_UNITS, DENSITY_UNITS]
const WORDS = [
  'Wing',
  'wing ',
  'Body',
  'Adze; Field',
  'say "now"',
  '"',
  'none',
  'None',
  '12',
  '1: full',
  'a,b',
  'x\ty',
  '44 09.0N',
  "'=1",
  '=2+2',
  'Čas №7',
  'Wing #2',
  'line\nbreak',
  '-',
  'yes'
]

/** A strange plan, the same for the same seed. */
export function strangePlan(seed: number): Plan {
  const random = chance(seed)
  const plan = structuredClone(demo()) as unknown as Thing
  const maybe = (share = 0.5): boolean => random() < share
  const number = (): number =>
    pick(random, [0, 1, 4.5, 12500, 0.1 + 0.2, random(), random() * 1e5, 1e-7 * random(), Math.round(random() * 1e4)])
  const figure = (units: readonly string[]) => ({ value: number(), unit: pick(random, units) })
  const instantMs = (): number =>
    OPENS_AT_MS +
    pick(random, [
      0,
      1,
      999,
      60_000,
      3_600_000,
      86_340_000,
      86_399_999,
      86_400_000,
      -60_000,
      -1,
      31 * 86_400_000,
      400 * 86_400_000
    ]) +
    (maybe() ? Math.floor(random() * 1e8) : Math.floor(random() * 2000) * 60_000)
  const angle = (most: number): number =>
    pick(random, [0, -0, most, -most, (random() - 0.5) * 2 * most, 1e-7, 0.15, -12.5])
  const position = () => ({ latitudeDeg: angle(90), longitudeDeg: angle(180) })
  let count = 0
  const name = (): string =>
    maybe(0.7) ? pick(random, WORDS).trim() : `${pick(random, WORDS).trim()} ${String((count += 1))}`
  /** Call signs are unique whatever their case. */
  const callSign = (): string =>
    `${pick(random, ['Alder', 'a;b', '"q"', '7', 'none', 'N44 W', '=x'])} ${String((count += 1))}`

  const changed = (value: unknown, key: string): unknown => {
    if (Array.isArray(value)) return key === 'orbit' ? value.map(position) : value.map((one) => changed(one, key))
    if (typeof value === 'number') return numberFor(key, value)
    if (typeof value === 'string') return key === 'name' ? name() : key === 'callSign' ? callSign() : value
    if (typeof value === 'boolean') return key === 'airSpare' || maybe()
    if (typeof value !== 'object' || value === null) return value
    if ('latitudeDeg' in value) return position()
    const family = 'unit' in value && FAMILIES.find((units) => units.includes(String(value.unit)))
    // A weight is never given by volume.
    if (family)
      return figure(
        family === VOLUME_UNITS || (family === MASS_UNITS && !WEIGHTS.has(key))
          ? [...MASS_UNITS, ...(key in ONLY_MASS ? [] : VOLUME_UNITS)]
          : family
      )
    return Object.fromEntries(Object.entries(value).map(([inner, one]) => [inner, changed(one, inner)]))
  }
  const numberFor = (key: string, value: number): number => {
    if (key.endsWith('AtMs')) return instantMs()
    return ['v', 'priority', 'turnCount', 'tankCount', 'leastShipCount'].includes(key) ? value : number()
  }
  const made = Object.fromEntries(
    Object.entries(plan).map(([key, value]) => [key, changed(value, key)])
  ) as unknown as Plan
  made.opensAtMs = OPENS_AT_MS + (maybe() ? 0 : Math.floor(random() * 86_400_000))
  return withExtras(made, { maybe, number, figure, instantMs, random, position, name })
}
const WEIGHTS = new Set(['zeroFuel', 'reference'])
const ONLY_MASS = { zeroFuel: 1, reference: 1 }

interface Chance {
  random: () => number
  maybe: (share?: number) => boolean
  number: () => number
  figure: (units: readonly string[]) => { value: number; unit: string }
  instantMs: () => number
  position: () => { latitudeDeg: number; longitudeDeg: number }
  name: () => string
}

/** Everything that the demo leaves out. */
function withExtras(plan: Plan, { random, maybe, number, figure, instantMs, position, name }: Chance): Plan {
  const fuel = () => figure([...MASS_UNITS, ...VOLUME_UNITS]) as { value: number; unit: 'lb' }
  const onLoad = () =>
    pick(random, [
      { kind: 'required' as const },
      { kind: 'full' as const },
      { kind: 'internals' as const },
      { kind: 'fixed' as const, fuel: fuel() }
    ])
  const one = () =>
    pick(random, [
      { kind: 'minutes' as const, holdingMin: number() },
      { kind: 'fixed' as const, fuel: fuel() },
      { kind: 'share' as const, sharePercent: number(), floor: fuel() },
      { kind: 'rendezvous' as const, sharePercent: number() }
    ])
  plan.rules.landingReserve = maybe()
    ? one()
    : { kind: 'greatest', of: Array.from({ length: 1 + Math.floor(random() * 4) }, one) }
  if (maybe()) plan.rules.methodChangeMin = number()
  for (const type of plan.tankerTypes)
    for (const station of type.stations)
      if (maybe()) station.excludes = type.stations.filter((other) => other !== station && maybe()).map(({ id }) => id)
  for (const base of plan.bases) {
    if (maybe()) base.opensAtMs = instantMs()
    if (maybe()) base.closesAtMs = instantMs()
    if (maybe()) base.fitFor = plan.receiverTypes.filter(() => maybe()).map(({ id }) => id)
    if (maybe()) base.fuelThere = maybe()
  }
  for (const track of plan.tracks) if (maybe()) track.secondAbortBaseId = pick(random, plan.bases).id
  for (const tanker of plan.tankers) {
    const type = plan.tankerTypes.find(({ id }) => id === tanker.tankerTypeId)
    const windows = (type?.stations ?? [])
      .filter(() => maybe())
      .map(({ id }) => ({ stationId: id, opensAtMs: instantMs(), closesAtMs: instantMs() }))
    if (windows.length > 0) tanker.windows = windows
    if (maybe()) tanker.join = { block: name(), waitSide: 'left', rendezvousAtMs: instantMs() }
    if (maybe()) tanker.join = { rendezvous: name(), waitLevel: name(), frequency: name() }
  }
  const ships = plan.flights.flatMap((flight) => flight.ships)
  for (const flight of plan.flights) {
    const type = plan.receiverTypes.find(({ id }) => id === flight.receiverTypeId)
    const visits = flight.route.flatMap((phase) => (phase.kind === 'refuelling' ? phase.id : []))
    if (maybe()) flight.maySpread = maybe()
    if (maybe()) flight.mayTakeInternalsOnly = maybe()
    if (maybe()) flight.leastShipCount = 1
    if (maybe()) flight.limits = { abort: fuel(), required: fuel() }
    for (const phase of flight.route) {
      if (phase.kind === 'refuelling') {
        phase.onLoad = onLoad()
        if (maybe()) phase.waitAllowanceMin = number()
        continue
      }
      if (maybe(0.2))
        phase.span = { by: 'lump', durationMin: number(), fuel: fuel(), ...(maybe() && { to: position() }) }
      if (maybe(0.2)) phase.jettisons = (type?.groups ?? []).filter(() => maybe()).map(({ id }) => id)
      if (maybe(0.2)) phase.dumpTo = fuel()
      // A place that has a name.
      if (maybe(0.3))
        phase.span = {
          by: 'leg',
          to: { ...pick(random, plan.bases).position },
          trueAirspeed: { value: number(), unit: 'kt' }
        }
    }
    for (const ship of flight.ships) {
      ship.fitted = (type?.groups ?? []).filter(() => maybe()).map(({ id }) => id)
      if (maybe(0.2)) ship.airSpare = true
      if (maybe(0.3)) ship.onLoads = visits.filter(() => maybe()).map((visitId) => ({ visitId, onLoad: onLoad() }))
    }
  }
  const dropped = ships.filter(() => maybe(0.3)).map(({ id }) => id)
  if (dropped.length > 0) plan.fallOut = dropped.toReversed()
  for (const order of plan.orders) {
    if (maybe(0.2)) order.sequences = []
    for (const sequence of order.sequences) {
      if (maybe(0.2)) sequence.slots = []
      for (const slot of sequence.slots) {
        if (maybe(0.2)) slot.notBeforeAtMs = instantMs()
        if (maybe(0.2)) slot.internalsOnly = true
      }
    }
  }
  return plan
}
