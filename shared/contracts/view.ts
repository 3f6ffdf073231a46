import { z } from 'zod'
import { ABORT_WHYS, EXTERNALS, HOLD_REFUSALS, STATION_STATES, TANK_TROUBLES } from './kinds.ts'

/*
 * What an event looks like at one instant of event time: the one shape that board, slot page, state route and
 * order route show. Everything is SI and unrounded; screens round to the safe side. Instants are event time, ms.
 * A figure that honestly has no answer is null.
 */

const n = z.number()
const orNull = n.nullable()

export const SHIP_STATUSES = [
  'planned',
  'inbound',
  'waiting',
  'next',
  'in contact',
  'done',
  'must leave',
  'on task',
  'recovering',
  'left',
  'no-show',
  'landed'
] as const
export type ShipStatus = (typeof SHIP_STATUSES)[number]

/** Limits a margin can count to, nearest first. */
export const LIMITS = ['latest contact', 'latest push', 'leave for the tanker', 'bingo', 'recovery fuel'] as const
export type Limit = (typeof LIMITS)[number]

export const tankView = z.object({
  groupId: z.string(),
  name: z.string(),
  external: z.boolean(),
  tankCount: n,
  quantityKg: n,
  capacityKg: n,
  /** Aboard but not to be had: unusable, not giving. */
  trappedKg: n,
  troubles: z.array(z.object({ tankNumber: n, trouble: z.enum(TANK_TROUBLES), read: z.boolean() }))
})

/** A limit in force, as computed, as set by hand, and what the ship's own gauge shows when fuel falls to it. */
export const limitView = z.object({
  fuelKg: n,
  computedKg: n,
  byHandKg: orNull,
  /** Undefined answers stay out: null where its gauge never comes to show it. */
  gaugeKg: orNull
})
export type LimitView = z.infer<typeof limitView>

export const READINGS = ['in band', 'unclear', 'empty', 'not giving'] as const

/** Whether holding externals before a contact shortens it, from when to when, and what it saves. */
export const holdView = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('hold'),
    fromMs: n,
    /** The ship's own gauge then: the cue. */
    gaugeFromKg: n,
    /** When counted fuel falls to abort fuel and two minutes of burn; null where that lies far off. */
    releaseAtMs: orNull,
    gaugeReleaseKg: orNull,
    savedS: n,
    withS: n,
    withoutS: n,
    externalUsedKg: n,
    gaugeAtContactKg: n,
    countedAtContactKg: n,
    aboveFloorKg: n,
    fuelAtDisconnectKg: n
  }),
  z.object({ kind: z.literal('none'), why: z.enum(HOLD_REFUSALS) })
])
export type HoldView = z.infer<typeof holdView>

/**
 * How far off a limit is: by the fuel that limits count on (the lower of the one-sided 95 % low side and the last believed
 * call carried on), which ranks, and by the mean of the estimate; null where by the mean it is not reached.
 */
export const marginView = z.object({ limit: z.enum(LIMITS), atMs: n, marginS: n, meanS: orNull })

export const shipView = z.object({
  shipId: z.string(),
  callSign: z.string(),
  flightId: z.string(),
  /** 1 is the worst. */
  rank: n,
  status: z.enum(SHIP_STATUSES),
  phaseId: z.string().nullable(),
  externals: z.enum(EXTERNALS),
  tanks: z.array(tankView),
  fuelKg: n,
  usableKg: n,
  countedKg: n,
  /** As the ship's own gauge shows it. */
  gaugeKg: n,
  capacityKg: n,
  flowKgPerS: n,
  /** How sure the estimate of its fuel is; of what is inside alone while that is known apart from the externals. */
  estimate: z.object({
    sdKg: n,
    /** What of the mean limits do not count on. */
    unsureKg: n,
    /** Burned over planned to be burned, as the calls have it. */
    burnFactor: n,
    /** What its own gauge may show within reason; null where that tells nothing. */
    reason: z.object({ leastKg: n, mostKg: n }).nullable(),
    /** The last believed call lies below reason: somebody should ask again. */
    check: z.boolean(),
    /** A call above reason, which counts when another one says so too. */
    waiting: z.object({ seq: n, atMs: n, figureKg: n, covers: z.enum(['total', 'internal']) }).nullable()
  }),
  lastCall: z
    .object({ seq: n, atMs: n, figureKg: n, covers: z.enum(['total', 'internal']), stale: z.boolean() })
    .nullable(),
  staleAtMs: orNull,
  /** What the last reading of an internal gauge says of the externals; null where it says nothing. */
  externalsRead: z.enum(READINGS).nullable(),
  jettisoned: z.array(z.string()),
  /** Where its internal gauge stands while externals give, and below what they surely do not. */
  gaugeBand: z.object({ lowKg: n, highKg: n, notGivingBelowKg: orNull }).nullable(),
  /** The low-level light of the feed group is on; when it next comes on, on the way ahead. */
  feedLow: z.boolean(),
  feedLowAtMs: orNull,
  /** To dump all that can be dumped, s; null where nothing can. */
  dumpS: orNull,
  limits: z.object({
    abort: limitView.nullable(),
    bingo: limitView.nullable(),
    joker: limitView.nullable(),
    /** At the push of the visit ahead. */
    required: limitView.nullable()
  }),
  abortKg: orNull,
  abortBaseId: z.string().nullable(),
  /** Why the first abort base of its track does not count; null where it does. */
  abortWhy: z.enum(ABORT_WHYS).nullable(),
  bingoKg: orNull,
  jokerKg: orNull,
  recoveryKg: orNull,
  recoveryBaseId: z.string().nullable(),
  /** The limit that is reached first, when, and how far off that is. Negative: past. */
  margin: marginView.nullable(),
  /** Of every limit that applies, soonest first. */
  margins: z.array(marginView),
  /** The slot that counts now: in contact, else the next one, else the last one flown. */
  slotId: z.string().nullable(),
  /**
   * Where it went when it left, and with how much it gets there, before the approach: as carried on, and on the safe side
   * (one-sided 95 %); below zero by what the engines lack on the way. The reserve is what approach and landing ask for there.
   */
  left: z
    .object({
      baseId: z.string(),
      atMs: n,
      arrivesAtMs: orNull,
      fuelOnArrivalKg: orNull,
      fuelOnArrivalLowKg: orNull,
      reserveKg: orNull
    })
    .nullable()
})
export type ShipView = z.infer<typeof shipView>

export const SLOT_STATES = ['planned', 'in contact', 'done', 'missed', 'gone'] as const

export const slotView = z.object({
  slotId: z.string(),
  shipId: z.string(),
  visitId: z.string(),
  flightId: z.string(),
  tankerId: z.string(),
  stationId: z.string(),
  /** Place in its station's sequence, from 0. */
  index: n,
  state: z.enum(SLOT_STATES),
  pinned: z.boolean(),
  serveAnyway: z.boolean(),
  /** The order has it come no earlier than this; null where it comes as soon as it can. */
  notBeforeAtMs: orNull,
  /** The order has it leave with its internal tanks full, whatever its rule asks for. */
  internalsOnly: z.boolean(),
  aheadShipId: z.string().nullable(),
  readyAtMs: n,
  startAtMs: n,
  contactAtMs: n,
  disconnectAtMs: n,
  latestContactAtMs: orNull,
  leaveWaitByMs: orNull,
  slackS: orNull,
  /** Where the contact would be past the latest contact: by how much. */
  pastS: n,
  onLoadKg: n,
  /** What the rule asks for; more than onLoadKg where tanks or tanker end it. */
  neededKg: n,
  /** The same were its externals full, while a reading leaves open what they hold; null where it does not. */
  neededFullEndKg: orNull,
  endedBy: z.enum(['target', 'full', 'window', 'give', 'called']),
  fuelAtContactKg: n,
  gaugeAtContactKg: n,
  fuelAtDisconnectKg: n,
  gaugeAtDisconnectKg: n,
  /** Of the on-load, what goes into tanks that do not give. */
  lostKg: n,
  requiredAtPushKg: n,
  /** What its gauge shows when usable fuel falls to the requirement. */
  requiredGaugeKg: orNull,
  /** The least on-load with which it may go on at its push. */
  leastOnLoadKg: n,
  fuelAtPushKg: n,
  shortageKg: n,
  pushGroupId: z.string(),
  plannedPushAtMs: n,
  pushAtMs: n,
  latestPushAtMs: orNull,
  /** Null while its track has none that is open and fit. */
  abortBaseId: z.string().nullable(),
  /** Why the first abort base of its track does not count; null where it does. */
  abortWhy: z.enum(ABORT_WHYS).nullable(),
  abortKg: orNull,
  abortGaugeKg: orNull,
  hold: holdView.nullable(),
  /** Stopping early: what each breakpoint of the fill costs and gives. */
  stops: z.array(
    z.object({
      minutesS: n,
      onLoadKg: n,
      fuelKg: n,
      usableKg: n,
      closes: z.string().nullable(),
      knee: z.boolean(),
      /** Against going on to the end of this slot: station time, off-load, and usable fuel not taken. */
      savesS: n,
      savesKg: n,
      forgoesKg: n
    })
  )
})
export type SlotView = z.infer<typeof slotView>

export const stationView = z.object({
  stationId: z.string(),
  name: z.string(),
  status: z.enum(STATION_STATES),
  inContact: z
    .object({
      shipId: z.string(),
      slotId: z.string(),
      sinceMs: n,
      flowing: z.enum(['called', 'assumed', 'no']),
      disconnectAtMs: n
    })
    .nullable(),
  nextSlotId: z.string().nullable()
})

export const tankerView = z.object({
  tankerId: z.string(),
  callSign: z.string(),
  trackId: z.string(),
  stations: z.array(stationView),
  fuelKg: n,
  /** What it can still give, from now. */
  giveKg: n,
  givenKg: n,
  /** Of what it has given: in contacts under way, whose on-loads count whole wherever contacts are added up. */
  flowedKg: n,
  /** What the order in force still promises, from now. */
  promisedKg: n,
  shortKg: n,
  dryAtSlotId: z.string().nullable(),
  leavesAtMs: n,
  lastDisconnectAtMs: orNull,
  orderSeq: n
})
export type TankerView = z.infer<typeof tankerView>

export const pushView = z.object({ pushGroupId: z.string(), name: z.string(), plannedAtMs: n, pushAtMs: n, lateS: n })

export const flightView = z.object({
  flightId: z.string(),
  callSign: z.string(),
  /** Least of counted fuel less recovery fuel to an open base, along the whole route with no further transfer. */
  weakest: z.object({ atMs: n, phaseId: z.string(), shipId: z.string(), marginKg: n, baseId: z.string() }).nullable(),
  /** Planned fuel at the start of each phase and at the end of the last: the ladder of its least fuelled ship. */
  ladder: z.array(z.object({ atMs: n, phaseId: z.string().nullable(), fuelKg: n, countedKg: n, recoveryKg: orNull }))
})
export type FlightView = z.infer<typeof flightView>

/** Compared left to right, whole numbers: steps of 6 s and 5 kg. */
export const judgementView = z.object({
  lostWeight: n,
  shortage: n,
  lateness: n,
  lastDisconnect: n,
  moved: n
})

export const reasonView = z.object({
  /** What breaks or will break. */
  kind: z.enum([
    'short at base',
    'past latest contact',
    'near latest contact',
    'short at push',
    'late push',
    'past latest push',
    'top-off missed',
    'tanker dry',
    'tanker held late',
    'station closed',
    'station suspect',
    'waits in a circle',
    'out of fuel',
    'weak point',
    'not in the order',
    'no room',
    'no abort base',
    'no open base',
    'base not open',
    'feed starved',
    'no fuel flowing',
    'stale call',
    'below limit',
    'below recovery fuel',
    'externals not giving',
    'externals unclear',
    'feed low',
    'hold to release',
    'hand limit overruled'
  ]),
  severity: z.enum(['now', 'soon', 'note']),
  shipId: z.string().nullable(),
  slotId: z.string().nullable(),
  tankerId: z.string().nullable(),
  pushGroupId: z.string().nullable(),
  /** Only where a station of the tanker, or a base, is the cause. */
  stationId: z.string().optional(),
  baseId: z.string().optional(),
  /** Why there is no abort base. */
  why: z.enum(ABORT_WHYS).optional(),
  /** What a ship that runs out of fuel would have come to next. */
  before: z.enum(['contact', 'push', 'landing']).optional(),
  atMs: orNull,
  /** By how much, in the unit of its kind. */
  byKg: orNull,
  byS: orNull,
  /** What would mend it, where the order tells; its figures are the least that it takes. */
  mend: z
    .object({
      kind: z.enum([
        'contact earlier',
        'another station',
        'another turn',
        'put in order',
        'open station',
        'close later',
        'take more',
        'top off',
        'more give',
        'leave later',
        'push later',
        'no order'
      ]),
      byKg: orNull,
      byS: orNull
    })
    .nullable()
})
export type Reason = z.infer<typeof reasonView>

export const view = z.object({
  eventId: z.string(),
  seq: n,
  atMs: n,
  revision: n,
  open: z.boolean(),
  closed: z.boolean(),
  clock: z.object({ realAtMs: n, eventAtMs: n, rateFactor: n }),
  ships: z.array(shipView),
  slots: z.array(slotView),
  tankers: z.array(tankerView),
  pushes: z.array(pushView),
  flights: z.array(flightView),
  judgement: judgementView,
  reasons: z.array(reasonView),
  /** Ships to ask for fuel, first the one whose call tells most: how much surer its margin would be after it, s. */
  asks: z.array(z.object({ shipId: z.string(), why: z.enum(['check', 'externals unread', 'may be worst']), gainS: n })),
  /** Holds advised for contacts to come: station time they save, and by how many ships. */
  holds: z.object({ savedS: n, shipCount: n }),
  warnings: z.array(
    z.object({ kind: z.literal('externals faster than the receiver'), receiverTypeId: z.string(), byKgPerS: n })
  )
})
export type View = z.infer<typeof view>
