/**
 * One seeded hour as it truly goes, second by second, and what is said of it: 24 ships that burn other than their sheet
 * says, burst, are late into their phases and wait for stations that stall, and whose crews do what is sensible.
 */
import { chance } from '../shared/order/chance.ts'
import { normal } from '../shared/filter/sorties.ts'
import { radioOf, turnDelayS, type Chance, type Radio, type Word } from './calls.ts'
import {
  CHANGEOVER_S,
  FLIGHTS,
  flowOf,
  guestsOf,
  HOME_M_PER_S,
  HOOK_UP_S,
  REFORM_S,
  shipIdOf,
  STATIONS,
  visitIndexOf,
  type Flight,
  type Station
} from './fleet.ts'
import { BURST_S, type Law } from './law.ts'
import {
  burn,
  countedKg,
  fill,
  gaugeKg,
  isTask,
  kmOf,
  limitsOf,
  truthOf,
  usableKg,
  type Limits,
  type Ship,
  type Tanks,
  type Truth
} from './ship.ts'

const HOUR_S = 3600
/** Crews take so much more than is required, kg: nobody leaves with the last kilogram of it. */
const SPARE_KG = [80, 300] as const
/** Those that are done wait so long for the rest of their flight after the planned push, s. */
const PATIENCE_S = 480

const BURST_MEAN_S = (BURST_S[0] + BURST_S[1]) / 2
/** What a burst burns beyond the flow, s of it. */
const BURSTS_S = 2 * BURST_MEAN_S

export interface Hour {
  /** In order of recording. */
  words: readonly Word[]
  /** By whole minute from 0 to 60. */
  minutes: readonly (readonly Truth[])[]
  limits: ReadonlyMap<string, Limits>
  /** By ship. */
  radios: ReadonlyMap<string, Radio>
}

interface Contact {
  ship: Ship
  contactS: number
  flowS: number
  targetKg: number
  givenKg: number
}

/** A station and what it is doing. */
interface Line {
  readonly station: Station
  readonly queue: Ship[]
  freeS: number
  last: Flight | undefined
  on: Contact | undefined
}

interface Stall {
  tankerId: string
  fromS: number
  toS: number
}

function shipOf(by: Chance, law: Law, flight: Flight, index: number, startKg: number): Ship {
  const { type } = flight
  const heldKg = startKg * (1 + normal(by, law.startShare))
  const internalKg = Math.min(type.internalKg, heldKg)
  const externalKg = Math.min(type.externalKg, heldKg - internalKg)
  const stuck = type.externalKg > 0 && by.yes(law.stuckShare)
  const bias = law.biases[by.whole(0, law.biases.length - 1)] ?? 1
  return {
    id: shipIdOf(flight, index + 1),
    flight,
    limits: limitsOf(flight),
    bias,
    meanFlow: (kind) =>
      bias * (1 + (law.burstsIn.has(kind) ? BURSTS_S / (law.burstEveryS + BURST_MEAN_S) : 0)) * flowOf(type, kind),
    tanks: { internalKg, externalKg, externals: 'selected', stuck },
    holds: flight.holdS !== undefined && index >= 2,
    status: 'planned',
    index: 0,
    fromS: flight.startsS,
    toS: flight.startsS,
    plannedS: flight.startsS,
    since: { atS: flight.startsS, index: 0 },
    burstToS: -Infinity,
    staysS: by.number(120, 600),
    pastS: undefined,
    lateS: flight.pieces.map(() => by.number(0, law.lateS)),
    toldS: -Infinity
  }
}

class World {
  private readonly words: Word[] = []
  private readonly minutes: Truth[][] = []
  private readonly ships: Ship[]
  private readonly lines: Line[]
  private readonly stalls: Stall[]
  private readonly by: Chance
  /** What is said is drawn apart: the truth of a seed does not depend on it. */
  private readonly sayBy: Chance

  constructor(
    seed: number,
    private readonly law: Law
  ) {
    const by = chance(2 * seed)
    this.by = by
    this.sayBy = chance(2 * seed + 1)
    this.ships = FLIGHTS.flatMap((flight) =>
      flight.startKg.map((startKg, index) => shipOf(by, law, flight, index, startKg))
    )
    this.lines = STATIONS.map((station) => ({
      station,
      queue: guestsOf(station.tankerId).flatMap((flight, index) =>
        (station.turns[index] ?? []).flatMap(
          (number) => this.ships.find((ship) => ship.id === shipIdOf(flight, number)) ?? []
        )
      ),
      freeS: -Infinity,
      last: undefined,
      on: undefined
    }))
    this.stalls = [...new Set(STATIONS.map((station) => station.tankerId))].flatMap((tankerId) => {
      const fromS = by.number(8, 45) * 60
      const toS = fromS + by.number(3, 9) * 60
      return by.yes(law.stallShare) ? [{ tankerId, fromS, toS }] : []
    })
  }

  /** Says what is observed now; what is observed of one ship later is recorded later. */
  private say(ship: Ship, atS: number, request: Word['request']): void {
    const recordedS = Math.max(atS + turnDelayS(this.sayBy, this.law), ship.toldS)
    ship.toldS = recordedS
    this.words.push({ observedS: atS, recordedS, request: { shipId: ship.id, ...request } })
  }

  private begin(ship: Ship, index: number, atS: number): void {
    ship.index = index
    ship.fromS = atS
    ship.toS = ship.plannedS + (ship.flight.pieces[index]?.durationS ?? 0) + (ship.lateS[index] ?? 0)
  }

  /** From one piece of the way to the next. */
  private turn(ship: Ship, atS: number): void {
    const { flight } = ship
    if (ship.status === 'planned' && atS >= flight.startsS) {
      ship.status = 'flying'
      this.begin(ship, 0, atS)
    }
    if (atS < ship.toS) return
    if (ship.status === 'left') this.land(ship, atS)
    if (ship.status !== 'flying') return
    ship.plannedS += flight.pieces[ship.index]?.durationS ?? 0
    const next = flight.pieces[ship.index + 1]
    if (!next) this.land(ship, atS)
    else if (next.kind === 'refuelling') {
      ship.status = 'waiting'
      ship.index += 1
      ship.fromS = atS
      ship.toS = Infinity
      this.say(ship, atS, { kind: 'joinShip' })
    } else this.begin(ship, ship.index + 1, atS)
  }

  private land(ship: Ship, atS: number): void {
    ship.status = 'landed'
    this.say(ship, atS, { kind: 'land' })
  }

  private flowNow(ship: Ship, atS: number): number {
    const { flight, bias, status, index } = ship
    if (status === 'planned' || status === 'landed') return 0
    if (ship.burstToS < atS && this.by.yes(1 / this.law.burstEveryS)) ship.burstToS = atS + this.by.number(...BURST_S)
    const kind = status === 'left' ? 'recovery' : (flight.pieces[index]?.kind ?? 'recovery')
    const bursts = atS < ship.burstToS && status !== 'in contact' && this.law.burstsIn.has(kind)
    const times = bursts ? 3 : 1
    return times * bias * flowOf(flight.type, kind)
  }

  private switchExternals(ship: Ship, externals: Tanks['externals'], atS: number): void {
    if (ship.tanks.externals === externals) return
    ship.tanks.externals = externals
    this.say(ship, atS, { kind: 'setExternals', externals })
  }

  private hold(ship: Ship, atS: number): void {
    if (!ship.holds) return
    const { flight, tanks, limits } = ship
    const arrivesS = flight.startsS + (flight.pieces[0]?.durationS ?? 0)
    const releaseKg = limits.abortKg + 120 * flowOf(flight.type, 'refuelling')
    if (atS === arrivesS - (flight.holdS ?? 0)) this.switchExternals(ship, 'held', atS)
    else if (ship.status === 'waiting' && countedKg(tanks) < releaseKg) this.switchExternals(ship, 'selected', atS)
  }

  private goHome(ship: Ship, atS: number): void {
    ship.toS = atS + Math.round((kmOf(ship, atS) * 1000) / HOME_M_PER_S)
    ship.status = 'left'
    this.say(ship, atS, { kind: 'leave' })
  }

  /** Who is past latest contact stays a while and goes home; who is below bingo or recovery fuel goes at once. */
  private leave(ship: Ship, atS: number): void {
    const { flight, limits, tanks, status, index } = ship
    if (status === 'flying' && index > visitIndexOf(flight)) {
      const bingoKg = index <= flight.pieces.findLastIndex(isTask) ? limits.bingoKg : 0
      // Nobody turns for a reading's worth.
      if (usableKg(tanks) < Math.max(limits.recoveryKg(kmOf(ship, atS)), bingoKg) - 30) this.goHome(ship, atS)
    }
    if (status !== 'waiting' || this.lines.some((line) => line.on?.ship === ship)) return
    if (countedKg(tanks) >= limits.abortKg) return
    ship.pastS ??= atS
    if (atS >= ship.pastS + ship.staysS) this.goHome(ship, atS)
  }

  /** The next who is there hooks up, where the station is free and does not stall. */
  private serve(line: Line, atS: number): void {
    const { station, on } = line
    if (on) {
      this.contact(line, on, atS)
      return
    }
    const stalls = this.stalls.some(
      ({ tankerId, fromS, toS }) => tankerId === station.tankerId && fromS <= atS && atS < toS
    )
    const ship = line.queue.find((one) => one.status === 'waiting')
    if (stalls || !ship) return
    if (atS < line.freeS + (line.last === ship.flight ? CHANGEOVER_S.within : CHANGEOVER_S.between)) return
    const { hookUp, flowAfterS } = this.law
    const missedS = this.by.yes(hookUp.missedShare) ? this.by.number(60, 180) : 0
    const contactS = Math.round(atS + HOOK_UP_S * this.by.number(...hookUp.times) + missedS)
    line.on = { ship, contactS, flowS: contactS + this.by.whole(...flowAfterS), targetKg: 0, givenKg: 0 }
  }

  private contact(line: Line, on: Contact, atS: number): void {
    const { ship, contactS, flowS } = on
    const { flight, tanks, limits } = ship
    const { type } = flight
    if (atS === contactS) {
      ship.status = 'in contact'
      line.queue.splice(line.queue.indexOf(ship), 1)
      this.say(ship, atS, { kind: 'makeContact' })
      const waitKg = flowOf(type, 'refuelling') * Math.max(0, flight.pushS - atS)
      const mostKg = type.internalKg + (tanks.stuck ? 0 : type.externalKg)
      on.targetKg = Math.min(mostKg - 1, limits.requiredKg + waitKg + this.by.number(...SPARE_KG))
    }
    if (atS === flowS) this.say(ship, atS, { kind: 'startFlow' })
    if (ship.status !== 'in contact' || atS < flowS || usableKg(tanks) < on.targetKg) return
    const calledKg = on.givenKg * (1 + normal(this.sayBy, 2 * this.law.gaugeShare))
    const off = this.sayBy.yes(0.8) ? { offLoad: { value: calledKg, unit: 'kg' } } : {}
    this.say(ship, atS, { kind: 'disconnect', how: 'whole', ...off })
    ship.status = 'done'
    line.on = undefined
    line.freeS = atS
    line.last = flight
    this.switchExternals(ship, 'selected', atS)
  }

  /** Those of a flight that are done push together once the rest is done or gone, or patience is out. */
  private push(flight: Flight, atS: number): void {
    const members = this.ships.filter((ship) => ship.flight === flight)
    const done = members.filter((ship) => ship.status === 'done')
    if (done.length === 0 || atS < flight.pushS) return
    const waits = members.some((ship) => ship.status === 'waiting' || ship.status === 'in contact')
    const lastS = Math.max(...this.lines.filter(({ last }) => last === flight).map((line) => line.freeS))
    if (waits ? atS < flight.pushS + PATIENCE_S : atS < lastS + REFORM_S) return
    for (const ship of done) {
      if (usableKg(ship.tanks) < ship.limits.requiredKg - 50) {
        this.goHome(ship, atS)
        continue
      }
      ship.status = 'flying'
      ship.plannedS = atS
      ship.since = { atS, index: ship.index + 1 }
      this.begin(ship, ship.index + 1, atS)
      this.say(ship, atS, { kind: 'push', shipIds: [ship.id] })
    }
  }

  /** One second. */
  private burnAll(atS: number): void {
    for (const ship of this.ships) {
      const flow = this.flowNow(ship, atS)
      const line = ship.status === 'in contact' ? this.lines.find(({ on }) => on?.ship === ship) : undefined
      if (line?.on && atS >= line.on.flowS)
        line.on.givenKg += fill(ship.flight.type, ship.tanks, line.station.rateKgPerS, flow)
      else if (line) ship.tanks.internalKg -= flow
      else burn(ship.flight.type, ship.tanks, flow, 1)
    }
  }

  /** A total gauge does not show a stuck external; its crew tries it at the start and says so. */
  private tellStuck(ship: Ship): void {
    const { type, startsS } = ship.flight
    if (!ship.tanks.stuck || type.gauge === 'internal') return
    const atS = startsS + Math.round(this.sayBy.number(5, 30))
    this.words.push({
      observedS: atS,
      recordedS: atS,
      request: { kind: 'setTrouble', shipId: ship.id, groupId: `${type.id}-drop`, trouble: 'not giving' }
    })
  }

  run(): Hour {
    const shownKg = new Map(this.ships.map((ship) => [ship, new Map<number, number>()]))
    for (let atS = Math.min(...FLIGHTS.map((flight) => flight.startsS)); atS <= HOUR_S; atS++) {
      for (const ship of this.ships) {
        this.turn(ship, atS)
        this.hold(ship, atS)
        this.leave(ship, atS)
      }
      for (const line of this.lines) this.serve(line, atS)
      for (const flight of FLIGHTS) this.push(flight, atS)
      if (atS >= 0 && atS % 60 === 0) this.minutes.push(this.ships.map((ship) => truthOf(ship, atS)))
      for (const ship of this.ships)
        if (ship.status !== 'landed' && ship.status !== 'planned')
          shownKg.get(ship)?.set(atS, gaugeKg(ship.flight.type, ship.tanks))
      this.burnAll(atS)
    }
    const radios = new Map<string, Radio>()
    for (const ship of this.ships) {
      this.tellStuck(ship)
      const radio = radioOf(this.sayBy, this.law, ship, shownKg.get(ship) ?? new Map<number, number>())
      radios.set(ship.id, radio)
      this.words.push(...radio.words)
    }
    return {
      words: this.words.sort((a, b) => a.recordedS - b.recordedS),
      minutes: this.minutes,
      limits: new Map(this.ships.map((ship) => [ship.id, ship.limits])),
      radios
    }
  }
}

/** The hour of a seed under a law. */
export const hourOf = (seed: number, law: Law): Hour => new World(seed, law).run()
