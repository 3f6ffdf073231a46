/** The calls of a ship folded up to an event time: what its tanks hold at the last of them, and how sure that is. */
import type { FactOf } from '../contracts/facts.ts'
import { confirmed, type Folded as Filtered } from '../filter/fold.ts'
import type { Brief, ShipBrief } from '../plan/brief.ts'
import type { Figure } from '../tanks/drain.ts'
import { fillCurve } from '../tanks/fill.ts'
import { readingOf, withReading, type Reading } from '../tanks/reading.ts'
import { internalKg, totalKg, usableKg, type TankState } from '../tanks/sheet.ts'
import { quantityKg } from '../units.ts'
import { advance, atFactor, disconnected, legAt, mostFlowedKg, shutExternals, type Anchor, type Leg } from './course.ts'
import {
  asEstimated,
  callOf,
  estimated,
  outsideOf,
  planned,
  stoppedAt,
  takenOn,
  toldOutside,
  withCall
} from './gauged.ts'
import { Kept } from './kept.ts'
import type { Standing } from './standing.ts'
import type { ShipRecord } from './state.ts'
import { asRead, called, carriesExternals, without, withTrouble } from './troubles.ts'

/** What a call in contact tells of the instant at which fuel began to flow: filled from there, it is what was called. */
function asCalled(ship: ShipBrief, legs: readonly Leg[], anchor: Anchor, covers: Figure['covers']): Anchor {
  const { contact, state, atMs } = anchor
  if (!contact?.atFlow) return anchor
  const held = (tanks: TankState): number => (covers === 'internal' ? internalKg : totalKg)(ship.sheet, tanks)
  const burnKgPerS = legAt(legs, contact.flowAtMs).burnKgPerS
  const flow = { stationRateKgPerS: contact.stationRateKgPerS, burnKgPerS }
  let { atFlow } = contact
  let before: { atFlow: TankState; heldKg: number } | undefined
  // Kilogram for kilogram, but where a tank closes on the way: there a few more looks.
  for (let look = 0; look < LOOKS_MOST; look++) {
    const now = fillCurve(ship.sheet, shutExternals(atFlow), flow).stateAt((atMs - contact.flowAtMs) / 1000)
    const heldKg = held(now)
    // Tanks that are full by now, whatever they held when it began, do not tell of it.
    if (before && Math.abs(before.heldKg - heldKg) < 1e-9) {
      atFlow = before.atFlow
      break
    }
    const offKg = held(state) - heldKg
    if (Math.abs(offKg) < 1e-9) break
    before = { atFlow, heldKg }
    atFlow = withReading(ship.sheet, atFlow, { figureKg: Math.max(0, held(atFlow) + offKg), covers })
  }
  return { ...anchor, contact: { ...contact, atFlow } }
}
const LOOKS_MOST = 8
/** Readings that say something of the externals. */
const TELLING: ReadonlySet<Reading> = new Set(['in band', 'unclear', 'empty', 'not giving'])

/** What a contact that is over did to the ship. */
export interface Flown {
  slotId: string
  onLoadKg: number
  fuelAtContactKg: number
  fuelAtDisconnectKg: number
  after: TankState
}

export interface Folded {
  anchor: Anchor
  /** What the calls say of the fuel, as of the anchor. */
  filtered: Filtered
  /** Burn over planned burn as now believed. */
  burnFactor: number
  flown: ReadonlyMap<string, Flown>
  /** Calls folded. */
  count: number
  /** What the last reading of an internal gauge says of the externals. */
  read: Reading | undefined
  /** What came aboard by nobody's word, and is told by no call since. */
  assumed: Assumed
  /** Something is to be asked for anew that no fuel call brought: an off-load that cannot have flowed, a flow by no word. */
  check: boolean
  /** Tanks in trouble by a reading alone, nobody called them, as `group/tank` indices. */
  readTroubles: ReadonlySet<string>
  /** What follows from this anchor and is worth keeping: ready states and service curves, by what they depend on. */
  kept: Kept
}

/** Fuel that limits do not count on: flow that nobody called, with no fuel call since and no off-load told. */
export interface Assumed {
  /** In contacts that are over, kg. */
  readonly doneKg: number
  /** The last call in the contact that lasts: what came before is told by it. */
  readonly told: { readonly atMs: number; readonly fuelKg: number } | undefined
}

/** What has flowed up to an instant by nobody's word, in contacts over and in the one that lasts, kg. */
export function assumedKg(
  ship: ShipBrief,
  legs: readonly Leg[],
  { anchor, assumed }: Pick<Folded, 'anchor' | 'assumed'>,
  its: Standing,
  atMs: number
): number {
  const { contact } = anchor
  if (!contact || its.contacts.some(({ slotId, flowCalled }) => flowCalled && slotId === contact.slotId))
    return assumed.doneKg
  const reached = advance(ship, legs, anchor, atMs)
  const atFlow = reached.contact?.atFlow
  if (!atFlow) return assumed.doneKg
  const from = assumed.told ?? { atMs: contact.flowAtMs, fuelKg: totalKg(ship.sheet, atFlow) }
  const burnedKg = (legAt(legs, contact.flowAtMs).burnKgPerS * (reached.atMs - from.atMs)) / 1000
  return assumed.doneKg + Math.max(0, totalKg(ship.sheet, reached.state) - from.fuelKg + burnedKg)
}

/** No engine runs on less of its planned flow: common practice, no source. */
const BURN_FACTOR_LEAST = 0.2

/** The believed burn factor as one that can be flown: a gauge that stays where it is has it believed below nothing. */
const flownFactor = ({ runner }: Filtered): number => Math.max(BURN_FACTOR_LEAST, runner.belief.burnFactor)

const folds = new WeakMap<object, { plan: Brief; folded: Folded }>()

/**
 * Folds the calls of a ship up to an event time: what it holds at the last of them, and what each contact did. Tanks are
 * carried from call to call and set to what the filter makes of each; a call that waits to be confirmed moves nothing.
 * The result is kept by record for as long as no further call counts; so it must depend on no later instant than that of
 * the last one.
 * @param courseAt what is flown as known at an instant: legs as planned, with the instants that calls have shifted
 */
export function foldCalls(
  plan: Brief,
  ship: ShipBrief,
  record: ShipRecord,
  courseAt: (atMs: number) => { its: Standing; legs: readonly Leg[] },
  nowMs: number
): Folded {
  let count = record.length
  while (count > 0 && (record[count - 1]?.atMs ?? 0) > nowMs) count -= 1
  const key = record.length === 0 ? ship : record
  const known = folds.get(key)
  // Without a call the ship says it all, where all ships of its plan share the same.
  const holds = known?.plan === plan || (key === ship && known?.plan.frame === plan.frame)
  if (holds && known.folded.count === count) {
    known.folded.kept.lookedAt(nowMs)
    return known.folded
  }
  // Before any call all is as planned.
  const { its, legs } = courseAt(record[count - 1]?.atMs ?? 0)
  const folded = new Folding(plan, ship, its, legs).all(record.slice(0, count))
  folds.set(key, { plan, folded })
  return folded
}

/** An off-load tells that fuel flowed, though nobody called it and it is not assumed yet. */
function flowing(anchor: Anchor, offLoadKg: number | undefined): Anchor {
  const { contact, state, atMs } = anchor
  if (!contact || contact.atFlow || offLoadKg === undefined) return anchor
  return { ...anchor, contact: { ...contact, atFlow: state, flowAtMs: atMs } }
}

/** Tanks and filter, taken on together. */
interface Both {
  readonly anchor: Anchor
  readonly filtered: Filtered
}

const NOTHING_ASSUMED: Assumed = { doneKg: 0, told: undefined }

/** One ship while its record is folded. */
class Folding {
  private readonly plan: Brief
  private readonly ship: ShipBrief
  private readonly its: Standing
  private readonly planned: readonly Leg[]
  /** With the burn factor as believed. */
  private legs: readonly Leg[]
  private at: Both
  private commanded: TankState['externals'] | undefined
  private readonly flown = new Map<string, Flown>()
  private read: Reading | undefined
  private readonly readTroubles = new Set<string>()
  /** Since a reading left it in doubt whether the externals give: the ship as it would be if they did. */
  private giving: Both | undefined
  /** What the externals of the anchor hold was taken out for a doubt. */
  private emptyEnd = false
  /** The call that waits is a reading in the band, of externals that were read not to give. */
  private bandWaits = false
  private assumed: Assumed = NOTHING_ASSUMED
  private check = false

  constructor(plan: Brief, ship: ShipBrief, its: Standing, legs: readonly Leg[]) {
    this.plan = plan
    this.ship = ship
    this.its = its
    this.planned = legs
    this.legs = legs
    this.at = this.told({
      anchor: { atMs: legs[0]?.toAtMs ?? 0, state: ship.start, contact: undefined },
      filtered: planned(ship, legs, its)
    })
  }

  all(calls: ShipRecord): Folded {
    for (const fact of calls) this.take(fact)
    const { flown, read, readTroubles, assumed, check } = this
    const { anchor, filtered } = this.at
    const burnFactor = flownFactor(filtered)
    const told = { flown, read, readTroubles, assumed, check }
    return { anchor, filtered, burnFactor, ...told, count: calls.length, kept: new Kept() }
  }

  private take(fact: ShipRecord[number]): void {
    const atMs = Math.max(fact.atMs, this.at.anchor.atMs)
    switch (fact.kind) {
      case 'fuelCalled':
        this.goTo(atMs)
        this.hear(fact)
        break
      case 'externalsSet':
        this.read = undefined
        this.commanded = fact.externals
        this.goTo(atMs)
        this.change((state) => ({ ...state, externals: fact.externals }), false)
        break
      case 'troubleSet':
      case 'jettisoned':
        this.goTo(atMs)
        this.changeTanks(fact)
        break
      case 'contactMade':
        this.hookUp(fact, atMs)
        break
      case 'disconnected':
        if (this.at.anchor.contact?.slotId === fact.slotId)
          this.end(
            atMs,
            fact.offLoad ? quantityKg(fact.offLoad, this.plan.fuelKgPerM3) : undefined,
            fact.contactCalledLate
          )
        break
      case 'pushed':
      case 'shipLeft':
      case 'landed':
        this.end(atMs, undefined)
        break
      case 'shipJoined':
      case 'fuelFlowing':
      case 'readySet':
      case 'noShowSet':
        break
    }
  }

  /** The filter told of what lies outside as the tanks stand. */
  private told({ anchor, filtered }: Both): Both {
    const outside = outsideOf(this.ship.sheet, anchor.state, anchor.contact !== undefined)
    return { anchor, filtered: toldOutside(filtered, outside) }
  }

  /** The filter taken to where the tanks came to. */
  private came({ anchor, filtered }: Both, next: Anchor, called = false): Both {
    const { sheet } = this.ship
    const course = { from: anchor.state, to: next.state, called }
    const on = takenOn(sheet, filtered, next.atMs, course)
    // What a contact put outside is told before the switch lets it in: then nobody knows what is where.
    const filled = anchor.contact ? toldOutside(on, outsideOf(sheet, next.state, true)) : on
    return this.told({ anchor: next, filtered: filled })
  }

  private goTo(atMs: number): void {
    const onTo = (both: Both): Both => this.came(both, advance(this.ship, this.legs, both.anchor, atMs))
    this.at = onTo(this.at)
    this.giving = this.giving && onTo(this.giving)
  }

  /** Something done to the tanks at the instant they stand at. */
  private change(changed: (state: TankState) => TankState, inFlow: boolean): void {
    const { contact } = this.at.anchor
    const doneTo = (both: Both, on: Anchor['contact']): Both =>
      this.came(both, { ...both.anchor, state: changed(both.anchor.state), contact: on })
    this.at = doneTo(
      this.at,
      inFlow ? contact && { ...contact, atFlow: contact.atFlow && changed(contact.atFlow) } : contact
    )
    this.giving = this.giving && doneTo(this.giving, this.giving.anchor.contact)
  }

  private changeTanks(fact: FactOf<'troubleSet' | 'jettisoned'>): void {
    const { sheet } = this.ship
    this.change(
      (state) => (fact.kind === 'troubleSet' ? withTrouble(sheet, state, fact) : without(sheet, state, fact.groupIds)),
      true
    )
    if (fact.kind === 'troubleSet') called(sheet, fact, this.readTroubles)
    else for (const groupId of fact.groupIds) called(sheet, { groupId }, this.readTroubles)
    if (fact.kind === 'troubleSet' && fact.trouble !== undefined && fact.trouble !== 'gone') return
    // What was read was read of tanks that are no longer in doubt.
    const settled =
      this.read === 'not giving' ? this.readTroubles.size === 0 : !carriesExternals(sheet, this.at.anchor.state)
    if (!settled) return
    this.read = undefined
    this.giving = undefined
  }

  private hear(fact: FactOf<'fuelCalled'>): void {
    const { sheet } = this.ship
    const call = callOf(sheet, this.at.anchor.state, fact, this.plan.fuelKgPerM3)
    // A reading is judged by what they would hold if they gave, not by the end at which the ship is planned.
    const carried = this.giving?.anchor.state ?? this.at.anchor.state
    const asked = fact.covers === 'internal' && sheet.gauge === 'internal' && !this.at.anchor.contact
    const read = asked ? readingOf(sheet, carried, call.figureKg) : undefined
    const heardAt = withCall(this.before(read, carried), call)
    // In doubt a reading is put to the ship as it would be if they gave: whether they do is what it cannot tell.
    if (this.isPutToGiving(read)) this.giving = this.giving && { ...this.giving, filtered: heardAt.folded }
    if (!heardAt.counts) {
      this.stays(heardAt.folded, read)
      return
    }
    this.at = { anchor: this.at.anchor, filtered: heardAt.folded }
    this.bandWaits = false
    if (read !== undefined) this.asRead(read, carried, call)
    const { anchor, filtered } = this.at
    this.legs = atFactor(this.planned, flownFactor(filtered))
    const state = asEstimated(sheet, anchor.state, filtered)
    const { covers } = estimated(sheet, filtered)
    this.at = { anchor: asCalled(this.ship, this.legs, { ...anchor, state }, covers), filtered }
    if (filtered.heard.at(-1)?.verdict !== 'tells nothing') this.isTold()
  }

  /** A call tells what is aboard, however it came there. */
  private isTold(): void {
    const { atMs, contact, state } = this.at.anchor
    const told = contact?.atFlow && { atMs, fuelKg: totalKg(this.ship.sheet, state) }
    this.assumed = { doneKg: 0, told }
    this.check = false
  }

  private isPutToGiving(read: Reading | undefined): boolean {
    return read !== undefined && this.giving !== undefined && (this.emptyEnd || (this.bandWaits && read === 'in band'))
  }

  /** A call that waits to be confirmed tells nothing, of the externals either. */
  private stays(folded: Filtered, read: Reading | undefined): void {
    const { heard, waiting } = folded
    const { anchor, filtered } = this.at
    this.at = { anchor, filtered: this.isPutToGiving(read) ? { ...filtered, heard, waiting } : folded }
    this.bandWaits = read === 'in band'
  }

  /** The filter that a reading is put to. */
  private before(read: Reading | undefined, carried: TankState): Filtered {
    const { filtered } = this.at
    if (this.giving && this.isPutToGiving(read)) {
      const { heard, believed, check, waiting } = filtered
      const merged = { ...this.giving.filtered, heard, believed, check, waiting }
      // Twice in the band: they give after all.
      return this.bandWaits && read === 'in band' ? confirmed(merged) : merged
    }
    if (read !== 'empty') return filtered
    const { sheet } = this.ship
    return toldOutside(filtered, outsideOf(sheet, asRead(sheet, carried, read, new Set()), false))
  }

  private asRead(read: Reading, carried: TankState, call: Parameters<typeof stoppedAt>[1]): void {
    const { sheet } = this.ship
    const { anchor } = this.at
    this.read = read
    const from = this.emptyEnd && TELLING.has(read) ? carried : anchor.state
    if (read === 'unclear' || read === 'not giving') this.giving ??= this.at
    else if (read === 'in band') this.giving = undefined
    if (TELLING.has(read)) this.emptyEnd = read === 'unclear'
    const inDoubt = read === 'unclear' || read === 'not giving'
    const filtered = inDoubt ? stoppedAt(this.at.filtered, call) : this.at.filtered
    this.at = this.told({ anchor: { ...anchor, state: asRead(sheet, from, read, this.readTroubles) }, filtered })
  }

  private hookUp(fact: FactOf<'contactMade'>, atMs: number): void {
    this.read = undefined
    this.giving = undefined
    this.emptyEnd = false
    this.bandWaits = false
    this.end(atMs, undefined)
    const contact = this.its.contacts.find((one) => one.slotId === fact.slotId && one.contactAtMs === fact.atMs)
    const station = this.plan.stations.get(`${fact.tankerId}/${fact.stationId}`)
    if (!contact || !station) return
    const { anchor, filtered } = this.at
    const on = {
      slotId: fact.slotId,
      stationRateKgPerS: station.rateKgPerS,
      hookedAtMs: atMs,
      flowAtMs: Math.max(atMs, contact.flowAtMs),
      atFlow: undefined
    }
    this.at = this.told({ anchor: { ...anchor, contact: on }, filtered })
  }

  private end(atMs: number, offLoadKg: number | undefined, contactCalledLate = false): void {
    const { ship, legs } = this
    const open = flowing(advance(ship, legs, this.at.anchor, atMs), offLoadKg)
    // Where the contact was called late the clock bounds nothing.
    const mostKg = contactCalledLate ? Infinity : mostFlowedKg(ship, legs, open)
    const isTooMuch = offLoadKg !== undefined && offLoadKg > mostKg
    const takenKg = isTooMuch ? mostKg : offLoadKg
    const { assumed, anchor } = { assumed: this.assumed, anchor: open }
    const doneKg = offLoadKg === undefined ? assumedKg(ship, legs, { anchor, assumed }, this.its, atMs) : assumed.doneKg
    this.at = this.came(
      this.at,
      disconnected(ship, legs, open, atMs, takenKg, this.commanded),
      offLoadKg !== undefined && !isTooMuch
    )
    const { contact } = open
    if (!contact) return
    this.check ||= isTooMuch || doneKg > assumed.doneKg
    this.assumed = { doneKg, told: undefined }
    const after = this.at.anchor.state
    const before = contact.atFlow ?? open.state
    const burnedKg = (legAt(legs, contact.flowAtMs).burnKgPerS * Math.max(0, atMs - contact.flowAtMs)) / 1000
    this.flown.set(contact.slotId, {
      slotId: contact.slotId,
      onLoadKg: takenKg ?? Math.max(0, totalKg(ship.sheet, after) - totalKg(ship.sheet, before) + burnedKg),
      fuelAtContactKg: usableKg(ship.sheet, before),
      fuelAtDisconnectKg: usableKg(ship.sheet, after),
      after
    })
  }
}
