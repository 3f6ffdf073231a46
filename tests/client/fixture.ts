import type { Plan } from '../../shared/contracts/plan.ts'
import type { ShipView, SlotView, TankerView, View } from '../../shared/contracts/view.ts'
import { KG_PER_LB } from '../../shared/units.ts'
import { labelsOf, type Labels } from '../../client/labels.ts'

/** A small constructed picture of an event: three ships at one tanker. */
export const NOW_MS = Date.UTC(2031, 4, 17, 12, 0, 0)
const minutes = (count: number) => NOW_MS + count * 60_000
const lb = (value: number) => value * KG_PER_LB

export function shipView(over: Partial<ShipView> & { shipId: string; callSign: string }): ShipView {
  return {
    flightId: 'alder-2',
    rank: 1,
    status: 'waiting',
    phaseId: 'visit-1',
    externals: 'selected',
    tanks: [tank('wing', false, 4_000, 7_000, 0), tank('drop', true, 1_500, 2_000, 200)],
    fuelKg: lb(5_500),
    usableKg: lb(5_300),
    countedKg: lb(4_000),
    gaugeKg: lb(5_500),
    capacityKg: lb(9_000),
    flowKgPerS: 0.5,
    lastCall: { seq: 4, atMs: minutes(-3), figureKg: lb(5_800), covers: 'total', stale: false },
    staleAtMs: minutes(7),
    externalsRead: null,
    jettisoned: [],
    gaugeBand: null,
    feedLow: false,
    feedLowAtMs: null,
    dumpS: null,
    limits: { abort: limit(2_500), bingo: limit(3_000), joker: limit(3_500), required: limit(7_500) },
    abortKg: lb(2_500),
    abortBaseId: 'north',
    abortWhy: null,
    bingoKg: lb(3_000),
    jokerKg: lb(3_500),
    recoveryKg: lb(2_000),
    recoveryBaseId: 'south',
    margin: { limit: 'latest contact', atMs: minutes(12), marginS: 720.5, meanS: 800 },
    margins: [{ limit: 'latest contact', atMs: minutes(12), marginS: 720.5, meanS: 800 }],
    estimate: { sdKg: lb(150), unsureKg: lb(250), burnFactor: 1, reason: null, check: false, waiting: null },
    slotId: `slot-${over.shipId}`,
    left: null,
    ...over
  }
}

const limit = (pounds: number) => ({
  fuelKg: lb(pounds),
  computedKg: lb(pounds),
  byHandKg: null,
  gaugeKg: lb(pounds + 200)
})

function tank(groupId: string, external: boolean, quantity: number, capacity: number, trapped: number) {
  return {
    groupId,
    name: groupId,
    external,
    quantityKg: lb(quantity),
    capacityKg: lb(capacity),
    trappedKg: lb(trapped),
    tankCount: external ? 2 : 1,
    troubles: []
  }
}

export function slotView(over: Partial<SlotView> & { shipId: string }): SlotView {
  return {
    slotId: `slot-${over.shipId}`,
    visitId: 'visit-1',
    flightId: 'alder-2',
    tankerId: 'kelp',
    stationId: 'boom',
    index: 0,
    state: 'planned',
    pinned: false,
    serveAnyway: false,
    notBeforeAtMs: null,
    internalsOnly: false,
    aheadShipId: null,
    readyAtMs: minutes(-5),
    startAtMs: minutes(2),
    contactAtMs: minutes(4) + 100,
    disconnectAtMs: minutes(8),
    latestContactAtMs: minutes(12) + 900,
    leaveWaitByMs: minutes(10),
    slackS: 480,
    pastS: 0,
    onLoadKg: lb(4_501),
    neededKg: lb(4_501),
    neededFullEndKg: null,
    endedBy: 'target',
    fuelAtContactKg: lb(5_000),
    gaugeAtContactKg: lb(5_200),
    fuelAtDisconnectKg: lb(9_000),
    gaugeAtDisconnectKg: lb(9_200),
    lostKg: 0,
    requiredGaugeKg: lb(7_700),
    leastOnLoadKg: lb(3_800),
    requiredAtPushKg: lb(7_500),
    fuelAtPushKg: lb(8_000),
    shortageKg: 0,
    pushGroupId: 'first',
    plannedPushAtMs: minutes(30),
    pushAtMs: minutes(31),
    latestPushAtMs: minutes(50),
    abortBaseId: 'north',
    abortWhy: null,
    abortKg: lb(2_500),
    abortGaugeKg: lb(2_700),
    hold: null,
    stops: [],
    ...over
  }
}

const tankerView: TankerView = {
  tankerId: 'kelp',
  callSign: 'Kelp',
  trackId: 'east',
  stations: [
    {
      stationId: 'boom',
      name: 'boom',
      status: 'good',
      inContact: {
        shipId: 'alder-21',
        slotId: 'slot-alder-21',
        sinceMs: minutes(-1),
        flowing: 'called',
        disconnectAtMs: minutes(3)
      },
      nextSlotId: 'slot-alder-22'
    },
    { stationId: 'port', name: 'port hose', status: 'suspect', inContact: null, nextSlotId: null }
  ],
  fuelKg: lb(90_000),
  giveKg: lb(40_000),
  givenKg: lb(3_000),
  flowedKg: 0,
  promisedKg: lb(21_000),
  shortKg: 0,
  dryAtSlotId: null,
  leavesAtMs: minutes(90),
  lastDisconnectAtMs: minutes(40),
  orderSeq: 3
}

export function viewOf(over: Partial<View> = {}): View {
  return {
    eventId: 'basin',
    seq: 9,
    atMs: NOW_MS,
    revision: 1,
    open: true,
    closed: false,
    clock: { realAtMs: NOW_MS, eventAtMs: NOW_MS, rateFactor: 1 },
    ships: [
      shipView({
        shipId: 'alder-22',
        callSign: 'Alder 22',
        rank: 1,
        status: 'next',
        margin: { limit: 'latest contact', atMs: minutes(-1), marginS: -59.2, meanS: 10 }
      }),
      shipView({ shipId: 'alder-21', callSign: 'Alder 21', rank: 2, status: 'in contact' }),
      shipView({
        shipId: 'sleet-11',
        callSign: 'Sleet 11',
        rank: 3,
        flightId: 'sleet-1',
        abortKg: null,
        abortBaseId: null,
        abortWhy: null
      })
    ],
    slots: [
      slotView({
        shipId: 'alder-21',
        state: 'in contact',
        contactAtMs: minutes(-1),
        startAtMs: minutes(-3),
        disconnectAtMs: minutes(3)
      }),
      slotView({
        shipId: 'alder-22',
        index: 1,
        aheadShipId: 'alder-21',
        contactAtMs: minutes(6),
        latestContactAtMs: minutes(5),
        slackS: -60,
        pastS: 60,
        state: 'missed'
      }),
      slotView({
        shipId: 'sleet-11',
        index: 2,
        flightId: 'sleet-1',
        aheadShipId: 'alder-22',
        latestContactAtMs: null,
        slackS: null
      })
    ],
    tankers: [tankerView],
    pushes: [{ pushGroupId: 'first', name: 'first wave', plannedAtMs: minutes(30), pushAtMs: minutes(31), lateS: 60 }],
    flights: [],
    judgement: { lostWeight: 8, shortage: 0, lateness: 10, lastDisconnect: 400, moved: 0 },
    asks: [],
    reasons: [
      {
        kind: 'past latest contact',
        severity: 'now',
        pushGroupId: null,
        shipId: 'alder-22',
        slotId: 'slot-alder-22',
        tankerId: 'kelp',
        atMs: minutes(6),
        byKg: null,
        byS: 60,
        mend: { kind: 'contact earlier', byKg: null, byS: 60 }
      }
    ],
    holds: { savedS: 0, shipCount: 0 },
    warnings: [],
    ...over
  }
}

const phase = (id: string, tankerId: string) => ({ id, kind: 'refuelling', tankerId })

/** Only what labels read of a plan. */
const plan = {
  name: 'Inland sea',
  massUnit: 'lb',
  receiverTypes: [{ id: 'tailor', method: 'boom', gauge: 'total' }],
  tankerTypes: [
    {
      id: 'cask',
      stations: [
        { id: 'boom', name: 'boom', method: 'boom' },
        { id: 'port', name: 'port hose', method: 'drogue' }
      ]
    }
  ],
  tankers: [{ id: 'kelp', callSign: 'Kelp', tankerTypeId: 'cask' }],
  tracks: [{ id: 'east', name: 'East track' }],
  bases: [
    { id: 'north', name: 'North shore' },
    { id: 'south', name: 'South shore' }
  ],
  pushGroups: [{ id: 'first', name: 'first wave' }],
  clearances: [{ receiverTypeId: 'tailor', tankerTypeId: 'cask', stationId: 'boom' }],
  flights: [
    {
      id: 'alder-2',
      callSign: 'Alder 2',
      receiverTypeId: 'tailor',
      route: [phase('visit-1', 'kelp')],
      ships: [
        { id: 'alder-21', callSign: 'Alder 21' },
        { id: 'alder-22', callSign: 'Alder 22' }
      ]
    },
    {
      id: 'sleet-1',
      callSign: 'Sleet 1',
      receiverTypeId: 'tailor',
      route: [phase('visit-1', 'kelp')],
      ships: [{ id: 'sleet-11', callSign: 'Sleet 11' }]
    }
  ]
}

export const labels: Labels = labelsOf(plan as unknown as Plan)
